//! This visit against an earlier one, line by line: what drifted by more than both meters can
//! explain, what is new, gone or renamed.
//!
//! Lines are the same by id, which stays at a rename; else by label. Readings are compared only
//! where both states have the same design.
//!
//! Never here: what a drift comes from.

use super::{Analyst, Taken};
use crate::quantity::{Probability, Value};
use crate::site::{Figure, LineId, LinePlan, Site};
use crate::verdict::{Datum, Drift, drift};
use std::collections::HashMap;

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

impl Drifted {
    /// Whether it is to be looked at.
    #[must_use]
    pub const fn is_called(&self) -> bool {
        matches!(self, Self::By { called: true, .. } | Self::Turned { .. })
    }
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
    /// What it read as found on this visit and how that compares, where it was repaired since: what had
    /// happened to it since then is that, not what is left of it.
    pub found: Option<(Value, Drifted)>,
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

/// What an earlier visit left of a line, held against the line that stands now.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// What it read.
    pub then: Option<Value>,
    /// The same with what its meter shares; none of an open or short line.
    pub datum: Option<Datum>,
    /// It is the very reading that counts now: nothing was read since.
    pub same_reading: bool,
    /// Both were taken with one meter on one visit.
    pub same_meter: bool,
    /// Both drawings are electrically one.
    pub same_design: bool,
}

/// An earlier visit, however it was kept.
pub trait Earlier {
    /// Its lines: the id, where it is known, and the label.
    fn lines(&self) -> Vec<(Option<LineId>, String)>;

    /// One of its lines, by its place in [`Self::lines`], against this reading of one of the plan of now.
    fn pair(&self, was: usize, now: (&Site, &Analyst), at: usize, taken: Option<&Taken>) -> Pair;
}

/// A site file of then, its analyst at rest.
impl Earlier for (&Site, &Analyst) {
    fn lines(&self) -> Vec<(Option<LineId>, String)> {
        let lines = self.0.plan().lines.iter();
        lines
            .map(|line| (Some(line.id.clone()), line.label.clone()))
            .collect()
    }

    fn pair(&self, was: usize, now: (&Site, &Analyst), at: usize, b: Option<&Taken>) -> Pair {
        let (before, line) = (&self.0.plan().lines[was], &now.0.plan().lines[at]);
        let a = &self.1.line(was).taken;
        let both = a.as_ref().zip(b);
        Pair {
            then: a.as_ref().map(|it| it.value),
            datum: a.as_ref().and_then(|it| self.1.datum(it)),
            same_reading: both.is_some_and(|(a, b)| a.entry.is_some() && a.entry == b.entry),
            same_meter: self.0.id() == now.0.id()
                && self.0.visit() == now.0.visit()
                && both.is_some_and(|(a, b)| (&a.instrument, &a.hand) == (&b.instrument, &b.hand)),
            same_design: same_design(before, line),
        }
    }
}

/// Compares a site with an earlier visit. Its analyst is at rest.
#[must_use]
pub fn compare(old: impl Earlier, new: (&Site, &Analyst)) -> Baseline {
    let (then, now) = (old.lines(), new.0.plan());
    let called_over = Probability(new.0.figures().get(Figure::Drift));
    let mut matched = vec![false; then.len()];
    let (mut lines, mut fresh) = (Vec::new(), Vec::new());
    // The first of a label stands for it, as the first of an id does.
    let (mut ids, mut labels) = (HashMap::new(), HashMap::new());
    for (at, (id, label)) in then.iter().enumerate() {
        if let Some(id) = id {
            ids.entry(id).or_insert(at);
        }
        labels.entry(label).or_insert(at);
    }
    for (at, line) in now.lines.iter().enumerate() {
        let by_id = || ids.get(&line.id).copied();
        // By its label only where no line of now is that one by its id.
        let labelled = || {
            let at = labels.get(&line.label).copied()?;
            let taken = then[at].0.as_ref().and_then(|id| now.line(id));
            taken.is_none().then_some(at)
        };
        let Some(was) = by_id().or_else(labelled) else {
            fresh.push(line.label.clone());
            continue;
        };
        matched[was] = true;
        let label = &then[was].1;
        let (left, found) = (&new.1.line(at).taken, &new.1.line(at).as_found);
        let pair = old.pair(was, new, at, left.as_ref());
        let entry = |taken: &Option<Taken>| taken.as_ref().and_then(|it| it.entry.clone());
        let found = found.as_ref().filter(|it| it.entry != entry(left));
        let found = found.map(|it| {
            let pair = old.pair(was, new, at, Some(it));
            (it.value, how(&pair, new.1, Some(it), called_over))
        });
        lines.push(Compared {
            line: line.label.clone(),
            renamed_from: (*label != line.label).then(|| label.clone()),
            then: pair.then,
            now: left.as_ref().map(|it| it.value),
            how: how(&pair, new.1, left.as_ref(), called_over),
            found,
        });
    }
    let gone = then
        .into_iter()
        .zip(&matched)
        .filter(|(_, matched)| !**matched)
        .map(|((_, label), _)| label)
        .collect();
    Baseline {
        lines,
        new: fresh,
        gone,
        called_over,
    }
}

/// How what was read then compares with what is read now, or would be with what is typed.
pub(super) fn how(
    pair: &Pair,
    analyst: &Analyst,
    now: Option<&Taken>,
    called_over: Probability,
) -> Drifted {
    let (Some(then), Some(now)) = (pair.then, now) else {
        return Drifted::NotRead;
    };
    if pair.same_reading {
        return Drifted::NotRead;
    }
    if !pair.same_design {
        return Drifted::Redesigned;
    }
    match (pair.datum, analyst.datum(now)) {
        (Some(first), Some(second)) => {
            let drift = drift(first, second, pair.same_meter, analyst.limits());
            Drifted::By {
                drift,
                called: drift.probability > called_over,
            }
        }
        _ if then == now.value => Drifted::Same,
        _ => Drifted::Turned {
            then,
            now: now.value,
        },
    }
}
