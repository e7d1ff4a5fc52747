//! Two readings of one thing in one state of a line that do not agree, by more than the meters and the
//! last digits explain: one of them is wrong, or the line changed in between. A third that agrees with
//! either settles it.
//!
//! Never here: which of them is believed (`diagnosis`).

use super::Analyst;
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{Cut, Entry, EntryId, Figure, PLAIN_ACCURACY, Read, Site};
use jiff::Timestamp;

/// Two readings that do not agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Disagreement {
    /// Where both were taken; none is the rack, line whole.
    pub cut: Option<Cut>,
    /// With direct current.
    pub dc: bool,
    /// The earlier of the two, and when.
    pub before: (Value, Timestamp),
    /// The later of the two.
    pub after: Value,
    /// Its entry.
    pub entry: EntryId,
    /// How far apart, of the smaller; none where one is no figure.
    pub apart: Option<Fraction>,
    /// How far apart the meters may be.
    pub explained: Fraction,
}

impl Analyst {
    /// The readings of a line's latest state that do not agree with the one before of the same place.
    #[must_use]
    pub fn disagreements(&self, site: &Site, at: usize) -> Vec<Disagreement> {
        let history = site.history(&site.plan().lines[at].id);
        let state = &self.line(at).state;
        let mut of_place: Vec<Vec<(&Entry, &Read)>> = Vec::new();
        for (entry, read) in history.reads(site, state) {
            let same = |all: &&mut Vec<(&Entry, &Read)>| {
                all.first()
                    .is_some_and(|(_, it)| it.cut == read.cut && it.hz == read.hz)
            };
            match of_place.iter_mut().find(same) {
                Some(all) => all.push((entry, read)),
                None => of_place.push(vec![(entry, read)]),
            }
        }
        of_place
            .iter()
            .filter_map(|all| last_of(site, all))
            .collect()
    }
}

fn last_of(site: &Site, all: &[(&Entry, &Read)]) -> Option<Disagreement> {
    let ((entry, last), before) = all.split_last()?;
    let (earlier, was) = before.last()?;
    if before.iter().any(|(_, it)| agree(site, it, last)) {
        return None;
    }
    let apart = match (was.value, last.value) {
        (Value::Ohm(a), Value::Ohm(b)) => {
            let (a, b) = (a.get(), b.get());
            Some(Fraction(a.max(b) / a.min(b) - 1.0))
        }
        _ => None,
    };
    Some(Disagreement {
        cut: last.cut.clone(),
        dc: last.is_dc(),
        before: (was.value, earlier.at),
        after: last.value,
        entry: entry.id.clone(),
        apart,
        explained: explained(site, was, last),
    })
}

/// How far apart two readings of one thing may be: by the accuracy of their meter, of both where they are
/// two.
fn explained(site: &Site, a: &Read, b: &Read) -> Fraction {
    let accuracy = |read: &Read| {
        let made = site.plan().instrument(&read.instrument);
        made.map_or(PLAIN_ACCURACY, |it| it.accuracy).get()
    };
    match a.instrument == b.instrument {
        true => Fraction(accuracy(a)),
        false => Fraction(accuracy(a) + accuracy(b)),
    }
}

/// Within the accuracy, the contacts of either and the last digits.
fn agree(site: &Site, a: &Read, b: &Read) -> bool {
    let ohm = |value: Value| match value {
        Value::Ohm(Ohm(ohm)) => Some(ohm),
        _ => None,
    };
    let (Some(x), Some(y)) = (ohm(a.value), ohm(b.value)) else {
        return a.value == b.value;
    };
    let share = explained(site, a, b).get() * x.min(y);
    let contacts = 2.0 * site.figures().get(Figure::ContactOhm);
    (x - y).abs() <= share + contacts + a.step_ohm.get() + b.step_ohm.get()
}
