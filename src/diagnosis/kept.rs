//! The hypotheses likely enough to be told apart by the next test, and the places at which their faults
//! sit.
//!
//! Never here: tests.

use super::batch::Batch;
use super::densities::Densities;
use super::evidence::Evidence;
use super::hypothesis::Hypothesis;
use super::joint::Joint;
use super::likelihood::Likelihood;
use super::prepared::Prepared;
use super::shared::Shared;
use super::survey::survey_each;
use std::collections::HashMap;

/// Hypotheses of less are left out.
const LEAST: f64 = 1e-7;
/// Sums under this are made in logarithms.
const LEAST_SUM: f64 = 1e-200;

/// A hypothesis that counts.
#[derive(Clone, Copy)]
pub(super) struct Kept {
    /// Places of its faults in the list of faults; the second alone where there is one.
    pub first: Option<usize>,
    pub second: Option<usize>,
    /// Which of the [`Places`] it is of.
    pub place: u32,
    /// ln of its weight beforehand, and its posterior.
    pub ln_weight: f64,
    pub p: f64,
}

/// The sets of nodes at which the faults of hypotheses sit, numbered.
pub(super) struct Places {
    voltage: usize,
    numbers: HashMap<[usize; 2], u32>,
    pub sets: Vec<[usize; 2]>,
}

impl Places {
    /// Other voltage is a member like a node, after all nodes; none is a set of its own.
    pub fn new(nodes: usize) -> Self {
        Self {
            voltage: nodes,
            numbers: HashMap::new(),
            sets: Vec::new(),
        }
    }

    fn number(&mut self, prepared: &Prepared, hypothesis: Hypothesis) -> u32 {
        let place = |fault: usize| prepared.faults[fault].fault.at.unwrap_or(self.voltage);
        let mut faults = hypothesis.faults().map(place);
        let set = match (faults.next(), faults.next()) {
            (None, _) => [usize::MAX; 2],
            (Some(one), None) => [one, one],
            (Some(one), Some(other)) => [one.min(other), one.max(other)],
        };
        *self.numbers.entry(set).or_insert_with(|| {
            self.sets.push(set);
            u32::try_from(self.sets.len() - 1).unwrap_or(u32::MAX)
        })
    }
}

/// Every hypothesis of posterior above 1e-7, in the order in which faults are laid, and ln of the
/// sum over all of weight times likelihood; of what was gathered on the way to the posterior where it was.
pub(super) fn kept(
    prepared: &Prepared,
    evidence: &Evidence,
    shared: &Shared,
    places: &mut Places,
    gathered: Option<Gathered>,
) -> (Vec<Kept>, f64) {
    let gathered = gathered.or_else(|| {
        if !evidence.is_plain() {
            return None;
        }
        let likelihood = Likelihood::new(evidence, shared, &prepared.types, &prepared.figures);
        let mut all = Gathered::singles(prepared, &likelihood)?;
        let mut densities = Densities::default();
        prepared.each_batch(|batch| {
            likelihood.plain_each(batch, &mut densities);
            all.add(batch, &densities);
        });
        Some(all)
    });
    if let Some(Gathered { sum, kept }) = gathered {
        return numbered(prepared, places, kept, sum.ln());
    }
    let mut kept: Vec<(Hypothesis, f64)> = Vec::new();
    let (mut highest, mut sum) = (f64::NEG_INFINITY, 0.0);
    let mut take = |hypothesis: Hypothesis, ln: f64| {
        if ln > highest {
            sum *= (highest - ln).exp();
            highest = ln;
        }
        if ln > f64::NEG_INFINITY {
            sum += (ln - highest).exp();
        }
        // What is left out now is so for good, as the sum only grows.
        if ln > highest + (sum * LEAST).ln() {
            kept.push((hypothesis, ln));
        }
    };
    if evidence.is_plain() {
        let likelihood = Likelihood::new(evidence, shared, &prepared.types, &prepared.figures);
        prepared.each(|hypothesis, ln_weight, prediction, weights| {
            take(
                hypothesis,
                ln_weight + likelihood.of(prediction, weights).ln,
            );
        });
    } else {
        let joint = Joint::new(prepared, evidence, shared, None, &[]);
        survey_each(&joint, take);
    }
    numbered(prepared, places, kept, highest + sum.ln())
}

/// The hypotheses of one figure that may count, gathered in plain numbers while all are gone through.
pub(super) struct Gathered {
    /// Of weight times likelihood, and ln of it for each that may count.
    sum: f64,
    kept: Vec<(Hypothesis, f64)>,
}

impl Gathered {
    /// Nothing wrong and the single faults; none where plain numbers would run out.
    pub fn singles(prepared: &Prepared, likelihood: &Likelihood) -> Option<Self> {
        if !likelihood.is_plain() {
            return None;
        }
        let mut gathered = Self {
            sum: 0.0,
            kept: Vec::new(),
        };
        for (hypothesis, ln_weight, prediction, weights) in prepared.alone() {
            let ln = ln_weight + likelihood.of(prediction, weights).ln;
            gathered.sum += ln.exp();
            gathered.kept.push((hypothesis, ln));
        }
        (gathered.sum > LEAST_SUM && gathered.sum.is_finite()).then_some(gathered)
    }

    /// Room for pairs alone, held against what these come to.
    pub fn for_pairs(&self) -> Self {
        Self {
            sum: self.sum,
            kept: Vec::new(),
        }
    }

    /// Takes the pairs of one first fault.
    pub fn add(&mut self, batch: &Batch<'_>, densities: &Densities) {
        let pairs = batch.weight().iter().zip(&densities.whole);
        for ((weight, whole), second) in pairs.zip(batch.seconds) {
            let p = weight * whole;
            self.sum += p;
            if p > self.sum * LEAST {
                let pair = Hypothesis::two([batch.first, *second]);
                self.kept.push((pair, p.ln()));
            }
        }
    }

    /// Takes in pairs that were held against the same.
    pub fn join(&mut self, singles: f64, pairs: Self) {
        self.sum += pairs.sum - singles;
        self.kept.extend(pairs.kept);
    }

    /// What all that was gathered so far comes to.
    pub const fn sum(&self) -> f64 {
        self.sum
    }
}

/// Those that are above 1e-7 of the whole, with the numbers of their places.
fn numbered(
    prepared: &Prepared,
    places: &mut Places,
    kept: Vec<(Hypothesis, f64)>,
    ln_sum: f64,
) -> (Vec<Kept>, f64) {
    let kept = kept
        .into_iter()
        .filter(|(_, ln)| *ln > ln_sum + LEAST.ln())
        .map(|(hypothesis, ln)| {
            let mut faults = hypothesis.faults();
            let (one, other) = (faults.next(), faults.next());
            let ln_weight = hypothesis.faults().map(|at| prepared.faults[at].ln_weight);
            Kept {
                // Nothing wrong and a single fault are one more fault on the sound line.
                first: other.and(one),
                second: other.or(one),
                place: places.number(prepared, hypothesis),
                ln_weight: ln_weight.sum(),
                p: (ln - ln_sum).exp(),
            }
        })
        .collect();
    (kept, ln_sum)
}
