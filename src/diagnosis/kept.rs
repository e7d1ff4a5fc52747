//! The hypotheses that the next test is to tell apart, and the places at which they sit.
//!
//! Never here: tests.

use super::densities::Densities;
use super::evidence::Evidence;
use super::hypothesis::Hypothesis;
use super::joint::Joint;
use super::likelihood::Likelihood;
use super::look::Kept;
use super::prepared::Prepared;
use super::shared::Shared;
use super::survey::survey_each;
use std::collections::HashMap;

/// Hypotheses of less are left out.
const LEAST: f64 = 1e-7;
/// Sums under this are made in logarithms.
const LEAST_SUM: f64 = 1e-200;
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
/// sum over all of weight times likelihood.
pub(super) fn kept(
    prepared: &Prepared,
    evidence: &Evidence,
    shared: &Shared,
    places: &mut Places,
) -> (Vec<Kept>, f64) {
    if evidence.is_plain() {
        let likelihood = Likelihood::new(evidence, shared, &prepared.types, &prepared.figures);
        if let Some((kept, sum)) = plainly(prepared, &likelihood) {
            return numbered(prepared, places, kept, sum.ln());
        }
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

/// The same for one figure, in plain numbers; none where they would run out of them.
fn plainly(prepared: &Prepared, likelihood: &Likelihood) -> Option<(Vec<(Hypothesis, f64)>, f64)> {
    if !likelihood.is_plain() {
        return None;
    }
    let mut kept: Vec<(Hypothesis, f64)> = Vec::new();
    let mut sum = 0.0;
    for (at, hypothesis) in prepared.hypotheses.iter().enumerate() {
        let (prediction, weights) = prepared.predicted(at);
        let ln = prepared.ln_weights[at] + likelihood.of(prediction, weights).ln;
        sum += ln.exp();
        kept.push((*hypothesis, ln));
    }
    if !(sum > LEAST_SUM && sum.is_finite()) {
        return None;
    }
    let mut densities = Densities::default();
    prepared.each_batch(|batch| {
        likelihood.plain_each(batch, &mut densities);
        let pairs = batch.weight().iter().zip(&densities.whole);
        for ((weight, whole), second) in pairs.zip(batch.seconds()) {
            let p = weight * whole;
            sum += p;
            if p > sum * LEAST {
                let [one, other] =
                    [batch.first, *second].map(|at| u32::try_from(at).unwrap_or(u32::MAX));
                kept.push((Hypothesis::Two(one, other), p.ln()));
            }
        }
    });
    Some((kept, sum))
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
