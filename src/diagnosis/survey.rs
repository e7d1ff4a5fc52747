//! Every hypothesis held against readings that are taken together.
//!
//! The first fault of a pair is laid over every tree and solved, the second follows in closed
//! form. A pair whose bound by the reading at the rack alone is too low to matter is left out
//! before its trees are looked at: all that are left out hold less than [`LEFT_OUT`] of the whole.
//!
//! Never here: what a reading says.

use super::hypothesis::Hypothesis;
use super::joint::{Joint, Under};
use super::posterior::Tally;

/// The share of the whole that all pairs left out hold at most.
const LEFT_OUT: f64 = 1e-7;

/// All of them, added up.
pub(super) fn survey(joint: &Joint<'_>) -> Tally {
    survey_each(joint, |_, _| {})
}

/// The same; `each` is told of every hypothesis with ln of its weight times its likelihood.
pub(super) fn survey_each(joint: &Joint<'_>, mut each: impl FnMut(Hypothesis, f64)) -> Tally {
    let prepared = joint.prepared;
    let mut tally = Tally::new(prepared);
    let mut under = Under::default();
    joint.laid(None, |slopes| {
        for (at, hypothesis) in prepared.hypotheses.iter().enumerate() {
            joint.after(slopes, hypothesis.faults().next(), &mut under);
            let it = joint.weigh(&under, |_, _, _| {});
            let ln_weight = prepared.ln_weights[at];
            each(*hypothesis, ln_weight + it.ln);
            tally.add(prepared, *hypothesis, ln_weight, it);
        }
    });
    let faults = prepared.faults.len();
    #[allow(clippy::cast_precision_loss)]
    let pairs = (faults * faults.saturating_sub(1) / 2).max(1) as f64;
    let below = (LEFT_OUT / pairs).ln();
    let mut held: (usize, Vec<(usize, f64)>) = (0, Vec::new());
    let mut flush = |first: usize, rows: &mut Vec<(usize, f64)>, tally: &mut Tally| {
        if rows.is_empty() {
            return;
        }
        joint.laid(Some(first), |slopes| {
            for (second, ln_weight) in rows.drain(..) {
                joint.after(slopes, Some(second), &mut under);
                let it = joint.weigh(&under, |_, _, _| {});
                let [one, other] = [first, second].map(|at| u32::try_from(at).unwrap_or(u32::MAX));
                each(Hypothesis::Two(one, other), ln_weight + it.ln);
                tally.add_pair(prepared, [first, second], ln_weight, it);
            }
        });
    };
    let mut least = tally.ln_sum() + below;
    prepared.each_pair(&mut |row| {
        let [first, second] = row.faults;
        if first != held.0 {
            flush(held.0, &mut held.1, &mut tally);
            held.0 = first;
            least = tally.ln_sum() + below;
        }
        // Before anything is possible the sum is no number, and nothing is left out.
        let bound = row.ln_weight + joint.bound(row.prediction, row.weights);
        if !(bound < least) {
            held.1.push((second, row.ln_weight));
        }
    });
    flush(held.0, &mut held.1, &mut tally);
    tally
}
