//! The trees of readings taken together under one hypothesis after the other: the first fault laid
//! over those it is a part of and solved, the second in closed form.
//!
//! A split parts the line: a fault is on one side of it, and the other side is as designed. Trees
//! that two hypotheses have in common are reckoned once.
//!
//! Never here: readings.

use super::joint::Joint;
use super::prediction::Prediction;
use super::tree::{Tree, Under};
use crate::circuit::{Slope, Slopes, Solution};

/// The trees with a first fault laid over those that it is a part of.
pub(super) struct FirstLaid<'s, 'a> {
    slopes: Vec<&'s Slopes<'a>>,
    first: Vec<Option<usize>>,
}

impl Joint<'_> {
    /// The solutions of all trees as designed.
    pub fn solved(&self) -> Vec<Solution> {
        self.trees.iter().map(|it| it.solve(None)).collect()
    }

    /// The derivatives of such solutions.
    pub fn slopes<'s>(&'s self, sound: &'s [Solution]) -> Vec<Slopes<'s>> {
        let tolerances = &self.prepared.ground.tolerances;
        let trees = self.trees.iter().zip(sound);
        trees
            .map(|(tree, sound)| tree.slopes(sound, tolerances, None))
            .collect()
    }

    /// All trees with a fault laid over them; those that it is no part of as they are in `sound`.
    pub fn laid<R>(
        &self,
        sound: &[Slopes<'_>],
        first: Option<usize>,
        then: impl FnOnce(&FirstLaid<'_, '_>) -> R,
    ) -> R {
        let tolerances = &self.prepared.ground.tolerances;
        let touched = |tree: &Tree| first.is_some_and(|fault| tree.is_touched(fault));
        let solutions: Vec<Option<Solution>> = self
            .trees
            .iter()
            .map(|tree| touched(tree).then(|| tree.solve(first)))
            .collect();
        let own: Vec<Option<Slopes<'_>>> = self
            .trees
            .iter()
            .zip(&solutions)
            .map(|(tree, solution)| Some(tree.slopes(solution.as_ref()?, tolerances, first)))
            .collect();
        let slopes = own.iter().zip(sound);
        then(&FirstLaid {
            slopes: slopes
                .map(|(own, sound)| own.as_ref().unwrap_or(sound))
                .collect(),
            first: own
                .iter()
                .map(|it| first.filter(|_| it.is_some()))
                .collect(),
        })
    }

    /// What one more fault makes of each tree. `out` is perhaps of another hypothesis that this
    /// has some trees in common with: they are not reckoned again.
    pub fn after(&self, laid: &FirstLaid<'_, '_>, second: Option<usize>, out: &mut Under) {
        out.slopes.resize_with(self.trees.len(), Slope::default);
        out.predictions.resize(self.trees.len(), Prediction::OPEN);
        out.of.resize(self.trees.len(), None);
        for (at, tree) in self.trees.iter().enumerate() {
            let second = second.filter(|fault| tree.is_touched(*fault));
            let faults = (laid.first[at], second);
            if out.of[at] == Some(faults) {
                continue;
            }
            let slope = &mut out.slopes[at];
            tree.after(laid.slopes[at], second, slope);
            out.predictions[at] =
                Prediction::without_spread(slope.y_in, self.prepared.ground.contacts);
            out.of[at] = Some(faults);
        }
    }
}
