//! The Normal distribution: the few functions that readings with an uncertainty need, right out
//! to the far tails.
//!
//! Never here: what is Normal and why.

use super::Probability;

/// ln sqrt(2 pi).
const LN_SQRT_TAU: f64 = 0.918_938_533_204_672_7;

/// Probability that a standard Normal lies below `x`; keeps its relative digits where small.
#[must_use]
pub fn cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}

/// ln of the density at `x` of a Normal of this mean and variance. A variance of nothing counts
/// as the smallest that keeps the result a number.
#[must_use]
pub fn ln_pdf(x: f64, mean: f64, variance: f64) -> f64 {
    let variance = variance.max(f64::MIN_POSITIVE);
    let d = x - mean;
    -0.5 * (d * d / variance + variance.ln()) - LN_SQRT_TAU
}

/// Probability that a Normal lies between two limits; without spread it is 0 or 1.
///
/// Either limit may be infinite. This is the conformance probability of JCGM 106, clause 7.
#[must_use]
pub fn between(mean: f64, sd: f64, low: f64, high: f64) -> Probability {
    if sd <= 0.0 {
        return Probability(if (low..=high).contains(&mean) {
            1.0
        } else {
            0.0
        });
    }
    let (below, above) = ((low - mean) / sd, (high - mean) / sd);
    // The smaller tails are taken, so that a probability near 0 keeps its digits.
    let inside = if below > 0.0 {
        cdf(-below) - cdf(-above)
    } else {
        cdf(above) - cdf(below)
    };
    Probability(inside.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_conformance_probability_of_jcgm_106_example_7_4_comes_out() {
        // JCGM 106:2012, 7.4: best estimate 13.6, standard uncertainty 1.8, tolerance interval
        // 12.5 to 16.3. The printed result is about 0.66; to five digits 0.66263.
        let p = between(13.6, 1.8, 12.5, 16.3).get();
        assert!((p - 0.66263).abs() < 5e-6, "{p}");
    }

    #[test]
    fn one_sided_points_of_the_normal_table_come_out() {
        // Any table of the standard Normal distribution.
        for (x, p) in [
            (0.8416, 0.80),
            (1.2816, 0.90),
            (1.6449, 0.95),
            (1.9600, 0.975),
            (2.3263, 0.99),
            (3.0902, 0.999),
        ] {
            assert!((cdf(x) - p).abs() < 2e-5, "{x}");
            assert!((cdf(-x) - (1.0 - p)).abs() < 2e-5, "-{x}");
        }
    }

    #[test]
    fn the_density_is_the_slope_of_the_probability() {
        for x in [-3.0, -0.4, 0.0, 1.7] {
            let slope = (cdf(x + 1e-5) - cdf(x - 1e-5)) / 2e-5;
            assert!((ln_pdf(x, 0.0, 1.0).exp() - slope).abs() < 1e-9, "{x}");
        }
        assert!(ln_pdf(1.0, 1.0, 0.0).is_finite());
    }

    #[test]
    fn limits_may_be_missing_and_a_spread_may_be_nothing() {
        assert_eq!(
            between(0.0, 1.0, f64::NEG_INFINITY, f64::INFINITY).get(),
            1.0
        );
        assert_eq!(between(0.5, 0.0, 0.0, 1.0).get(), 1.0);
        assert_eq!(between(1.5, 0.0, 0.0, 1.0).get(), 0.0);
        assert!(between(0.0, 1.0, 10.0, 11.0).get() > 7.6e-24);
    }
}
