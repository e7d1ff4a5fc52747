//! A line's story: its states, what was read in each, whether it is off the amplifier.
//!
//! A state is a visit, or a line between two repairs within a visit. As found is the last rack
//! reading of a visit's first state that has one before its last repair, as left that of its last.

use super::Site;
use super::entry::{Cut, Do, Entry, Heard, Insulate, Listen, Read};
use super::id::{LineId, NodeId, StateId, VisitId};
use super::item_ref::Ref;
use crate::quantity::Hertz;
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};

/// List item that takes a line off the amplifier.
pub const CORES_OFF: &str = "cores-off";
/// List item that puts it back.
pub const CORES_ON: &str = "cores-on";

/// List item that opens a line at a node for a split.
pub const SPLIT_OPENED: &str = "split-opened";
/// List item that closes it again.
pub const SPLIT_CLOSED: &str = "split-closed";

/// What counts of one line, in order.
#[derive(Clone, Debug)]
pub struct History<'a> {
    entries: Vec<&'a Entry>,
    visits: &'a [VisitId],
    test_hz: Hertz,
}

/// A repair and the state it ended.
struct Step<'a> {
    state: &'a str,
    after: &'a StateId,
}

impl Site {
    /// The story of a line.
    #[must_use]
    pub fn history(&self, line: &LineId) -> History<'_> {
        History {
            entries: self.log().of_line(line),
            visits: self.visits(),
            test_hz: self.test_hz(),
        }
    }
}

impl<'a> History<'a> {
    /// Every counting entry of the line.
    #[must_use]
    pub fn entries(&self) -> &[&'a Entry] {
        &self.entries
    }

    fn repairs(&self) -> impl Iterator<Item = Step<'a>> + '_ {
        self.entries.iter().filter_map(|entry| match &entry.what {
            Do::Repair(repair) => Some(Step {
                state: entry.id.as_str(),
                after: &repair.after,
            }),
            _ => None,
        })
    }

