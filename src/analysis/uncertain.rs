//! How sure a reading is, given what was learned of the meter that it was taken with.

use super::{Analyst, Taken};
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::InstrumentId;
use crate::verdict::{Datum, Factor, u_of_reading};

impl Analyst {
    /// What the readings of an instrument share on the latest visit; a plain meter's where nothing
    /// is known of it.
    #[must_use]
    pub fn factor(&self, instrument: Option<&InstrumentId>) -> Factor {
        self.common.factor(instrument)
    }

    /// Relative standard uncertainty of a reading (meter, last digit, contacts); none of an open or
    /// a short line.
    #[must_use]
    pub fn u_rel(&self, taken: &Taken) -> Option<Fraction> {
        let datum = self.datum(taken)?;
        Some(u_of_reading(
            datum.read,
            datum.step,
            datum.factor,
            self.limits(),
        ))
    }

    /// A reading with its meter's factor; none of an open or a short line.
    #[must_use]
    pub fn datum(&self, taken: &Taken) -> Option<Datum> {
        match taken.value {
            Value::Ohm(read) if read.get() > 0.0 => Some(Datum {
                read,
                step: Ohm(taken.step.get()),
                factor: self.factor(taken.instrument.as_ref()),
            }),
            _ => None,
        }
    }
}
