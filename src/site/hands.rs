//! Whose instrument it was. Every copy of a site is born with the same plain `meter`: two engineers, each with
//! a copy and a meter of his own, read with two meters under one name. As long as no serial number says that
//! it is one, what several persons read with on a visit is one meter for each of them.
//!
//! Never here: what a meter is worth.

use super::Site;
use super::entry::{Do, Entry};
use super::id::{InstrumentId, StateId, VisitId};
use super::item::Reads;
use std::collections::{BTreeMap, BTreeSet};

/// A chain of repairs is never so long: a ring (a hostile file) comes to an end.
const MOST_STATES: usize = 1000;

/// Impedance meters that no serial number tells apart, and who read with each on a visit: two or more.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hands(BTreeMap<(InstrumentId, VisitId), BTreeSet<String>>);

impl Hands {
    /// Those of a site.
    #[must_use]
    pub fn of(site: &Site) -> Self {
        let used = |entry: &&Entry| matches!(entry.what, Do::Read(_) | Do::Check(_));
        let mut all = site.log().entries().iter().filter(used);
        let first = all.next().map(|it| it.by.trim());
        // Nearly always there is one person, and nothing to be told apart.
        if all.all(|it| Some(it.by.trim()) == first) {
            return Self::default();
        }
        let mut out: BTreeMap<_, BTreeSet<String>> = BTreeMap::new();
        for entry in site.log().entries().iter().filter(used) {
            let (instrument, visit) = match &entry.what {
                Do::Read(it) if !it.is_dc() => (&it.instrument, site.visit_of(&it.state).into()),
                Do::Check(it) => (&it.instrument, it.visit.clone()),
                _ => continue,
            };
            let untold = site.plan().instrument(instrument);
            let untold =
                untold.is_some_and(|it| it.reads == Reads::Impedance && it.serial.is_none());
            if untold && site.log().counts(&entry.id) {
                let by = site.log().measured(entry).by.trim().to_owned();
                let persons = out.entry((instrument.clone(), visit)).or_default();
                persons.insert(by);
            }
        }
        out.retain(|_, persons| persons.len() > 1);
        Self(out)
    }

    /// Who reads with an instrument on a visit, where it may be another for each; else nobody.
    #[must_use]
    pub fn persons(&self, instrument: &InstrumentId, visit: &VisitId) -> Vec<&str> {
        let persons = self.0.get(&(instrument.clone(), visit.clone()));
        persons.into_iter().flatten().map(String::as_str).collect()
    }

    /// In whose hands an instrument was; none where it is one and the same for all.
    #[must_use]
    pub fn holder(&self, instrument: &InstrumentId, visit: &VisitId, by: &str) -> Option<String> {
        // Of nearly every site there is nothing to look up.
        if self.0.is_empty() {
            return None;
        }
        let persons = self.0.get(&(instrument.clone(), visit.clone()));
        persons.map(|_| by.trim().to_owned())
    }
}

impl Site {
    /// The visit that a state belongs to.
    #[must_use]
    pub fn visit_of<'a>(&'a self, state: &'a StateId) -> &'a str {
        let mut state = state;
        for _ in 0..MOST_STATES {
            match self.log().get(&state.as_str().into()).map(|it| &it.what) {
                Some(Do::Repair(repair)) => state = &repair.after,
                _ => break,
            }
        }
        state.as_str()
    }

    /// Whose instruments are whose on this site.
    #[must_use]
    pub fn hands(&self) -> &Hands {
        self.hands.get_or_init(|| Hands::of(self))
    }
}
