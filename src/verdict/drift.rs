//! What drifted between two visits by more than both meters can explain.
//!
//! d = ln m2 - ln m1 - (mean g2 - mean g1), u^2 = var g1 + var g2 + own parts of both readings;
//! p = 2 Phi(|d| / u) - 1 = erf(|d| / (u sqrt 2)). Called when p is over the limit: at 0.99, once in
//! a hundred lines that did not drift.
//!
//! Never here: whether both states have the same design.

use super::{Factor, Limits, own_variance};
use crate::quantity::{Fraction, Ohm, Probability, normal};

/// A reading with what its instrument shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Datum {
    /// What the meter showed.
    pub read: Ohm,
    /// What one step of the last digit is worth.
    pub step: Ohm,
    /// The factor of its meter on its visit.
    pub factor: Factor,
}

/// The difference of two readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// Load then over load now, less one, the meters' factors taken out; positive is more load now.
    pub load: Fraction,
    /// Standard uncertainty of ln of the ratio.
    pub u: Fraction,
    /// Probability that it is no accident of the meters.
    pub probability: Probability,
}

/// What two readings of one line tell of a drift. `same_meter` on one visit: its factor is in both
/// readings and falls out.
#[must_use]
pub fn drift(then: Datum, now: Datum, same_meter: bool, limits: &Limits) -> Drift {
    let own = own_variance(then.read, then.step, limits) + own_variance(now.read, now.step, limits);
    let (between, shared) = if same_meter {
        (0.0, 0.0)
    } else {
        (
            now.factor.ln_mean - then.factor.ln_mean,
            now.factor.ln_var + then.factor.ln_var,
        )
    };
    let d = (now.read.get() / then.read.get()).ln() - between;
    let u = (own + shared).sqrt();
    let tail = normal::cdf(-d.abs() / u.max(f64::MIN_POSITIVE));
    Drift {
        load: Fraction((-d).exp() - 1.0),
        u: Fraction(u),
        probability: Probability(1.0 - 2.0 * tail),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Figures;

    fn limits() -> Limits {
        Limits::of(&Figures::default())
    }

    fn datum(ohms: f64) -> Datum {
        Datum {
            read: Ohm(ohms),
            step: Ohm(1.0),
            factor: Factor::of_accuracy(Fraction(0.05)),
        }
    }

    #[test]
    fn the_probability_is_erf_of_the_closed_form() {
        // u^2 = 2 x 0.05^2 / 3 + (1 / (2 sqrt 3 m))^2 + (0.3 / m)^2 for each m.
        let (m1, m2): (f64, f64) = (400.0, 412.0);
        let part = |m: f64| (0.5 / (3f64.sqrt() * m)).powi(2) + (0.3 / m).powi(2);
        let u = (2.0 * 0.0025 / 3.0 + part(m1) + part(m2)).sqrt();
        let wanted = libm::erf((m2 / m1).ln() / (u * 2f64.sqrt()));
        let found = drift(datum(m1), datum(m2), false, &limits());
        assert!((found.probability.get() - wanted).abs() < 1e-12);
        assert!((found.u.get() - u).abs() < 1e-15);
        assert!((found.load.get() - (m1 / m2 - 1.0)).abs() < 1e-12);
    }

    #[test]
    fn three_per_cent_between_two_meters_of_five_is_not_called_and_twenty_five_is() {
        let called = |times: f64| {
            let found = drift(datum(400.0), datum(400.0 * times), false, &limits());
            found.probability.get() > 0.99
        };
        assert!(!called(1.03) && !called(1.0 / 1.03));
        assert!(called(1.25) && called(1.0 / 1.25));
    }

    #[test]
    fn a_known_factor_of_either_meter_is_taken_out() {
        let mut then = datum(400.0);
        then.factor.ln_mean = 1.04f64.ln(); // it read 4 % high
        let now = datum(400.0 / 1.04);
        let found = drift(then, now, false, &limits());
        assert!(found.load.get().abs() < 1e-12);
        assert!(found.probability.get() < 1e-9);
    }

    #[test]
    fn one_meter_on_one_visit_is_in_both_readings_and_falls_out() {
        let found = drift(datum(400.0), datum(408.0), true, &limits());
        assert!(found.u.get() < 0.002, "{found:?}");
        assert!(found.probability.get() > 0.99);
    }
}
