//! The rows of the rack list and the hand-back list, and how each stands by the log: one evaluation
//! for the list on the screen, for what stands in the way of signing, and for the record.
//!
//! Never here: whether something is safe. A tick records that a thing was done, by whom and when.

use super::late::Late;
use crate::analysis::ToMove;
use crate::site::{
    AmplifierPlan, CORES_OFF, CORES_ON, DISCHARGED, Do, Entry, LEADS_ZEROED, LISTS, ListItem,
    ListOf, ListWhen, Ref, Site, Tick, TickIs, VisitId, in_order,
};

/// One row of a list: an item of an amplifier or of the visit, or of one of the amplifier's lines.
#[derive(Clone, Debug)]
pub struct ListRow<'a> {
    /// The item's place in [`LISTS`].
    pub place: usize,
    /// The item.
    pub item: &'static ListItem,
    /// The line it is for, by its place in the plan; none for the amplifier and for the visit.
    pub line: Option<usize>,
    /// How it stands.
    pub stands: ListStands<'a>,
    /// The last reading of what it is for that came after it was ticked for handing back, or after
    /// a line was discharged: it was so then, and wants another look now.
    pub read_since: Option<&'a Entry>,
    /// Readings that were made before it was first ticked, where it comes before a reading.
    pub late: Option<Late>,
}

impl ListRow<'_> {
    /// Whether a tick of it is wanted: nobody ticked it, or a reading came after it was.
    #[must_use]
    pub const fn is_due(&self) -> bool {
        self.stands.waits() || self.read_since.is_some()
    }
}

/// How a row of a list stands.
#[derive(Clone, Copy, Debug)]
pub enum ListStands<'a> {
    /// It waits: nobody ticked it, or left it out without a reason.
    Waits,
    /// Ticked, or left out with a reason, by this entry.
    Done(&'a Entry),
    /// There is nothing to tick, and why.
    Nothing(&'static str),
}

impl<'a> ListStands<'a> {
    /// The entry that ticked it or left it out with a reason.
    #[must_use]
    pub const fn done(&self) -> Option<&'a Entry> {
        match self {
            Self::Done(entry) => Some(entry),
            Self::Waits | Self::Nothing(_) => None,
        }
    }

    /// Whether it waits.
    #[must_use]
    pub const fn waits(&self) -> bool {
        matches!(self, Self::Waits)
    }
}

/// The lists of a site on its latest visit.
#[derive(Debug)]
pub struct Lists<'a> {
    site: &'a Site,
    visit: VisitId,
    /// Counting ticks and resistors of the visit that are of no line, in order.
    of_no_line: Vec<&'a Entry>,
    /// The last reading of any line.
    last_read: Option<&'a Entry>,
    /// Lines whose cores are to go to another output.
    to_move: ToMove,
}

impl<'a> Lists<'a> {
    /// Of a site.
    #[must_use]
    pub fn of(site: &'a Site) -> Self {
        let visit = site.visit();
        let here = |entry: &&Entry| match &entry.what {
            Do::Tick(tick) => tick.visit == visit,
            Do::Check(check) => check.visit == visit,
            _ => false,
        };
        let of_no_line = site.log().of_no_line().into_iter().filter(here).collect();
        Self {
            site,
            visit,
            of_no_line,
            last_read: site.log().last_read(),
            to_move: ToMove::of(site),
        }
    }

