//! A line made ready for diagnosis: all that does not depend on a reading, reckoned once.
//!
//! For no fault and every single fault: its weight, ln|Z| at the rack by the closed form of its
//! change, and under it the variance that the line's own tolerances make and the weight of each
//! type's factor. Pairs are reckoned as they are asked for (see `pairs`).
//!
//! Never here: readings, and what they say of it (`asked`).

use super::batch::{Batch, Row};
use super::ground::{Ground, Laid, tolerances, types_of};
use super::hypothesis::{Hypothesis, WeightedFault, possible_faults};
use super::pairs::{Pairs, Seen};
use super::prediction::Prediction;
use crate::circuit::{Conditions, Network, Solution};
use crate::quantity::{Hertz, Measured, Ohm};
use crate::site::{Figure, Figures, LinePlan, NodeId, TypeId};
use std::sync::Arc;

/// A line made ready for diagnosis.
#[derive(Clone, Debug)]
pub struct Prepared {
    pub(super) nodes: Vec<(Arc<NodeId>, Arc<str>)>,
    pub(super) types: Vec<TypeId>,
    pub(super) figures: Figures,
    pub(super) faults: Vec<WeightedFault>,
    /// Of no fault, then of every fault alone, in their order.
    predictions: Vec<Prediction>,
    /// Under each of them the weight of every type's factor.
    weights: Vec<f64>,
    pub(super) line: LinePlan,
    pub(super) sound: Solution,
    pub(super) ground: Ground,
    pub(super) laid: Vec<Laid>,
    pairs: Pairs,
}

impl Prepared {
    /// Prepares a line as designed, at the site's test frequency. On a return visit (`returning`) faults have
    /// a part of the rates of a new line, as the site's figures say.
    #[must_use]
    pub fn new(line: &LinePlan, figures: &Figures, returning: bool) -> Self {
        let hz = Hertz(figures.get(Figure::TestHz));
        let healthy = Network::of(line, &Conditions::of(figures, hz));
        let sound = healthy.solve();
        let faults = possible_faults(line, &healthy, figures, returning);
        let types = types_of(line);
        let laid: Vec<Laid> = faults
            .iter()
            .map(|it| Laid {
                change: it.fault.change(&healthy),
                added: it.fault.added_load(&healthy),
            })
            .collect();
        let ground = Ground {
            tolerances: tolerances(line, &types, figures),
            contacts: Ohm(figures.get(Figure::ContactOhm)),
            healthy,
        };
        let spread = sound.spread(&ground.tolerances, &[]);
        let pairs = Pairs::new(&ground, &faults, &laid, &spread);
        let (n, many) = (types.len(), 1 + faults.len());
        let mut weights = vec![0.0; n * many];
        let of = |response| Prediction::of(response, ground.contacts);
        let mut predictions = vec![of(spread.base(&mut weights[..n])); many];
        pairs.each_alone(|at, response, groups| {
            predictions[1 + at] = of(response);
            weights[(1 + at) * n..][..n].copy_from_slice(groups);
        });
        drop(spread);
        Self {
            nodes: line
                .nodes
                .iter()
                .map(|node| (Arc::new(node.id.clone()), node.label.as_str().into()))
                .collect(),
            types,
            figures: figures.clone(),
            faults,
            predictions,
            weights,
            line: line.clone(),
            sound,
            ground,
            laid,
            pairs,
        }
    }

    /// The line as designed, solved at the site's test frequency.
    #[must_use]
    pub const fn sound(&self) -> &Solution {
        &self.sound
    }

    /// |Z| as designed with its own spread (loads, cables, types at their prior), the meter's not
    /// in it; none where the design connects nothing.
    #[must_use]
    pub fn expected(&self) -> Option<Measured<Ohm>> {
        let value = self.sound.input().modulus()?;
        let (prediction, weights) = self.as_drawn();
        let spread = self.figures.get(Figure::SpreadType);
        let types: f64 = weights.iter().map(|w| w * w * spread * spread).sum();
        Some(Measured {
            value,
            u_rel: (prediction.own + types).sqrt(),
        })
    }

    /// The types on the line, in the order of its nodes.
    #[must_use]
    pub fn types(&self) -> &[TypeId] {
        &self.types
    }

    /// The figures it was prepared with.
    #[must_use]
    pub const fn figures(&self) -> &Figures {
        &self.figures
    }

    /// The faults that may be on the line; hypotheses name them by their places here.
    #[must_use]
    pub fn faults(&self) -> &[WeightedFault] {
        &self.faults
    }

    /// Every hypothesis, no fault first, then single faults, then pairs, with ln of its weight,
    /// its prediction and the weight of each type's factor in it.
    pub fn each(&self, mut visit: impl FnMut(Hypothesis, f64, Prediction, &[f64])) {
        for (hypothesis, ln_weight, prediction, weights) in self.alone() {
            visit(hypothesis, ln_weight, prediction, weights);
        }
        self.each_pair(|row| {
            let pair = Hypothesis::two(row.faults);
            visit(pair, row.ln_weight, row.prediction, row.weights);
        });
    }

    /// No fault, then every fault alone: each with ln of its weight, its prediction and the weight of
    /// each type's factor in it.
    pub(super) fn alone(&self) -> impl Iterator<Item = (Hypothesis, f64, Prediction, &[f64])> {
        let ones = (0u32..).zip(&self.faults);
        let ones = ones.map(|(at, it)| (Hypothesis::One(at), it.ln_weight));
        let all = std::iter::once((Hypothesis::None, 0.0)).chain(ones);
        let n = self.types.len();
        all.enumerate().map(move |(at, (hypothesis, ln_weight))| {
            let weights = &self.weights[at * n..(at + 1) * n];
            (hypothesis, ln_weight, self.predictions[at], weights)
        })
    }

    /// Sums over pairs alone, in parts; spreads to first order, exact where `visit` wants them so.
    pub(super) fn pair_sums<T: Send>(
        &self,
        start: impl Fn() -> T + Sync,
        visit: impl Fn(&mut T, &Batch<'_>) -> Seen + Sync,
    ) -> Vec<T> {
        self.pairs
            .sums_nearly(&self.ground, &self.laid, start, visit)
    }

    /// Every pair with ln of its weight.
    pub(super) fn each_pair_weight(&self, visit: impl FnMut([usize; 2], f64)) {
        self.pairs.each_weight(visit);
    }

    /// Every pair, in columns of one first fault, with exact spreads.
    pub(super) fn each_batch(&self, mut visit: impl FnMut(&Batch<'_>)) {
        self.pairs.each(&self.ground, &self.laid, &mut visit);
    }

    /// Every pair by itself, with exact spreads.
    pub(super) fn each_pair(&self, mut visit: impl FnMut(Row<'_>)) {
        self.pairs.each(&self.ground, &self.laid, &mut |batch| {
            batch.each(&mut visit)
        });
    }

    /// What the line as drawn predicts, with the weight of each type's factor.
    pub(super) fn as_drawn(&self) -> (Prediction, &[f64]) {
        (self.predictions[0], &self.weights[..self.types.len()])
    }

    /// Whether a level control is on the line: then direct current is not weighed.
    pub(super) fn has_control(&self) -> bool {
        self.line.nodes.iter().any(|node| node.control)
    }
}
