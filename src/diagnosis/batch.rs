//! All pairs of one first fault, in columns: what each of them makes the rack read.
//!
//! Never here: how they are reckoned, readings.

use super::prediction::{Prediction, WITHIN};
use crate::circuit::Responses;
use crate::quantity::lanes::{Complexes, LANES, Level, Simd, dispatch, f64x4, ln, store};
use crate::quantity::{Admittance, Ohm};
use fearless_simd::prelude::*;

/// All pairs of one first fault, in columns, one place a second fault; those that the first
/// excludes stand among them with a weight of 0. Columns have [`LANES`] places more than there are
/// second faults, so that they can be gone through four at a time; the weight there is 0.
pub(super) struct Batch<'a> {
    /// Place of the first fault in the list of faults.
    pub first: usize,
    /// ln of its weight.
    pub first_ln_weight: f64,
    /// How many types there are.
    pub types: usize,
    /// Of the second faults: places in the list of faults.
    pub seconds: &'a [usize],
    /// Nodes at which they sit, past all nodes what sits at none.
    pub nodes: &'a [usize],
    /// ln of their weights.
    pub ln_weights: &'a [f64],
    /// What each pair predicts.
    pub columns: &'a Columns,
    /// So many faults come before the first of the second ones.
    pub from: usize,
}

impl Batch<'_> {
    /// Whether spreads are those of the tree with both faults laid, not of first order.
    pub const fn is_exact(&self) -> bool {
        self.columns.exact
    }

    /// Weight of each pair.
    pub fn weight(&self) -> &[f64] {
        &self.columns.weight[self.from..]
    }

    /// The column of the field of [`Prediction`] that has this name: ln of ohms at the rack.
    pub fn ln_z(&self) -> &[f64] {
        &self.columns.ln_z[self.from..]
    }

    /// The column of the field of [`Prediction`] that has this name.
    pub fn own(&self) -> &[f64] {
        &self.columns.responses.variance()[self.from..]
    }

    /// The column of the field of [`Prediction`] that has this name.
    pub fn contacts(&self) -> &[f64] {
        &self.columns.contacts[self.from..]
    }

    /// Weight of a type's factor under each pair.
    pub fn weights_of(&self, of: usize) -> &[f64] {
        &self.columns.responses.group(of)[self.from..]
    }

    /// One after the other, those excluded left out: place of the second, weight of the pair, ln
    /// of it, prediction, weights of types.
    pub fn each(&self, mut visit: impl FnMut(Row<'_>)) {
        let mut weights = vec![0.0; self.types];
        for (at, second) in self.seconds.iter().enumerate() {
            let weight = self.weight()[at];
            if weight == 0.0 {
                continue;
            }
            for (of, weight) in weights.iter_mut().enumerate() {
                *weight = self.weights_of(of)[at];
            }
            visit(Row {
                faults: [self.first, *second],
                ln_weight: self.first_ln_weight + self.ln_weights[at],
                prediction: Prediction {
                    ln_z: self.ln_z()[at],
                    own: self.own()[at],
                    contacts: self.contacts()[at],
                },
                weights: &weights,
            });
        }
    }
}

/// One pair and what it predicts.
pub(super) struct Row<'a> {
    /// Places of its faults in the list of faults.
    pub faults: [usize; 2],
    /// ln of its weight.
    pub ln_weight: f64,
    pub prediction: Prediction,
    /// Weight of each type's factor.
    pub weights: &'a [f64],
}

/// Room for the pairs of one first fault after the other.
#[derive(Default)]
pub(super) struct Columns {
    /// Whether spreads are those of the tree with both faults laid, not of first order.
    pub exact: bool,
    pub responses: Responses,
    pub weight: Vec<f64>,
    ln_z: Vec<f64>,
    contacts: Vec<f64>,
}

impl Columns {
    /// What the admittances read from a place on.
    pub fn read(&mut self, from: usize, contacts: Ohm) {
        dispatch!(Level::new(), simd => self.read_each(simd, from, contacts));
    }

    #[inline(always)]
    fn read_each<S: Simd>(&mut self, simd: S, from: usize, contacts: Ohm) {
        let ([re, im], many) = (self.responses.y(), self.responses.len());
        self.ln_z.resize(many + LANES, 0.0);
        self.contacts.resize(many + LANES, 0.0);
        let squared = contacts.get() * contacts.get();
        for at in (from..many).step_by(LANES) {
            let y = Complexes::load(simd, [re, im], at);
            let square = y.norm_sqr();
            let (low, high) = (f64x4::splat(simd, WITHIN[0]), f64x4::splat(simd, WITHIN[1]));
            if (square.simd_gt(low) & square.simd_lt(high)).all_true() {
                store(&mut self.ln_z, at, ln(square) * -0.5);
                store(&mut self.contacts, at, square * squared);
                continue;
            }
            for at in at..at + LANES {
                let y_in = Admittance::new(re[at], im[at]);
                let it = Prediction::without_spread(y_in, contacts);
                self.ln_z[at] = it.ln_z;
                self.contacts[at] = it.contacts;
            }
        }
    }
}