    /// Every row of an amplifier, by its place in the plan: in the order of the work, lines in rack
    /// order. Rows of the visit are those of every amplifier.
    #[must_use]
    pub fn rows(&self, amplifier: usize) -> Vec<ListRow<'a>> {
        let plan = self.site.plan();
        let amplifier = &plan.amplifiers[amplifier];
        let lines: Vec<LineTicks<'a>> = plan.outputs[amplifier.outputs.clone()]
            .iter()
            .flat_map(|output| output.lines.clone())
            .map(|at| self.line(at))
            .collect();
        let of_lines = lines
            .iter()
            .filter_map(|line| line.read)
            .max_by(|a, b| self.as_read(a, b));
        let mut out = Vec::new();
        for (place, item) in LISTS.iter().enumerate() {
            let row = |line: Option<&LineTicks<'a>>, stands: ListStands<'a>| ListRow {
                place,
                item,
                line: line.map(|it| it.at),
                stands,
                read_since: stands.done().and_then(|tick| {
                    let read = match (line, item.of) {
                        (Some(line), _) if item.item == DISCHARGED => line.insulated,
                        (Some(line), _) => line.read,
                        (None, ListOf::Visit) => self.last_read,
                        (None, _) => of_lines,
                    };
                    let asked = item.when == ListWhen::Back || item.item == DISCHARGED;
                    let measured = |read| self.site.log().measured(read);
                    read.filter(|read| asked && in_order(measured(read), tick).is_gt())
                }),
                late: stands.done().and_then(|tick| match line {
                    Some(line) => {
                        self.late(item, tick, std::slice::from_ref(line), line.first(item))
                    }
                    None => self.late(item, tick, &lines, self.first(item, amplifier)),
                }),
            };
            match item.of {
                ListOf::VoiceAlarm if !amplifier.voice_alarm => {}
                ListOf::Visit | ListOf::Amplifier | ListOf::VoiceAlarm => {
                    out.push(row(None, self.once(item, amplifier)));
                }
                ListOf::Line | ListOf::InsulationLine => out.extend(
                    lines
                        .iter()
                        .filter(|line| item.of == ListOf::Line || line.insulation)
                        .map(|line| row(Some(line), line.stands(item))),
                ),
            }
        }
        out
    }

    /// Whether an item of an amplifier, or of the visit, is ticked as done, not as something that is not
    /// here; the amplifier by its place in the plan.
    #[must_use]
    pub fn is_done(&self, item: &ListItem, amplifier: usize) -> bool {
        let stands = self.once(item, &self.site.plan().amplifiers[amplifier]);
        stands.done().is_some_and(|entry| not_here(entry).is_none())
    }

    /// Of the amplifier, or of the visit: a tick for the visit or the whole site holds for every
    /// amplifier.
    fn once(&self, item: &ListItem, amplifier: &AmplifierPlan) -> ListStands<'a> {
        let own = || {
            let entries = self.of_no_line.iter().copied();
            entries.filter(|it| is_of(item, amplifier, it))
        };
        // A known resistor read once more takes nothing from a tick, which says more.
        let says_more = |entry: &&Entry| !is_check(entry) && not_here(entry).is_none();
        let last = own().next_back();
        let ticked = own()
            .rfind(says_more)
            .filter(|_| last.is_some_and(is_check));
        ticked.or(last).map_or(ListStands::Waits, said)
    }

    /// The first entry of this visit that ticked an item of no line.
    fn first(&self, item: &ListItem, amplifier: &AmplifierPlan) -> Option<&'a Entry> {
        let mut ticks = self.of_no_line.iter().copied();
        ticks.find(|it| is_of(item, amplifier, it) && said(it).done().is_some())
    }

    /// Readings made before an item was first ticked: before insulation those of insulation alone.
    fn late(
        &self,
        item: &ListItem,
        tick: &'a Entry,
        lines: &[LineTicks<'a>],
        first: Option<&'a Entry>,
    ) -> Option<Late> {
        if item.when == ListWhen::Back || item.item == DISCHARGED || not_here(tick).is_some() {
            return None;
        }
        let asked =
            |read: &&Entry| item.when == ListWhen::Before || matches!(read.what, Do::Insulate(_));
        let reads = lines.iter().flat_map(|line| line.reads.iter().copied());
        // A word that the item does not exist here is never late.
        let first = first.filter(|it| not_here(it).is_none())?;
        Late::before(self.site.log(), first, reads.filter(asked))
    }

    /// The order in which two things were read, whenever they were corrected.
    fn as_read(&self, a: &Entry, b: &Entry) -> std::cmp::Ordering {
        let log = self.site.log();
        in_order(log.measured(a), log.measured(b))
    }

    fn line(&self, at: usize) -> LineTicks<'a> {
        let line = &self.site.plan().lines[at];
        let history = self.site.history(&line.id);
        let ticks = history
            .entries()
            .iter()
            .copied()
            .filter(|entry| matches!(&entry.what, Do::Tick(tick) if tick.visit == self.visit));
        let last = |is: fn(&Do) -> bool| {
            let entries = history.entries().iter().copied();
            let these = entries.filter(|entry| is(&entry.what));
            these.max_by(|a, b| self.as_read(a, b))
        };
        let states = history.states(&self.visit);
        let of_visit = |entry: &&Entry| match &entry.what {
            Do::Read(it) => states.contains(&it.state),
            Do::Insulate(it) => states.contains(&it.state),
            _ => false,
        };
        let reads = history.entries().iter().copied().filter(of_visit).collect();
        LineTicks {
            read: last(|what| matches!(what, Do::Read(_) | Do::Insulate(_))),
            insulated: last(|what| matches!(what, Do::Insulate(_))),
            at,
            off: history.is_off(),
            to_move: self.to_move.has(&line.id),
            insulation: has_insulation(self.site, at),
            ticks: ticks.collect(),
            reads,
        }
    }
}

