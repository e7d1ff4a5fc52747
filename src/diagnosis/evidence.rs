//! Evidence: what was read on one state of a line, as plain values.
//!
//! Never here: how it is weighed.

use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{Figure, Figures, InstrumentId, VisitId};

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Test {
    /// The impedance at the rack, the line whole, at the site's test frequency.
    Rack,
}

/// An instrument on one visit: its readings share one factor.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Meter {
    /// The instrument.
    pub instrument: InstrumentId,
    /// The visit.
    pub visit: VisitId,
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was read.
    pub test: Test,
    /// What the meter showed.
    pub value: Value,
    /// What one step of it is worth: the last digit typed or the instrument's scale step, whichever
    /// is larger.
    pub step: Ohm,
    /// With what and when.
    pub meter: Meter,
    /// The instrument's accuracy.
    pub accuracy: Fraction,
    /// Above this it reads open.
    pub range: Ohm,
}

impl Reading {
    /// A reading at the rack with a plain meter of this accuracy, its range the site's figure.
    #[must_use]
    pub fn at_rack(value: Value, step: Ohm, accuracy: Fraction, figures: &Figures) -> Self {
        Self {
            test: Test::Rack,
            value,
            step,
            meter: Meter::default(),
            accuracy,
            range: Ohm(figures.get(Figure::RangeOhm)),
        }
    }
}

/// What was read on one state of a line, first to last. Only what counts belongs here: the
/// corrected, the struck and those of an earlier state stay in the log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// The readings, earliest first.
    pub readings: Vec<Reading>,
}

impl Evidence {
    /// One reading.
    #[must_use]
    pub fn of(reading: Reading) -> Self {
        Self {
            readings: vec![reading],
        }
    }

    /// Place of the latest rack reading: the verdict rests on it, and misfit is its.
    #[must_use]
    pub fn latest_rack(&self) -> Option<usize> {
        self.readings
            .iter()
            .rposition(|reading| reading.test == Test::Rack)
    }
}
