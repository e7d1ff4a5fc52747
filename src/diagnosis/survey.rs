//! Every hypothesis held against readings that are taken together.
//!
//! The first fault of a pair is laid over every tree and solved, the second follows in closed
//! form. A pair whose bound by the reading at the rack alone is too low to matter is left out
//! before its trees are looked at: all that are left out hold less than [`LEFT_OUT`] of the whole.
//!
//! Never here: what a reading says.

use super::hypothesis::Hypothesis;
use super::joint::{Joint, Together};
use super::parallel::in_parts;
use super::tally::Tally;
use super::tree::Under;
use crate::circuit::Slopes;

/// The share of the whole that all pairs left out hold at most.
const LEFT_OUT: f64 = 1e-7;

/// Adds up the weight of every hypothesis, given the readings.
pub(super) fn survey(joint: &Joint<'_>) -> Tally {
    survey_each(joint, |_, _| {})
}

/// Pairs are held against the trees so many at a time.
const BATCH: usize = 1 << 16;

/// A pair that may matter, with ln of its weight.
type Row = ([usize; 2], f64);

/// As [`survey`]; `each` is also told of every hypothesis, with ln of its weight times its
/// likelihood.
pub(super) fn survey_each(joint: &Joint<'_>, mut each: impl FnMut(Hypothesis, f64)) -> Tally {
    let prepared = joint.prepared;
    let mut tally = Tally::new(prepared, joint.readings, joint.slips.latest);
    let mut under = Under::default();
    let solved = joint.solved();
    let sound = joint.slopes(&solved);
    joint.laid(&sound, None, |laid| {
        for (hypothesis, ln_weight, ..) in prepared.alone() {
            joint.after(laid, hypothesis.faults().next(), &mut under);
            let it = joint.weigh(&under, |_, _, _| {});
            each(hypothesis, ln_weight + it.ln);
            tally.add(prepared, hypothesis, ln_weight, it.ln, &it.slipped);
        }
    });
    let faults = prepared.faults.len();
    #[allow(clippy::cast_precision_loss)]
    let pairs = (faults * faults.saturating_sub(1) / 2).max(1) as f64;
    let below = (LEFT_OUT / pairs).ln();
    // No number before anything is possible; then nothing is left out.
    let mut least = tally.ln_sum() + below;
    let mut batch: Vec<Row> = Vec::new();
    let mut flush = |batch: &mut Vec<Row>, tally: &mut Tally| {
        let weighed = weigh(joint, &sound, batch).into_iter().flatten();
        for ((faults, ln_weight), it) in batch.drain(..).zip(weighed) {
            let pair = Hypothesis::two(faults);
            each(pair, ln_weight + it.ln);
            tally.add(prepared, pair, ln_weight, it.ln, &it.slipped);
        }
    };
    prepared.each_pair(|row| {
        let bound = row.ln_weight + joint.bound(row.prediction, row.weights);
        if bound >= least || least.is_nan() {
            batch.push((row.faults, row.ln_weight));
        }
        if batch.len() >= BATCH {
            flush(&mut batch, &mut tally);
            least = tally.ln_sum() + below;
        }
    });
    flush(&mut batch, &mut tally);
    tally
}

/// What pairs make of the evidence, in their order; those of one first fault stand together.
fn weigh(joint: &Joint<'_>, sound: &[Slopes<'_>], batch: &[Row]) -> Vec<Vec<Together>> {
    let groups: Vec<&[Row]> = batch.chunk_by(|a, b| a.0[0] == b.0[0]).collect();
    in_parts(&groups, |groups| {
        let mut under = Under::default();
        let mut out = Vec::new();
        for group in groups {
            joint.laid(sound, Some(group[0].0[0]), |laid| {
                for ([_, second], _) in *group {
                    joint.after(laid, Some(*second), &mut under);
                    out.push(joint.weigh(&under, |_, _, _| {}));
                }
            });
        }
        out
    })
}
