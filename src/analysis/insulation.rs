//! What the insulation of a line is worth in one state of it, where it was read more than once. A low
//! reading is not undone by a better one after it: moisture dries and a tester at less volts finds less.
//! It stands until the line was repaired, a state of its own, or two readings after it, of the same cores
//! and at no less volts, agree that it is not low.
//!
//! Never here: the minimum itself (`verdict`).

use crate::quantity::{Insulation, Ohm, Volt};
use crate::site::{Entry, Insulate, Leg};
use crate::verdict::{self, InsulationWord, Limits};
use jiff::Timestamp;

/// So many readings after a low one, in order, settle that it is not low.
const SETTLE: usize = 2;

/// The insulation of a state: its last reading, or a low one before it that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct InsulationResult {
    /// What the tester showed.
    pub value: Insulation,
    /// At which voltage.
    pub test_v: Volt,
    /// Which cores against earth.
    pub leg: Leg,
    /// What it is worth.
    pub word: InsulationWord,
    /// The least that is wanted.
    pub least: Ohm,
    /// When.
    pub at: Timestamp,
    /// Where this is a low one that stands though a later one was better: the latest of those.
    pub later: Option<Box<InsulationResult>>,
    /// Of one core alone: the latest reading of the other, by itself or joined with this.
    pub other: Option<Box<InsulationResult>>,
}

impl InsulationResult {
    /// What the readings of a state, in their order, come to; none where there is none.
    pub(super) fn of(readings: &[(&Entry, &Insulate)], elv: bool, limits: &Limits) -> Option<Self> {
        let word = |it: &Insulate| verdict::insulation(it.value, elv, Some(it.test_v), limits);
        let last = readings.last()?;
        let stands = readings.iter().enumerate().rev().find(|(at, (_, low))| {
            let settles = |(_, it): &&(&Entry, &Insulate)| {
                word(it) == InsulationWord::In
                    && it.test_v >= low.test_v
                    && (it.leg == low.leg || it.leg == Leg::Both)
            };
            word(low) == InsulationWord::Low
                && readings[at + 1..].iter().filter(settles).count() < SETTLE
        });
        let alone = |(entry, it): &(&Entry, &Insulate)| Self {
            value: it.value,
            test_v: it.test_v,
            leg: it.leg,
            word: word(it),
            least: verdict::least_insulation(elv, Some(it.test_v), limits),
            at: entry.at,
            later: None,
            other: None,
        };
        let that = stands.map_or(readings.last()?, |(_, it)| it);
        let later = stands.is_some_and(|(at, _)| at + 1 < readings.len());
        let is_other = |(_, it): &&(&Entry, &Insulate)| it.leg != that.1.leg;
        let other = readings.iter().rev().find(is_other);
        Some(Self {
            later: later.then(|| Box::new(alone(last))),
            other: other
                .filter(|_| that.1.leg != Leg::Both)
                .map(|it| Box::new(alone(it))),
            ..alone(that)
        })
    }
}