    /// The states of one visit, first to last.
    #[must_use]
    pub fn states(&self, visit: &VisitId) -> Vec<StateId> {
        let mut out = vec![StateId(visit.0.clone())];
        // Two engineers may have ended one state each with a repair of their own: both states stand,
        // the later last. What a repair follows is a fact, whichever clock ran behind.
        let repairs: Vec<Step<'_>> = self.repairs().collect();
        let mut after: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, repair) in repairs.iter().enumerate() {
            after.entry(repair.after.as_str()).or_default().push(at);
        }
        let mut ready = BinaryHeap::new();
        ready.extend(
            after
                .remove(visit.as_str())
                .into_iter()
                .flatten()
                .map(Reverse),
        );
        while let Some(Reverse(at)) = ready.pop() {
            let state = repairs[at].state;
            out.push(StateId(state.to_owned()));
            ready.extend(after.remove(state).into_iter().flatten().map(Reverse));
        }
        out
    }

    /// The latest state of the latest visit.
    #[must_use]
    pub fn state(&self) -> StateId {
        let visit = self.visits.last().cloned().unwrap_or_default();
        self.states(&visit).pop().unwrap_or_default()
    }

    /// The state an entry counts in: a struck repair hands its readings to the state before it.
    fn home(&self, site: &'a Site, state: &'a StateId) -> &'a StateId {
        let mut state = state;
        let mut steps = 0;
        while let Some(entry) = site.log().get(&state.as_str().into()) {
            match &entry.what {
                Do::Repair(repair) if !site.log().counts(&entry.id) && steps < 1000 => {
                    state = &repair.after;
                    steps += 1;
                }
                _ => break,
            }
        }
        state
    }

    /// Every counting reading and answer of a state, in order.
    pub fn in_state(
        &'a self,
        site: &'a Site,
        state: &'a StateId,
    ) -> impl DoubleEndedIterator<Item = &'a Entry> + 'a {
        self.entries
            .iter()
            .copied()
            .filter(move |entry| match &entry.what {
                Do::Read(it) => self.home(site, &it.state) == state,
                Do::Listen(it) => self.home(site, &it.state) == state,
                Do::Insulate(it) => self.home(site, &it.state) == state,
                _ => false,
            })
    }

    /// Every counting reading taken in a state, in order.
    pub fn reads(
        &'a self,
        site: &'a Site,
        state: &'a StateId,
    ) -> impl DoubleEndedIterator<Item = (&'a Entry, &'a Read)> + 'a {
        self.in_state(site, state)
            .filter_map(|entry| match &entry.what {
                Do::Read(read) => Some((entry, read)),
                _ => None,
            })
    }

    /// The latest impedance at the rack, line whole, at the site's test frequency, in a state.
    #[must_use]
    pub fn rack(&'a self, site: &'a Site, state: &'a StateId) -> Option<(&'a Entry, &'a Read)> {
        self.reads(site, state)
            .rfind(|(_, read)| read.is_rack(self.test_hz))
    }

    /// The latest answer at each place in a state; `reversed` does not replace an earlier answer,
    /// nor does `noisy`, which is none.
    #[must_use]
    pub fn answers(&'a self, site: &'a Site, state: &'a StateId) -> Vec<(&'a Entry, &'a Listen)> {
        let mut out: Vec<(&Entry, &Listen)> = Vec::new();
        let mut place: HashMap<&NodeId, usize> = HashMap::new();
        for entry in self.in_state(site, state) {
            let Do::Listen(listen) = &entry.what else {
                continue;
            };
            match place.get(&listen.at) {
                Some(_) if matches!(listen.gives, Heard::Reversed | Heard::Noisy) => {}
                Some(at) => out[*at] = (entry, listen),
                None => {
                    place.insert(&listen.at, out.len());
                    out.push((entry, listen));
                }
            }
        }
        out
    }

    /// Whether the polarity was called reversed at a place in a state.
    #[must_use]
    pub fn reversed(&'a self, site: &'a Site, state: &'a StateId, at: &NodeId) -> bool {
        self.in_state(site, state).any(|entry| match &entry.what {
            Do::Listen(listen) => listen.gives == Heard::Reversed && listen.at == *at,
            _ => false,
        })
    }

    /// The insulation readings of a state, in order.
    #[must_use]
    pub fn insulation(
        &'a self,
        site: &'a Site,
        state: &'a StateId,
    ) -> Vec<(&'a Entry, &'a Insulate)> {
        self.in_state(site, state)
            .filter_map(|entry| match &entry.what {
                Do::Insulate(it) => Some((entry, it)),
                _ => None,
            })
            .collect()
    }

    /// The node before which the line was opened for a split and is not closed again.
    #[must_use]
    pub fn open_split(&self) -> Option<NodeId> {
        let tick = self
            .entries
            .iter()
            .rev()
            .find_map(|entry| match &entry.what {
                Do::Tick(tick) if tick.item == SPLIT_OPENED || tick.item == SPLIT_CLOSED => {
                    Some(tick)
                }
                _ => None,
            })?;
        tick.of.iter().find_map(|of| match of {
            Ref::Node(node) if tick.item == SPLIT_OPENED => Some(node.clone()),
            _ => None,
        })
    }

    /// Taken off the amplifier by a tick and not yet back.
    #[must_use]
    pub fn is_off(&self) -> bool {
        self.entries
            .iter()
            .rev()
            .find_map(|entry| match &entry.what {
                Do::Tick(tick) if tick.item == CORES_OFF => Some(true),
                Do::Tick(tick) if tick.item == CORES_ON => Some(false),
                _ => None,
            })
            .unwrap_or(false)
    }
}

impl Read {
    /// An impedance at the rack with the line whole at the test frequency: the reading that a
    /// verdict rests on.
    #[must_use]
    pub fn is_rack(&self, test_hz: Hertz) -> bool {
        self.cut.is_none() && self.hz == test_hz
    }

    /// A direct-current reading.
    #[must_use]
    pub fn is_dc(&self) -> bool {
        self.hz.get() == 0.0
    }

    /// The node where the line was opened or read, when not at the rack.
    #[must_use]
    pub const fn at(&self) -> Option<&NodeId> {
        match &self.cut {
            Some(Cut::Near(node) | Cut::Far(node) | Cut::Whole(node)) => Some(node),
            None => None,
        }
    }
}
