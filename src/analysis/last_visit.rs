//! What a line read on the last earlier visit that read it at the rack, and how that compares with now.
//!
//! What a meter was found to read on a known resistor belongs to the visit it was found on: of a meter of
//! then only the accuracy on its paper is known here.

use super::drift::how;
use super::line::taken;
use super::{Analyst, Drifted, Pair, Taken};
use crate::quantity::{Ohm, Probability, Value};
use crate::site::{Design, Figure, PLAIN_ACCURACY, Ref, Site, VisitId};
use crate::verdict::{Datum, Factor};

/// A line on an earlier visit.
#[derive(Clone, Debug, PartialEq)]
pub struct LastVisit {
    /// The visit.
    pub visit: VisitId,
    /// What was read last on it.
    pub taken: Taken,
    /// How that compares.
    pub how: Drifted,
}

impl LastVisit {
    /// It reads otherwise now, by more than both meters can explain.
    #[must_use]
    pub const fn is_otherwise(&self) -> bool {
        matches!(
            self.how,
            Drifted::By { called: true, .. } | Drifted::Turned { .. }
        )
    }
}

impl Analyst {
    /// What a line, by its place in the plan, read last on an earlier visit, against what it reads now or would
    /// with what is typed. None where no earlier visit read it at the rack.
    #[must_use]
    pub fn last_visit(&self, site: &Site, at: usize, now: Option<&Taken>) -> Option<LastVisit> {
        let (_, earlier) = site.visits().split_last()?;
        let line = &site.plan().lines[at];
        let history = site.history(&line.id);
        for visit in earlier.iter().rev() {
            for state in history.states(visit).iter().rev() {
                let Some((entry, read)) = history.rack(site, state) else {
                    continue;
                };
                let then = taken(site, entry, read, line, &self.line(at).design);
                let pair = Pair {
                    then: Some(then.value),
                    datum: on_paper(site, &then),
                    same_reading: false,
                    same_meter: false,
                    same_design: self.common.edits.since(site, &line.id, entry).is_none(),
                };
                let called_over = Probability(site.figures().get(Figure::Drift));
                return Some(LastVisit {
                    visit: visit.clone(),
                    how: how(&pair, self, now, called_over),
                    taken: then,
                });
            }
        }
        None
    }
}

/// A reading with what the paper of its meter says; none of an open or a short line.
fn on_paper(site: &Site, taken: &Taken) -> Option<Datum> {
    let meter = taken.instrument.clone().map(Ref::Instrument);
    let meter = meter.and_then(|of| site.elements().settled(&of));
    let accuracy = match meter {
        Some(Design::Instrument(it)) => it.accuracy,
        _ => PLAIN_ACCURACY,
    };
    match taken.value {
        Value::Ohm(read) if read.get() > 0.0 => Some(Datum {
            read,
            step: Ohm(taken.step.get()),
            factor: Factor::of_accuracy(accuracy),
        }),
        _ => None,
    }
}
