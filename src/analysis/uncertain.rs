//! How sure a reading is, given what was learned of the meter that it was taken with.

use super::{Analyst, Taken};
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{InstrumentId, Site};
use crate::verdict::{Datum, Factor, u_of_reading};

/// What a meter reads high or low by less is in nobody's way: half of what a plain one may. \[assumed\]
const LEAST_TOLD: f64 = 0.025;

impl Analyst {
    /// What the readings of an instrument in somebody's hands share on the latest visit; a plain meter's
    /// where nothing is known of it.
    #[must_use]
    pub(super) fn factor_in_hands(
        &self,
        site: &Site,
        (instrument, by): (&InstrumentId, &str),
    ) -> Factor {
        let hand = site.hands().holder(instrument, &site.visit(), by);
        self.common.factor(Some(instrument), hand.as_deref())
    }

    /// What the meter of a reading was found to read high (above nought) or low, as a share, and what the reading
    /// is without that. None where it is small, or no more than what is not known of it.
    #[must_use]
    pub fn meter_reads(&self, taken: &Taken) -> Option<(Fraction, Ohm)> {
        let datum = self.datum(taken)?;
        let mean = datum.factor.ln_mean;
        let told = mean.abs() >= LEAST_TOLD && mean * mean > 4.0 * datum.factor.ln_var;
        told.then(|| {
            (
                Fraction(mean.exp() - 1.0),
                Ohm(datum.read.get() / mean.exp()),
            )
        })
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
                factor: self
                    .common
                    .factor(taken.instrument.as_ref(), taken.hand.as_deref()),
            }),
            _ => None,
        }
    }
}
