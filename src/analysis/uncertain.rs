//! How sure a reading is, given what was learned of the meter that it was taken with.

use super::{Analyst, Taken};
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{InstrumentId, Site};
use crate::verdict::{Datum, Factor, u_of_reading};

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
