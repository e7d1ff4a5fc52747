//! The numeric readings of a line under one hypothesis: the density of those that stand, and what
//! they say of others.
//!
//! Never here: which of them stand.

use super::slips::Numeric;
use crate::quantity::normal;

/// Means and covariance of the numeric readings under a hypothesis.
pub(super) struct Numbers {
    n: usize,
    /// ln of what each shows, less its mean.
    off: Vec<f64>,
    /// Row by row, up to the diagonal.
    covariance: Vec<f64>,
    /// The least that can be left of each variance: what is its own alone.
    least: Vec<f64>,
}

/// Some readings that stand: ln of their density, and what they say of others.
#[derive(Clone, Debug)]
pub(super) struct Given {
    pub ln: f64,
    /// Places among the numeric readings.
    pub weighed: Vec<usize>,
    /// Lower factor of their covariance, row by row, and L^-1 (reading - mean).
    lower: Vec<f64>,
    solved: Vec<f64>,
}

impl Numbers {
    /// `expects` is the mean of a reading and the variance of its contacts, `covariance` that of two
    /// without what is each one's own.
    pub fn of(
        numeric: &[Numeric],
        expects: impl Fn(&Numeric) -> (f64, f64),
        covariance: impl Fn(&Numeric, &Numeric) -> f64,
    ) -> Self {
        let n = numeric.len();
        let mut numbers = Self {
            n,
            off: vec![0.0; n],
            covariance: vec![0.0; n * n],
            least: vec![0.0; n],
        };
        for (row, it) in numeric.iter().enumerate() {
            let (mean, contacts) = expects(it);
            numbers.off[row] = it.ln_m - mean;
            for (column, other) in numeric[..=row].iter().enumerate() {
                numbers.covariance[row * n + column] = covariance(it, other);
            }
            numbers.covariance[row * n + row] += contacts + it.digit;
            numbers.least[row] = (contacts + it.digit).max(f64::MIN_POSITIVE);
        }
        numbers
    }

    /// By Cholesky: ln N(x) = sum of ln N(z_i; 0, l_ii^2) with L z = x - mean. None where one of
    /// them cannot show a figure.
    pub fn given(&self, weighed: &[usize]) -> Option<Given> {
        let n = weighed.len();
        let mut given = Given {
            ln: 0.0,
            weighed: weighed.to_vec(),
            lower: vec![0.0; n * n],
            solved: vec![0.0; n],
        };
        let lower = &mut given.lower;
        for (row, one) in weighed.iter().enumerate() {
            let mut rest = self.off[*one];
            if !rest.is_finite() {
                return None;
            }
            for column in 0..row {
                let other = weighed[column];
                let mut value = self.covariance[one.max(&other) * self.n + one.min(&other)];
                for k in 0..column {
                    value -= lower[row * n + k] * lower[column * n + k];
                }
                value /= lower[column * n + column];
                lower[row * n + column] = value;
                rest -= value * given.solved[column];
            }
            let mut variance = self.covariance[one * self.n + one];
            for k in 0..row {
                variance -= lower[row * n + k] * lower[row * n + k];
            }
            let variance = variance.max(self.least[*one]);
            lower[row * n + row] = variance.sqrt();
            given.solved[row] = rest / variance.sqrt();
            given.ln += normal::ln_pdf(rest, 0.0, variance);
        }
        Some(given)
    }
}

impl Given {
    /// L^-1 c, for the covariances of something else with these readings.
    pub fn along(&self, covariances: &[f64], out: &mut Vec<f64>) {
        let n = self.weighed.len();
        out.clear();
        for (row, covariance) in covariances.iter().enumerate() {
            let lower = &self.lower[row * n..=row * n + row];
            let known: f64 = lower.iter().zip(&*out).map(|(a, b)| a * b).sum();
            out.push((covariance - known) / lower[row]);
        }
    }

    /// What these readings add to a mean, given [`Self::along`].
    pub fn shift(&self, along: &[f64]) -> f64 {
        along.iter().zip(&self.solved).map(|(a, b)| a * b).sum()
    }
}
