//! Whose instrument it was. Every copy of a site is born with the same plain `meter`: two engineers, each with
//! a copy and a meter of his own, read with two meters under one name. As long as no serial number says that
//! it is one, what several persons read with on a visit is one meter for each of them.
//!
//! Never here: what a meter is worth.

use super::Site;
use super::entry::{Do, Entry};
use super::id::{InstrumentId, StateId, VisitId};
use super::item::{Instrument, Reads};
use std::collections::{BTreeMap, BTreeSet};

/// A chain of repairs is never so long: a ring (a hostile file) comes to an end.
const MOST_STATES: usize = 1000;

/// Who reads with an instrument on a visit.
type Persons = BTreeSet<String>;

/// Impedance meters that no serial number tells apart, and who read with each on a visit. Two sites are alike
/// in it where two or more persons share the same.
#[derive(Clone, Debug, Default)]
pub struct Hands(BTreeMap<(InstrumentId, VisitId), Persons>);

impl Hands {
    /// Those of a site.
    #[must_use]
    pub fn of(site: &Site) -> Self {
        let mut hands = Self::default();
        for entry in site.log().entries() {
            hands.add(site, entry);
        }
        hands
    }

    /// Takes one more entry of the site in that strikes and changes nothing.
    pub(super) fn add(&mut self, site: &Site, entry: &Entry) {
        let (instrument, visit) = match &entry.what {
            Do::Read(it) if !it.is_dc() => (&it.instrument, site.visit_of(&it.state).into()),
            Do::Check(it) => (&it.instrument, it.visit.clone()),
            _ => return,
        };
        let untold = |it: &Instrument| it.reads == Reads::Impedance && it.serial.is_none();
        if site.plan().instrument(instrument).is_some_and(untold) && site.log().counts(&entry.id) {
            let by = site.log().measured(entry).by.trim().to_owned();
            let persons = self.0.entry((instrument.clone(), visit)).or_default();
            persons.insert(by);
        }
    }

    /// Those that two or more read with.
    fn several(&self) -> impl Iterator<Item = (&(InstrumentId, VisitId), &Persons)> {
        self.0.iter().filter(|(_, persons)| persons.len() > 1)
    }

    fn of_several(&self, instrument: &InstrumentId, visit: &VisitId) -> Option<&Persons> {
        let mut several = self.several();
        let own = several.find(|((of, on), _)| of == instrument && on == visit);
        own.map(|(_, persons)| persons)
    }

    /// Who reads with an instrument on a visit, where it may be another for each; else nobody.
    #[must_use]
    pub fn persons(&self, instrument: &InstrumentId, visit: &VisitId) -> Vec<&str> {
        let persons = self.of_several(instrument, visit);
        persons.into_iter().flatten().map(String::as_str).collect()
    }

    /// In whose hands an instrument was; none where it is one and the same for all.
    #[must_use]
    pub fn holder(&self, instrument: &InstrumentId, visit: &VisitId, by: &str) -> Option<String> {
        let persons = self.of_several(instrument, visit);
        persons.map(|_| by.trim().to_owned())
    }
}

impl PartialEq for Hands {
    fn eq(&self, other: &Self) -> bool {
        self.several().eq(other.several())
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
