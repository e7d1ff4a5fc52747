//! How well each pair of faults explains a single figure, in columns: the same sum as in `likelihood`,
//! for all pairs of one first fault at once.
//!
//! Never here: other evidence than one figure.

use super::batch::Batch;
use super::likelihood::{Likelihood, Plain};
use super::slips::Numeric;
use crate::quantity::lanes::{LANES, Level, Simd, dispatch, exp, f64x4, load, store};
use fearless_simd::prelude::*;

/// Past this exponent a Normal is nothing beside a slip that makes a reading at least so dense. Were
/// the whole variance of a reading as small as 1e-12, which no meter's is, its density would be
/// under e^-60 / sqrt(2 pi 1e-12) = 3.5e-21: less than 1e-12 of the slip's.
const NOTHING_FROM: f64 = 60.0;
const BESIDE_SLIP: f64 = 1e-8;

/// What each pair of a batch makes of one figure.
#[derive(Clone, Debug, Default)]
pub(super) struct Densities {
    /// The likelihood; as many as the columns of a batch have places.
    pub whole: Vec<f64>,
    /// The part of it, the same for all, that is a slip of the latest reading.
    pub slipped: f64,
    /// Sum of weight times likelihood of all of them, slips left out.
    pub right: f64,
}

impl Likelihood {
    /// Whether there is one figure and nothing else.
    pub fn is_plain(&self) -> bool {
        self.plain.is_some() && self.slips.extreme.is_empty() && !self.slips.numeric.is_empty()
    }

    /// What pairs make of one figure, without a logarithm; where [`Self::is_plain`].
    pub fn plain_each(&self, batch: &Batch<'_>, out: &mut Densities) {
        let (Some(one), Some(it)) = (self.plain, self.slips.numeric.first()) else {
            return;
        };
        out.slipped = if one.is_latest { one.slipped } else { 0.0 };
        out.whole.resize(batch.ln_z().len(), 0.0);
        let whole = &mut out.whole;
        out.right = dispatch!(Level::new(), simd => self.weigh_each(simd, one, it, batch, whole));
    }

    #[inline(always)]
    fn weigh_each<S: Simd>(
        &self,
        simd: S,
        one: Plain,
        it: &Numeric,
        batch: &Batch<'_>,
        whole: &mut [f64],
    ) -> f64 {
        let all = |x| f64x4::splat(simd, x);
        let (meter, first) = (self.meter_of[it.at], self.meters);
        let nothing_from = all(if one.slipped > BESIDE_SLIP {
            NOTHING_FROM
        } else {
            f64::INFINITY
        });
        let (ln_z, own, contacts) = (batch.ln_z(), batch.own(), batch.contacts());
        let mut right = all(0.0);
        for at in (0..batch.seconds.len()).step_by(LANES) {
            let mut off = it.ln_m - load(simd, ln_z, at) - self.joint.mean[meter];
            let mut shared = all(self.joint.covariance(meter, meter));
            for of in 0..batch.types {
                let w = load(simd, batch.weights_of(of), at);
                let mut with = all(2.0 * self.joint.covariance(meter, first + of));
                for other in 0..batch.types {
                    let covariance = self.joint.covariance(first + of, first + other);
                    with += load(simd, batch.weights_of(other), at) * covariance;
                }
                off -= w * self.joint.mean[first + of];
                shared += w * with;
            }
            // A covariance that came from elsewhere may be off in its last digits.
            let shared = shared.max(all(0.0));
            let variance = shared + load(simd, own, at) + load(simd, contacts, at) + it.digit;
            let inverse = 1.0 / variance.max(all(f64::MIN_POSITIVE));
            let exponent = off * off * inverse * 0.5;
            let counts = exponent.simd_lt(nothing_from);
            let mut density = all(0.0);
            if counts.any_true() {
                let peak = (inverse * (0.5 * std::f64::consts::FRAC_1_PI)).sqrt();
                density = counts.select(exp(-exponent) * peak, density);
            }
            // Columns end in places of no meaning but a weight of 0.
            let weight = load(simd, batch.weight(), at);
            let counts = weight.simd_gt(all(0.0));
            right += counts.select(density * weight, all(0.0));
            store(whole, at, density * one.right + one.slipped);
        }
        right.reduce_sum() * one.right
    }
}

#[cfg(test)]
mod tests {
    use super::super::example;
    use super::super::{Evidence, Prepared, Reading, Shared};
    use super::*;
    use crate::quantity::{Fraction, Ohm, Value};
    use crate::site::{Figure, Figures};

    #[test]
    fn in_columns_each_pair_is_worth_what_it_is_worth_alone_and_what_is_left_out_is_nothing() {
        // Without slips nothing may be left out, however far off.
        for slip in [0.01, 0.0] {
            let figures = Figures::with([(Figure::Slip, slip)]);
            let prepared = Prepared::new(&example::line(), &figures, false);
            for ohm in [0.5, 30.0, 560.0, 833.0, 40_000.0] {
                let reading =
                    Reading::at_rack(Value::Ohm(Ohm(ohm)), Ohm(1.0), Fraction(0.05), &figures);
                let evidence = Evidence::of(reading);
                let likelihood =
                    Likelihood::new(&evidence, &Shared::default(), prepared.types(), &figures);
                assert!(likelihood.is_plain());
                let mut pairs = Vec::new();
                prepared.each_batch(|batch| {
                    let mut densities = Densities::default();
                    likelihood.plain_each(batch, &mut densities);
                    let (mut at, mut whole) = (0, Vec::new());
                    for (weight, density) in batch.weight().iter().zip(&densities.whole) {
                        if *weight > 0.0 {
                            whole.push(*density);
                        }
                    }
                    batch.each(|row| {
                        let want = likelihood.of(row.prediction, row.weights).ln.exp();
                        pairs.push((whole[at], want));
                        at += 1;
                    });
                });
                assert!(pairs.len() > 400, "{}", pairs.len());
                for (got, want) in pairs {
                    assert!(
                        (got - want).abs() <= 1e-12 * want + 1e-200,
                        "{got} is not {want}"
                    );
                }
            }
        }
    }
}
