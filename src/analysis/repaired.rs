//! A line that was repaired on this visit and not read since: what it read before. That a fault was mended
//! is a word until a meter says so.
//!
//! Never here: what may be done with such a line (`review`).

use super::insulation::InsulationResult;
use crate::quantity::{Insulation, Value};
use crate::site::{Do, History, Site, StateId};
use crate::verdict::{InsulationWord, Limits};
use jiff::Timestamp;

/// What a line read before a repair that no reading followed yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Repaired {
    /// When the last repair was.
    pub at: Timestamp,
    /// What it read at the rack before; none where nothing was read, or where it was read again since.
    pub was: Option<Value>,
    /// That was so low that it must not be connected.
    pub was_stop: bool,
    /// Insulation before, where that was low and was not read again since.
    pub was_low: Option<Insulation>,
}

impl Repaired {
    /// Of a line in its latest state; none where that began with no repair, or nothing is left to prove.
    pub(super) fn of(
        site: &Site,
        history: &History<'_>,
        state: &StateId,
        elv: bool,
        limits: &Limits,
    ) -> Option<Self> {
        let of_state = |state: &StateId| {
            let entry = site.log().get(&state.as_str().into())?;
            match &entry.what {
                Do::Repair(repair) => Some((entry.at, repair.after.clone())),
                _ => None,
            }
        };
        let (at, mut before) = of_state(state)?;
        let load = |state: &StateId| history.rack(site, state).map(|(_, read)| read.value);
        let insulation =
            |state: &StateId| InsulationResult::of(&history.insulation(site, state), elv, limits);
        let (mut was, mut was_insulation) = (None, None);
        // Of a repair after a repair nobody read what was in between: what stood before both counts.
        for _ in 0..history.entries().len() {
            was = was.or_else(|| load(&before));
            was_insulation = was_insulation.or_else(|| insulation(&before));
            match of_state(&before) {
                Some((_, earlier)) => before = earlier,
                None => break,
            }
        }
        let was = was.filter(|_| load(state).is_none());
        let was_low = was_insulation
            .filter(|it| it.word == InsulationWord::Low && insulation(state).is_none())
            .map(|it| it.value);
        let was_stop = was.is_some_and(|value| limits.is_stop(value));
        (was.is_some() || was_low.is_some()).then_some(Self {
            at,
            was,
            was_stop,
            was_low,
        })
    }

    /// It read short or open, or its insulation was low, and no reading says that this is over.
    #[must_use]
    pub fn is_unproven(&self) -> bool {
        self.is_load_unproven() || self.was_low.is_some()
    }

    /// It read short or open, and was not read since.
    #[must_use]
    pub fn is_load_unproven(&self) -> bool {
        self.was_stop || self.was == Some(Value::Open)
    }
}
