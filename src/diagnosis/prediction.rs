//! What one hypothesis predicts for the reading at the rack.
//!
//! Never here: hypotheses, readings.

use super::slips::Extreme;
use crate::circuit::Response;
use crate::quantity::{Admittance, Ohm, normal};

/// What one hypothesis predicts for the reading at the rack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// ln|Z|, plus infinity where nothing is connected.
    pub ln_z: f64,
    /// Variance of ln|Z| from the loudspeakers' own factors, the runs' lengths and an unlisted
    /// load's own factor.
    pub own: f64,
    /// Relative variance of the contacts of a reading.
    pub contacts: f64,
}

/// Squares of admittances that are neither nothing nor beyond all cables.
pub(super) const WITHIN: [f64; 2] = [1e-200, 1e24];

impl Prediction {
    /// Nothing is connected.
    pub const OPEN: Self = Self {
        ln_z: f64::INFINITY,
        own: 0.0,
        contacts: 0.0,
    };

    /// Of what a line gives at the rack, its contacts of this spread.
    pub(super) fn of(response: Response, contacts: Ohm) -> Self {
        let own = if response.variance.is_finite() {
            response.variance
        } else {
            0.0
        };
        Self {
            own,
            ..Self::without_spread(response.y_in, contacts)
        }
    }

    /// What an admittance reads, its own variance left out.
    pub(super) fn without_spread(y_in: Admittance, contacts: Ohm) -> Self {
        // Far from the ends of the numbers the root can wait for the logarithm.
        let square = y_in.norm_sqr();
        if square > WITHIN[0] && square < WITHIN[1] {
            return Self {
                ln_z: -0.5 * square.ln(),
                own: 0.0,
                contacts: contacts.get() * contacts.get() * square,
            };
        }
        let siemens = y_in.norm();
        if siemens == 0.0 {
            return Self::OPEN;
        }
        let siemens = siemens.clamp(f64::MIN_POSITIVE, 1e12);
        let contacts = contacts.get() * siemens;
        Self {
            ln_z: -siemens.ln(),
            own: 0.0,
            contacts: contacts * contacts,
        }
    }

    /// Probability that a reading of this mean shows no figure; `variance` without contacts and last
    /// digit.
    pub(super) fn beyond(&self, mean: f64, variance: f64, it: &Extreme) -> f64 {
        if self.ln_z == f64::INFINITY {
            return if it.open { 1.0 } else { 0.0 };
        }
        let variance = (variance + self.contacts).max(f64::MIN_POSITIVE);
        let d = (mean - it.ln_limit) / variance.sqrt();
        normal::cdf(if it.open { d } else { -d })
    }
}
