//! Two readings of one thing, in one state of a line, that differ by more than the meters and the last
//! digits explain: one of them is wrong, or the line changed in between. A third reading that agrees
//! with either settles it.
//!
//! Never here: which of them is believed (`diagnosis`).

use super::Analyst;
use super::evidence::meter;
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{
    Cut, Do, Entry, EntryId, Figure, History, PLAIN_ACCURACY, Read, Site, StateId, in_order,
};
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
    if before.iter().any(|it| agree(site, *it, (entry, last))) {
        return None;
    }
    let figures = ohm(was).zip(ohm(last));
    let apart = figures.map(|(a, b)| {
        let (a, b) = (a.get(), b.get());
        Fraction(a.max(b) / a.min(b) - 1.0)
    });
    let explained = figures.map_or(0.0, |(a, b)| {
        allowed(site, (earlier, was, a), (entry, last, b)) / a.get().min(b.get())
    });
    Some(Disagreement {
        cut: last.cut.clone(),
        dc: last.is_dc(),
        before: (was.value, earlier.at),
        after: last.value,
        entry: entry.id.clone(),
        apart,
        explained: Fraction(explained),
    })
}

/// What one meter on one line repeats within, leads taken off and put on again: of the reading. Common
/// practice, no source.
const REPEATS: f64 = 0.01;

/// How far apart two readings of one thing may be, in ohms, each with its entry: by the contacts of either and the last digits,
/// and where they were taken with two meters by the accuracy of both. One meter errs the same way twice on
/// a line whole, and repeats; where it is opened anew it may be another place of its range.
fn allowed(site: &Site, a: (&Entry, &Read, Ohm), b: (&Entry, &Read, Ohm)) -> f64 {
    let accuracy = |read: &Read| {
        let made = site.plan().instrument(&read.instrument);
        made.map_or(PLAIN_ACCURACY, |it| it.accuracy).get()
    };
    let rack = |read: &Read| read.cut.is_none() && !read.is_dc();
    let held = |entry: &Entry, read: &Read| {
        let by = &site.log().measured(entry).by;
        meter(site, &read.instrument, &site.visit(), by)
    };
    let same = held(a.0, a.1) == held(b.0, b.1);
    let one_meter = same && rack(a.1) && rack(b.1);
    let share = match one_meter {
        true => REPEATS,
        false if same => accuracy(a.1),
        false => accuracy(a.1) + accuracy(b.1),
    };
    let contacts = 2.0 * site.figures().get(Figure::ContactOhm);
    share * a.2.get().min(b.2.get()) + contacts + a.1.step_ohm.get() + b.1.step_ohm.get()
}

fn ohm(read: &Read) -> Option<Ohm> {
    match read.value {
        Value::Ohm(ohm) => Some(ohm),
        _ => None,
    }
}

/// Whether two readings of one thing agree: their contacts, last digits and meters explain how far apart they are.
#[must_use]
pub fn agree(site: &Site, a: (&Entry, &Read), b: (&Entry, &Read)) -> bool {
    let (Some(x), Some(y)) = (ohm(a.1), ohm(b.1)) else {
        return a.1.value == b.1.value;
    };
    (x.get() - y.get()).abs() <= allowed(site, (a.0, a.1, x), (b.0, b.1, y))
}

/// Two readings at the rack of one state that do not agree: until a third says which of them is right, or a
/// word why it may stay so, neither is believed. It may be a fault that comes and goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InDoubt {
    /// The earlier of the two.
    pub before: Value,
    /// The later.
    pub after: Value,
    /// A word was said since.
    pub said: bool,
}

impl InDoubt {
    /// The disagreement among the rack readings of one line in one state, if there is one.
    pub(super) fn of(site: &Site, history: &History<'_>, state: &StateId) -> Option<Self> {
        let hz = site.test_hz();
        let reads = history.reads(site, state);
        let all: Vec<(&Entry, &Read)> = reads.filter(|(_, read)| read.is_rack(hz)).collect();
        let it = last_of(site, &all)?;
        let (last, _) = all.last()?;
        let said = history.entries().iter().any(|entry| match &entry.what {
            Do::Decide(decide) => {
                decide.is.leaves() && decide.state == *state && in_order(last, entry).is_lt()
            }
            _ => false,
        });
        Some(Self {
            before: it.before.0,
            after: it.after,
            said,
        })
    }
}
