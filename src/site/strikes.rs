//! Which entries count. An entry counts when no counting `Void` strikes it and no correction of it
//! holds. A correction holds until a `Void` strikes it, whether or not it was corrected itself: of a
//! figure that was corrected twice the last one counts, and the first does not come back.
//!
//! All strikes are settled in one pass, however long their chains. Entries that strike each other in a
//! ring (no engineer can do that, a forged file can) count for nothing, and what they strike stands.

use super::entry::{Do, Entry};
use super::id::EntryId;
use std::collections::HashMap;

/// What is known of every entry that strikes or is struck; all others count.
#[derive(Clone, Debug, Default)]
pub(super) struct Strikes {
    counts: HashMap<EntryId, bool>,
    rings: Vec<EntryId>,
}

impl Strikes {
    /// Whether an entry counts.
    pub fn counts(&self, id: &EntryId) -> bool {
        self.counts.get(id).copied().unwrap_or(true)
    }

    /// The entries that strike each other in a ring, sorted.
    pub fn rings(&self) -> &[EntryId] {
        &self.rings
    }

    /// Finds out which of these entries count.
    pub fn of(entries: &[Entry]) -> Self {
        let mut graph = Graph::default();
        for entry in entries {
            let targets: &[EntryId] = match &entry.what {
                Do::Void(void) => &void.of,
                _ => &[],
            };
            for target in targets {
                graph.edge(&entry.id, target, false);
            }
            if let Some(target) = &entry.corrects {
                graph.edge(&entry.id, target, true);
            }
        }
        graph.settle()
    }
}

/// Ids as numbers, and who strikes whom.
#[derive(Default)]
struct Graph<'a> {
    number: HashMap<&'a EntryId, usize>,
    ids: Vec<&'a EntryId>,
    strikes: Vec<Vec<usize>>,
    struck_by: Vec<Vec<usize>>,
    /// Of those the ones that correct it.
    corrected_by: Vec<Vec<usize>>,
}

impl<'a> Graph<'a> {
    fn node(&mut self, id: &'a EntryId) -> usize {
        *self.number.entry(id).or_insert_with(|| {
            self.ids.push(id);
            self.strikes.push(Vec::new());
            self.struck_by.push(Vec::new());
            self.corrected_by.push(Vec::new());
            self.ids.len() - 1
        })
    }

    fn edge(&mut self, striker: &'a EntryId, target: &'a EntryId, corrects: bool) {
        let (a, b) = (self.node(striker), self.node(target));
        self.strikes[a].push(b);
        self.struck_by[b].push(a);
        if corrects {
            self.corrected_by[b].push(a);
        }
    }

    /// From both ends the graph is taken down node by node; what is left goes in rings.
    fn settle(self) -> Strikes {
        let all = self.ids.len();
        let mut gone = vec![false; all];
        let from_top = peel(&self.strikes, &self.struck_by, &mut gone);
        let mut from_below = peel(&self.struck_by, &self.strikes, &mut gone);
        from_below.reverse();
        let (mut counts, mut holds) = (vec![false; all], vec![false; all]);
        for node in from_top.into_iter().chain(from_below) {
            let corrected = &self.corrected_by[node];
            let by_void = |by: &&usize| !corrected.contains(by);
            let voids = self.struck_by[node].iter().filter(by_void);
            holds[node] = !voids.into_iter().any(|by| counts[*by]);
            counts[node] = holds[node] && !corrected.iter().any(|by| holds[*by]);
        }
        let mut rings: Vec<EntryId> = (0..all)
            .filter(|node| !gone[*node])
            .map(|node| self.ids[node].clone())
            .collect();
        rings.sort();
        let ids = self.ids.into_iter().cloned();
        Strikes {
            counts: ids.zip(counts).collect(),
            rings,
        }
    }
}

/// Takes away nodes that no node left over leads to, in that order.
fn peel(to: &[Vec<usize>], from: &[Vec<usize>], gone: &mut [bool]) -> Vec<usize> {
    let mut left: Vec<usize> = from
        .iter()
        .map(|nodes| nodes.iter().filter(|node| !gone[**node]).count())
        .collect();
    let mut out: Vec<usize> = (0..to.len())
        .filter(|node| !gone[*node] && left[*node] == 0)
        .collect();
    let mut next = 0;
    while next < out.len() {
        let node = out[next];
        next += 1;
        gone[node] = true;
        for other in &to[node] {
            if gone[*other] {
                continue;
            }
            left[*other] -= 1;
            if left[*other] == 0 {
                out.push(*other);
            }
        }
    }
    out
}