/// Whether what belongs to an insulation reading is a line's: who read it without being asked had the same
/// to do first.
pub(super) fn has_insulation(site: &Site, at: usize) -> bool {
    site.plan().lines[at].insulation_asked || insulated(site, at)
}

/// Whether insulation was read on a line on the latest visit: a repair after it, or the line back on, takes
/// nothing from what was to be done before the test.
pub(super) fn insulated(site: &Site, at: usize) -> bool {
    let history = site.history(&site.plan().lines[at].id);
    let states = history.states(&site.visit());
    let mut states = states.iter();
    states.any(|state| !history.insulation(site, state).is_empty())
}

/// What was ticked of a line on the visit.
struct LineTicks<'a> {
    at: usize,
    off: bool,
    to_move: bool,
    insulation: bool,
    ticks: Vec<&'a Entry>,
    /// What was read of it on the visit.
    reads: Vec<&'a Entry>,
    /// The last reading of any kind, and of insulation.
    read: Option<&'a Entry>,
    insulated: Option<&'a Entry>,
}

impl<'a> LineTicks<'a> {
    /// The first entry that ticked an item.
    fn first(&self, item: &ListItem) -> Option<&'a Entry> {
        let mut ticks = self.ticks.iter().copied();
        ticks.find(|entry| {
            matches!(&entry.what, Do::Tick(tick) if tick.item == item.item)
                && said(entry).done().is_some()
        })
    }

    fn stands(&self, item: &ListItem) -> ListStands<'a> {
        let last = self
            .ticks
            .iter()
            .rfind(|entry| matches!(&entry.what, Do::Tick(tick) if tick.item == item.item));
        match (item.item, last) {
            (CORES_ON, _) if self.off || self.to_move => ListStands::Waits,
            (_, Some(entry)) => said(entry),
            // Taken off on an earlier visit, or by another list.
            (CORES_OFF, None) if self.off => ListStands::Nothing("off"),
            (CORES_ON, None) => ListStands::Nothing("not off"),
            _ => ListStands::Waits,
        }
    }
}

/// Whether an entry of no line is about an item of an amplifier, or of the visit.
fn is_of(item: &ListItem, amplifier: &AmplifierPlan, entry: &Entry) -> bool {
    let holds = |of: &Ref| match of {
        Ref::Site | Ref::Visit(_) => true,
        Ref::Amplifier(id) => item.of == ListOf::Visit || *id == amplifier.id,
        _ => false,
    };
    match &entry.what {
        Do::Tick(tick) => tick.item == item.item && tick.of.iter().any(holds),
        // A known resistor read is the row done; that the leads were zeroed a tick says.
        _ => item.item == LEADS_ZEROED,
    }
}

/// Whether an entry is a known resistor that was read: no tick, and it says nothing of the leads.
#[must_use]
pub const fn is_check(entry: &Entry) -> bool {
    matches!(entry.what, Do::Check(_))
}

/// An entry says enough where the item is done, or not here with a reason.
fn said(entry: &Entry) -> ListStands<'_> {
    match not_here(entry) {
        Some(why) if why.trim().is_empty() => ListStands::Waits,
        _ => ListStands::Done(entry),
    }
}

/// Why an item is not here, where an entry says so.
#[must_use]
pub fn not_here(entry: &Entry) -> Option<&str> {
    match &entry.what {
        Do::Tick(Tick {
            is: TickIs::NotHere(why),
            ..
        }) => Some(why),
        _ => None,
    }
}
