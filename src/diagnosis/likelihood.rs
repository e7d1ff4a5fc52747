//! How well a hypothesis explains the readings of a line, taken together.
//!
//! Under a hypothesis the numeric readings are jointly Normal in ln:
//!
//! ```text
//!   mean_r = ln|Z| + g_r + sum w_t t            w_t = sum of d ln|Z| / d ln|z_k| over a type
//!   cov_rs = own + [1, w] C [1, w]^T            own = sum J^2, J = derivative times spread
//!            + last digit and contacts of r where r = s
//! ```
//!
//! with (g, t) of mean M and covariance C; all derivatives are those under the hypothesis. `open`
//! and `short` are the Normal mass beyond the limit, the last digit left out. Slips are summed as
//! in `slips`.
//!
//! Never here: how likely a hypothesis is beforehand.

use super::evidence::Evidence;
use super::given::{Given, Numbers};
use super::prediction::Prediction;
use super::shared::{Joint, Latent, Shared, meter_variance};
use super::slips::{Slips, ln_add};
use crate::quantity::normal;
use crate::site::{Figure, Figures, TypeId};

/// The readings of a line, made ready to be held against hypotheses.
#[derive(Clone, Debug)]
pub(super) struct Likelihood {
    pub(super) slips: Slips,
    /// The factors of the meters, then of the types.
    pub(super) joint: Joint,
    pub(super) meters: usize,
    /// Which meter each reading was taken with.
    pub(super) meter_of: Vec<usize>,
    /// Place in the slips' numeric readings of the latest rack reading.
    latest: Option<usize>,
    /// Where there is one figure, the two terms of its sum, in plain numbers.
    pub(super) plain: Option<Plain>,
}

/// The likelihood of a single figure, which is right or slipped.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plain {
    pub right: f64,
    pub slipped: f64,
    pub is_latest: bool,
}

/// What a hypothesis makes of the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Weighed {
    /// ln of the likelihood; minus infinity where it cannot be.
    pub ln: f64,
    /// Probability under the hypothesis that the latest rack reading slipped.
    pub latest_slipped: f64,
}

/// A hypothesis' own part of means and covariances.
struct Under<'a> {
    prediction: Prediction,
    weights: &'a [f64],
    /// sum w t, its variance.
    types_mean: f64,
    types_variance: f64,
}

impl Likelihood {
    pub fn new(evidence: &Evidence, shared: &Shared, types: &[TypeId], figures: &Figures) -> Self {
        let mut wanted: Vec<(Latent, f64)> = Vec::new();
        let mut meter_of = Vec::new();
        for reading in &evidence.readings {
            let latent = Latent::Meter(reading.meter.clone());
            let place = wanted.iter().position(|(it, _)| *it == latent);
            meter_of.push(place.unwrap_or(wanted.len()));
            if place.is_none() {
                wanted.push((latent, meter_variance(reading.accuracy)));
            }
        }
        let meters = wanted.len();
        let spread = figures.get(Figure::SpreadType);
        wanted.extend(
            types
                .iter()
                .map(|of| (Latent::Type(of.clone()), spread * spread)),
        );
        let slips = Slips::of(evidence, figures);
        let plain = match slips.terms.as_slice() {
            [right, slipped] if right.weighed == [0] && slipped.weighed.is_empty() => Some(Plain {
                right: right.ln_coefficient.exp(),
                slipped: slipped.ln_coefficient.exp(),
                is_latest: slips.latest_numeric() == Some(0),
            }),
            _ => None,
        };
        Self {
            latest: slips.latest_numeric(),
            plain,
            slips,
            joint: shared.joint(&wanted),
            meters,
            meter_of,
        }
    }

    /// Whether there is no reading, so that every hypothesis explains all there is.
    pub fn is_nothing(&self) -> bool {
        self.slips.extreme.is_empty() && self.slips.numeric.is_empty()
    }

