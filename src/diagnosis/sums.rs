//! Sums over every hypothesis of a line, for what the whole site learns of it.
//!
//! Never here: what is added up.

use super::batch::Batch;
use super::pairs::Seen;
use super::prediction::Prediction;
use super::prepared::Prepared;

/// Something added up while the hypotheses of a line are gone through.
pub(super) trait Sums: Clone + Send + Sync {
    /// Takes one of so much weight, with the weight of each type's factor.
    fn add(&mut self, p: f64, prediction: Prediction, weights: &[f64]);

    /// Takes all pairs of one first fault.
    fn add_batch(&mut self, batch: &Batch<'_>);

    /// Takes in the sums over another part of the hypotheses.
    fn join(&mut self, part: &Self);
}

impl<A: Sums, B: Sums> Sums for (A, B) {
    fn add(&mut self, p: f64, prediction: Prediction, weights: &[f64]) {
        self.0.add(p, prediction, weights);
        self.1.add(p, prediction, weights);
    }

    fn add_batch(&mut self, batch: &Batch<'_>) {
        self.0.add_batch(batch);
        self.1.add_batch(batch);
    }

    fn join(&mut self, part: &Self) {
        self.0.join(&part.0);
        self.1.join(&part.1);
    }
}

impl Prepared {
    /// Every hypothesis added to `nothing`: no fault and single faults one by one, pairs in columns,
    /// their spreads to first order. Parts that the line alone decides on are joined in their order, so
    /// that every machine comes to the same digits.
    pub(super) fn summed<S: Sums>(&self, nothing: &S) -> S {
        let start = || nothing.clone();
        let mut parts = self
            .pair_sums(start, |sums, batch| {
                sums.add_batch(batch);
                Seen::Enough
            })
            .into_iter();
        let mut sums = parts.next().unwrap_or_else(start);
        for (_, ln_weight, prediction, weights) in self.alone() {
            sums.add(ln_weight.exp(), prediction, weights);
        }
        for part in parts {
            sums.join(&part);
        }
        sums
    }
}
