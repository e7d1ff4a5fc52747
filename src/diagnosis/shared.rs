//! The factors that readings of many lines share: each instrument's on each visit, and each
//! loudspeaker type's. What is known of them is one Normal with means and covariance; of a factor
//! that nothing was learned of, the prior is known.
//!
//! Never here: how they are learned.

use super::evidence::Meter;
use crate::quantity::Fraction;
use crate::site::TypeId;

/// A shared factor.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Latent {
    /// ln(read / true) of an instrument on a visit.
    Meter(Meter),
    /// ln(true / marked impedance) of a loudspeaker type.
    Type(TypeId),
}

/// Variance of an instrument's factor before anything is learned: rectangular over its accuracy, a / sqrt 3.
/// Source: JCGM 100, 4.3.7.
pub(super) fn meter_variance(accuracy: Fraction) -> f64 {
    accuracy.get() * accuracy.get() / 3.0
}

/// What is known of the shared factors. The default knows nothing: every factor at its prior, as
/// for one line read alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shared {
    latents: Vec<Latent>,
    mean: Vec<f64>,
    covariance: Vec<f64>,
}

/// Variances of ln are kept above this: a spread of a thousandth.
const LEAST_VARIANCE: f64 = 1e-6;

impl Shared {
    /// Means and covariance (row by row) of these factors, all of them of ln. Whatever is missing or not a number in
    /// them counts as 0, and no variance is under 1e-6.
    #[must_use]
    pub fn new(latents: Vec<Latent>, mean: Vec<f64>, covariance: Vec<f64>) -> Self {
        let n = latents.len();
        let number = |from: &[f64], at: usize| from.get(at).copied().filter(|it| it.is_finite());
        let mean = (0..n).map(|at| number(&mean, at).unwrap_or(0.0)).collect();
        let covariance = (0..n * n)
            .map(|at| {
                let value = number(&covariance, at).unwrap_or(0.0);
                if at / n == at % n {
                    value.max(LEAST_VARIANCE)
                } else {
                    value
                }
            })
            .collect();
        Self {
            latents,
            mean,
            covariance,
        }
    }

    /// The factors of which something is known.
    #[must_use]
    pub fn latents(&self) -> &[Latent] {
        &self.latents
    }

    /// Mean and variance of a factor; none where nothing is known but its prior.
    #[must_use]
    pub fn factor(&self, latent: &Latent) -> Option<(f64, f64)> {
        let at = self.place(latent)?;
        Some((self.mean[at], self.covariance[at * self.latents.len() + at]))
    }

    /// Means and covariance of these factors in this order, each with the variance that its prior
    /// has where nothing is known of it.
    #[must_use]
    pub(super) fn joint(&self, wanted: &[(Latent, f64)]) -> Joint {
        let n = wanted.len();
        let places: Vec<Option<usize>> = wanted
            .iter()
            .map(|(latent, _)| self.place(latent))
            .collect();
        let mean = places
            .iter()
            .map(|place| place.map_or(0.0, |at| self.mean[at]))
            .collect();
        let mut covariance = vec![0.0; n * n];
        for (row, one) in places.iter().enumerate() {
            for (column, other) in places.iter().enumerate() {
                covariance[row * n + column] = match (one, other) {
                    (Some(one), Some(other)) => self.covariance[one * self.latents.len() + other],
                    (None, None) if row == column => wanted[row].1,
                    _ => 0.0,
                };
            }
        }
        Joint { mean, covariance }
    }

    fn place(&self, latent: &Latent) -> Option<usize> {
        self.latents.iter().position(|it| it == latent)
    }
}

/// Means and covariance of some factors, row by row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Joint {
    pub mean: Vec<f64>,
    pub covariance: Vec<f64>,
}

impl Joint {
    /// Covariance of two factors by their places.
    pub fn covariance(&self, row: usize, column: usize) -> f64 {
        self.covariance[row * self.mean.len() + column]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_nothing_is_known_of_stands_at_its_prior_and_apart() {
        let (bowl, horn) = (Latent::Type("bowl".into()), Latent::Type("horn".into()));
        let meter = Latent::Meter(Meter::default());
        let shared = Shared::new(
            vec![bowl.clone(), meter.clone()],
            vec![0.02, -0.04],
            vec![4e-4, -1e-4, -1e-4, 3e-4],
        );
        let joint = shared.joint(&[(meter, 9.0), (horn, 0.0036), (bowl.clone(), 9.0)]);
        assert_eq!(joint.mean, [-0.04, 0.0, 0.02]);
        assert_eq!(
            joint.covariance,
            [3e-4, 0.0, -1e-4, 0.0, 0.0036, 0.0, -1e-4, 0.0, 4e-4]
        );
        assert_eq!(shared.factor(&bowl), Some((0.02, 4e-4)));
    }

    #[test]
    fn nothing_that_is_no_number_gets_in_and_no_variance_is_nothing() {
        let shared = Shared::new(
            vec![Latent::Type("bowl".into())],
            vec![f64::NAN],
            vec![f64::NAN],
        );
        assert_eq!(
            shared.factor(&Latent::Type("bowl".into())),
            Some((0.0, 1e-6))
        );
    }
}
