//! The trees that readings are taken of: the whole line, the two sides of a split, the line at
//! direct current; each with every fault as it acts there.
//!
//! Never here: readings.

use super::evidence::Test;
use super::ground::Laid;
use super::prediction::Prediction;
use super::prepared::Prepared;
use crate::circuit::{Conditions, Network, Slope, Slopes, Solution, Tolerances};
use crate::quantity::Hertz;
use std::sync::Arc;

/// One tree that readings are taken of.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    pub test: Test,
    network: Network,
    laid: Arc<[Laid]>,
}

/// What a hypothesis makes of each tree.
#[derive(Clone, Debug, Default)]
pub(super) struct Under {
    pub slopes: Vec<Slope>,
    pub predictions: Vec<Prediction>,
    /// The faults that they are of, those that are no part of a tree left out.
    pub of: Vec<Option<(Option<usize>, Option<usize>)>>,
}

/// The trees of a line, made as they are wanted.
pub(super) struct Trees<'a> {
    prepared: &'a Prepared,
    tone: Arc<[Laid]>,
    direct: Option<(Network, Arc<[Laid]>)>,
}

impl<'a> Trees<'a> {
    pub fn of(prepared: &'a Prepared) -> Self {
        Self {
            prepared,
            tone: prepared.laid.clone().into(),
            direct: None,
        }
    }

    /// The tree that a test reads.
    pub fn tree(&mut self, test: Test) -> Tree {
        let whole = &self.prepared.ground.healthy;
        let (network, laid) = match test {
            Test::Rack => (whole.clone(), self.tone.clone()),
            Test::Near(at) => (whole.near_of(at), self.tone.clone()),
            Test::Far(at) => (whole.far_of(at), self.tone.clone()),
            Test::Dc => self.direct(),
        };
        Tree {
            test,
            network,
            laid,
        }
    }

    fn direct(&mut self) -> (Network, Arc<[Laid]>) {
        let prepared = self.prepared;
        self.direct
            .get_or_insert_with(|| {
                let conditions = Conditions {
                    hz: Hertz(0.0),
                    ..*prepared.ground.healthy.conditions()
                };
                let network = Network::of(&prepared.line, &conditions);
                let laid = prepared.faults.iter().map(|it| Laid {
                    change: it.fault.change(&network),
                    added: it.fault.added_load(&network),
                });
                (network.clone(), laid.collect())
            })
            .clone()
    }
}

impl Tree {
    /// Solved with a fault laid over it, or none.
    pub fn solve(&self, first: Option<usize>) -> Solution {
        let change = first.and_then(|at| self.laid[at].change);
        self.network.with(change.as_slice()).into_solution()
    }

    /// The derivatives of such a solution.
    pub fn slopes<'s>(
        &self,
        solution: &'s Solution,
        tolerances: &'s Tolerances,
        first: Option<usize>,
    ) -> Slopes<'s> {
        solution.slopes(tolerances, first.and_then(|at| self.laid[at].added))
    }

    /// Whether a fault is one of this tree.
    pub fn is_touched(&self, fault: usize) -> bool {
        let change = &self.laid[fault].change;
        change.is_some_and(|it| self.network.is_touched(&it))
    }

    /// What this tree reads after one more fault, or after none.
    pub fn after(&self, slopes: &Slopes<'_>, second: Option<usize>, out: &mut Slope) {
        match second.map(|at| &self.laid[at]) {
            Some(laid) => slopes.after(laid.change.as_ref(), laid.added.is_some(), out),
            None => slopes.after(None, false, out),
        }
    }
}
