//! This visit against an earlier one, line by line: what drifted by more than both meters can
//! explain, what is new, gone or renamed.
//!
//! Lines are the same by id, which stays at a rename; else by label. Readings are compared only
//! where both states have the same design.
//!
//! Never here: what a drift comes from.

use super::{Analyst, LineResult};
use crate::quantity::{Probability, Value};
use crate::site::{Figure, LinePlan, Site};
use crate::verdict::{Drift, drift};

/// How a line compares.
#[derive(Clone, Debug, PartialEq)]
pub enum Drifted {
    /// Both read a figure.
    By {
        /// The difference.
        drift: Drift,
        /// Its probability is over the limit.
        called: bool,
    },
    /// One of the two reads open or short, and the other something else.
    Turned {
        /// What it read.
        then: Value,
        /// What it reads.
        now: Value,
    },
    /// Both read open, or both short.
    Same,
    /// The design is not the same any more.
    Redesigned,
    /// It was not read on one of the visits, or not again since.
    NotRead,
}

/// A line that stands now, against what it was.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// Its label.
    pub line: String,
    /// Its label then, where that was another.
    pub renamed_from: Option<String>,
    /// What it read then.
    pub then: Option<Value>,
    /// What it reads now.
    pub now: Option<Value>,
    /// How that compares.
    pub how: Drifted,
}

impl Compared {
    /// Whether it is to be looked at.
    #[must_use]
    pub const fn is_called(&self) -> bool {
        matches!(
            self.how,
            Drifted::By { called: true, .. } | Drifted::Turned { .. }
        )
    }
}

/// All lines against those of an earlier record.
#[derive(Clone, Debug, PartialEq)]
pub struct Baseline {
    /// Lines that stand on both.
    pub lines: Vec<Compared>,
    /// Lines that were not there.
    pub new: Vec<String>,
    /// Lines that are not there any more.
    pub gone: Vec<String>,
    /// The probability over which a drift is called.
    pub called_over: Probability,
}

/// Whether two drawings of a line are electrically one: labels and names may differ.
fn same_design(a: &LinePlan, b: &LinePlan) -> bool {
    a.volts == b.volts
        && a.nodes.len() == b.nodes.len()
        && a.nodes.iter().zip(&b.nodes).all(|(a, b)| {
            a.from == b.from
                && a.run == b.run
                && a.make == b.make
                && a.control == b.control
                && a.is == b.is
        })
}

/// Compares a site with an earlier one. Both analysts are at rest.
#[must_use]
pub fn compare(old: (&Site, &Analyst), new: (&Site, &Analyst)) -> Baseline {
    let (then, now) = (old.0.plan(), new.0.plan());
    let called_over = Probability(new.0.figures().get(Figure::Drift));
    let mut matched = vec![false; then.lines.len()];
    let (mut lines, mut fresh) = (Vec::new(), Vec::new());
    for (at, line) in now.lines.iter().enumerate() {
        // By its label only where no line of now is that one by its id.
        let labelled = || {
            let at = then.line_labelled(&line.label)?;
            now.line(&then.lines[at].id).is_none().then_some(at)
        };
        let Some(was) = then.line(&line.id).or_else(labelled) else {
            fresh.push(line.label.clone());
            continue;
        };
        matched[was] = true;
        let before = &then.lines[was];
        let (a, b) = (old.1.line(was), new.1.line(at));
        lines.push(Compared {
            line: line.label.clone(),
            renamed_from: (before.label != line.label).then(|| before.label.clone()),
            then: a.taken.as_ref().map(|it| it.value),
            now: b.taken.as_ref().map(|it| it.value),
            how: how(old, new, (a, before), (b, line), called_over),
        });
    }
    let gone = then
        .lines
        .iter()
        .zip(&matched)
        .filter(|(_, matched)| !**matched)
        .map(|(line, _)| line.label.clone())
        .collect();
    Baseline {
        lines,
        new: fresh,
        gone,
        called_over,
    }
}

fn how(
    old: (&Site, &Analyst),
    new: (&Site, &Analyst),
    (a, before): (&LineResult, &LinePlan),
    (b, line): (&LineResult, &LinePlan),
    called_over: Probability,
) -> Drifted {
    let (Some(then), Some(now)) = (&a.taken, &b.taken) else {
        return Drifted::NotRead;
    };
    // The very reading of the older record: nothing was read since.
    if then.entry.is_some() && then.entry == now.entry {
        return Drifted::NotRead;
    }
    if !same_design(before, line) {
        return Drifted::Redesigned;
    }
    match (old.1.datum(then), new.1.datum(now)) {
        (Some(first), Some(second)) => {
            let same_meter = old.0.id() == new.0.id()
                && old.0.visit() == new.0.visit()
                && then.instrument == now.instrument;
            let drift = drift(first, second, same_meter, new.1.limits());
            Drifted::By {
                drift,
                called: drift.probability > called_over,
            }
        }
        _ if then.value == now.value => Drifted::Same,
        _ => Drifted::Turned {
            then: then.value,
            now: now.value,
        },
    }
}
