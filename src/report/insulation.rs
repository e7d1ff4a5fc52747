//! A reading of insulation as a row, and in words.
//!
//! Never here: what it is worth.

use crate::analysis::InsulationResult;
use crate::quantity::{Insulation, Ohm, Volt, show};
use crate::site::Leg;
use crate::verdict::InsulationWord;
use serde::Serialize;

/// An insulation reading.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct InsulationRow {
    /// Ohms; of a reading above the range, the range's end.
    pub ohms: f64,
    /// The reading is above the tester's range.
    pub above_range: bool,
    /// Test voltage, V.
    pub test_v: f64,
    /// The cores it was read on, against earth: `both` joined, `a` or `b`.
    pub leg: &'static str,
    /// The same, for words: no part of the JSON.
    #[serde(skip)]
    pub cores: Leg,
    /// The least that is wanted, ohm: no part of the JSON.
    #[serde(skip)]
    pub least_ohm: f64,
    /// `in-tolerance`, `out-of-tolerance`, or `unknown` where the range ends too low.
    pub verdict: &'static str,
    /// When it was read: no part of the JSON.
    #[serde(skip)]
    pub at: String,
    /// A better one after a low one that stands, as figure and voltage: no part of the JSON.
    #[serde(skip)]
    pub later: Option<String>,
    /// Of one core alone the latest reading of the other.
    pub other: Option<Box<InsulationRow>>,
}

impl InsulationRow {
    /// Of what was read on a line, with what it is worth.
    pub(super) fn of(result: &InsulationResult) -> Self {
        let (ohm, above_range) = match result.value {
            Insulation::Ohm(ohm) => (ohm, false),
            Insulation::Above(ohm) => (ohm, true),
        };
        let later = |it: &InsulationResult| {
            let (value, volts) = (show::insulation(it.value), show::volt(it.test_v));
            format!("{value} at {volts}{}", it.leg.behind())
        };
        Self {
            ohms: ohm.get(),
            above_range,
            test_v: result.test_v.get(),
            least_ohm: result.least.get(),
            verdict: result.word.as_str(),
            leg: result.leg.as_str(),
            cores: result.leg,
            at: result.at.to_string(),
            later: result.later.as_deref().map(later),
            other: result.other.as_deref().map(|it| Box::new(Self::of(it))),
        }
    }

    /// Whether it is below what is wanted.
    pub(super) fn is_low(&self) -> bool {
        self.verdict == InsulationWord::Low.as_str()
    }

    /// `200 Mohm at 500 V`.
    pub(super) fn told(&self) -> String {
        format!(
            "{} at {}{}",
            self.figure(),
            show::volt(Volt(self.test_v)),
            self.cores.behind()
        )
    }

    /// Of one that is too low: `12.0 kohm at 500 V`, and the least that is wanted.
    pub(super) fn low(&self) -> Option<[String; 2]> {
        self.is_low()
            .then(|| [self.told(), show::ohm(Ohm(self.least_ohm))])
    }

    /// `200 Mohm`, `over 1.00 Gohm`.
    pub(super) fn figure(&self) -> String {
        let above = if self.above_range { "over " } else { "" };
        format!("{above}{}", show::ohm(Ohm(self.ohms)))
    }
}