    fn under<'a>(&self, prediction: Prediction, weights: &'a [f64]) -> Under<'a> {
        let mut under = Under {
            prediction,
            weights,
            types_mean: 0.0,
            types_variance: 0.0,
        };
        for (one, w) in weights.iter().enumerate() {
            under.types_mean += w * self.joint.mean[self.meters + one];
            for (other, v) in weights.iter().enumerate() {
                under.types_variance += w
                    * v
                    * self
                        .joint
                        .covariance(self.meters + one, self.meters + other);
            }
        }
        under
    }

    /// What a hypothesis with this prediction makes of the readings.
    pub fn of(&self, prediction: Prediction, weights: &[f64]) -> Weighed {
        let under = self.under(prediction, weights);
        let mut ln = 0.0;
        let mut latest_slipped = 0.0;
        for it in &self.slips.extreme {
            let variance = self.covariance(&under, it.at, it.at);
            let mass = prediction.beyond(self.mean(&under, it.at), variance, it);
            let total = self.slips.right * mass + it.slip;
            ln += total.ln();
            if self.slips.latest == Some(it.at) && total > 0.0 {
                latest_slipped = it.slip / total;
            }
        }
        if let Some(one) = self.plain {
            // One figure: it is right, or it slipped.
            let right = one.right * self.density(&under).exp();
            let total = right + one.slipped;
            return Weighed {
                ln: ln + total.ln(),
                latest_slipped: if one.is_latest && total > 0.0 {
                    one.slipped / total
                } else {
                    latest_slipped
                },
            };
        }
        let numbers = Numbers::of(
            &self.slips.numeric,
            |it| (self.mean(&under, it.at), prediction.contacts),
            |one, other| self.covariance(&under, one.at, other.at),
        );
        let (mut numeric, mut slipped) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        for term in &self.slips.terms {
            let Some(Given { ln: density, .. }) = numbers.given(&term.weighed) else {
                continue;
            };
            numeric = ln_add(numeric, term.ln_coefficient + density);
            if let Some(latest) = self.latest {
                slipped = ln_add(slipped, term.ln_slipped[latest] + density);
            }
        }
        if numeric > f64::NEG_INFINITY && slipped > f64::NEG_INFINITY {
            latest_slipped = (slipped - numeric).exp();
        }
        Weighed {
            ln: ln + numeric,
            latest_slipped,
        }
    }

    fn mean(&self, under: &Under<'_>, reading: usize) -> f64 {
        under.prediction.ln_z + self.joint.mean[self.meter_of[reading]] + under.types_mean
    }

    /// Covariance of two readings without what is each one's own.
    fn covariance(&self, under: &Under<'_>, one: usize, other: usize) -> f64 {
        let (g, h) = (self.meter_of[one], self.meter_of[other]);
        let crossed: f64 = under
            .weights
            .iter()
            .enumerate()
            .map(|(of, w)| {
                let of = self.meters + of;
                w * (self.joint.covariance(g, of) + self.joint.covariance(h, of))
            })
            .sum();
        // A covariance that came from elsewhere may be off in its last digits.
        under.prediction.own
            + (self.joint.covariance(g, h) + crossed + under.types_variance).max(if one == other {
                0.0
            } else {
                f64::NEG_INFINITY
            })
    }

    /// ln of the density of a single figure.
    fn density(&self, under: &Under<'_>) -> f64 {
        let [it] = &self.slips.numeric[..] else {
            return f64::NEG_INFINITY;
        };
        if under.prediction.ln_z == f64::INFINITY {
            return f64::NEG_INFINITY;
        }
        let variance = self.covariance(under, it.at, it.at) + under.prediction.contacts + it.digit;
        normal::ln_pdf(it.ln_m, self.mean(under, it.at), variance)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Meter, Reading};
    use super::*;
    use crate::quantity::{Fraction, Ohm, Value};

    fn likelihood(readings: Vec<Reading>) -> Likelihood {
        Likelihood::new(
            &Evidence {
                readings,
                ..Evidence::default()
            },
            &Shared::default(),
            &["bowl".into()],
            &Figures::default(),
        )
    }

    fn reading(value: Value, step: f64) -> Reading {
        Reading::at_rack(value, Ohm(step), Fraction(0.05), &Figures::default())
    }

    fn predicts(z: f64, own: f64) -> Prediction {
        Prediction {
            ln_z: z.ln(),
            own,
            contacts: (0.3 / z).powi(2),
        }
    }

    #[test]
    fn one_reading_is_a_normal_of_meter_type_own_part_digit_and_contacts_plus_its_slip() {
        let one = likelihood(vec![reading(Value::Ohm(Ohm(380.0)), 10.0)]);
        let got = one.of(predicts(400.0, 1e-3), &[0.9]);
        let variance = 0.05f64.powi(2) / 3.0
            + 0.9f64.powi(2) * 0.06f64.powi(2)
            + 1e-3
            + (10.0f64 / 380.0).powi(2) / 12.0
            + (0.3f64 / 400.0).powi(2);
        let d = (380.0f64 / 400.0).ln();
        let density =
            (-0.5 * d * d / variance).exp() / (2.0 * std::f64::consts::PI * variance).sqrt();
        let slip = 0.01 * 0.5 / 1e6f64.ln();
        let total = 0.99 * density + slip;
        assert!((got.ln - total.ln()).abs() < 1e-12);
        assert!((got.latest_slipped - slip / total).abs() < 1e-15);
    }

    #[test]
    fn open_and_short_are_the_mass_beyond_without_the_last_digit() {
        let z = 90_000.0;
        let open = likelihood(vec![reading(Value::Open, 0.0)]);
        let got = open.of(predicts(z, 0.01), &[0.0]);
        let sd = (0.05f64.powi(2) / 3.0 + 0.01 + (0.3 / z).powi(2)).sqrt();
        let mass = normal::cdf((z / 1e5).ln() / sd);
        assert!((got.ln.exp() - (0.99 * mass + 0.003)).abs() < 1e-12);
        // Nothing connected reads open for sure and short only by a slip.
        let nothing = Prediction::OPEN;
        assert!((open.of(nothing, &[0.0]).ln.exp() - 0.993).abs() < 1e-12);
        let short = likelihood(vec![reading(Value::Short, 0.0)]);
        let got = short.of(nothing, &[0.0]);
        assert!((got.ln.exp() - 0.002).abs() < 1e-12 && got.latest_slipped == 1.0);
    }

    #[test]
    fn two_meters_share_the_lines_tolerances_but_not_their_factors() {
        // Two instruments read the same: the joint Normal of covariance own + w^2 s_t^2 off the
        // diagonal, the meters' own factors and parts on it.
        let mut second = reading(Value::Ohm(Ohm(410.0)), 1.0);
        second.meter = Meter {
            instrument: "other".into(),
            visit: "visit-1".into(),
            hand: None,
        };
        let first = reading(Value::Ohm(Ohm(380.0)), 1.0);
        let both = likelihood(vec![first, second]);
        let got = both.of(predicts(400.0, 1e-3), &[0.9]);
        let common = 1e-3 + 0.81 * 0.0036;
        let own = |m: f64| {
            0.0025 / 3.0 + (1.0 / m / 2.0).powi(2) / 3.0 + (0.3f64 / 400.0).powi(2) + common
        };
        let (a, b) = (own(380.0), own(410.0));
        let (x, y) = ((380.0f64 / 400.0).ln(), (410.0f64 / 400.0).ln());
        let det = a * b - common * common;
        let quadratic = (b * x * x - 2.0 * common * x * y + a * y * y) / det;
        let density = (-0.5 * quadratic).exp() / (2.0 * std::f64::consts::PI * det.sqrt());
        let normal =
            |d: f64, v: f64| (-0.5 * d * d / v).exp() / (2.0 * std::f64::consts::PI * v).sqrt();
        let slip = 0.005 / 1e6f64.ln();
        let total =
            0.99 * 0.99 * density + 0.99 * slip * (normal(x, a) + normal(y, b)) + slip * slip;
        assert!(
            (got.ln - total.ln()).abs() < 1e-9,
            "{} {}",
            got.ln,
            total.ln()
        );
        let latest = (0.99 * slip * normal(x, a) + slip * slip) / total;
        assert!((got.latest_slipped - latest).abs() < 1e-12);
    }
}
