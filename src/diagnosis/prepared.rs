//! A line made ready for diagnosis: all that does not depend on a reading, reckoned once.
//!
//! For no fault and every single fault: its weight, ln|Z| at the rack by the closed form of its
//! change, and under it the variance that the line's own tolerances make and the weight of each
//! type's factor. Pairs are reckoned as they are asked for (see `pairs`).
//!
//! Never here: readings.

use super::batch::{Batch, Row};
use super::evidence::{Evidence, Reading};
use super::hypothesis::{Hypothesis, WeightedFault, possible_faults};
use super::joint::{Joint, weighed};
use super::kept::Gathered;
use super::likelihood::Likelihood;
use super::next_test::NextTest;
use super::pairs::{Ground, Laid, Pairs, Seen};
use super::posterior::Posterior;
use super::shared::Shared;
use super::sitewide::SiteLine;
use super::survey::survey;
use super::term::SiteTerm;
use super::walk::Walk;
use crate::circuit::{Conditions, Network, Solution, Tolerances};
use crate::quantity::{Hertz, Measured, Ohm};
use crate::site::{Figure, Figures, LinePlan, NodeId, NodeIs, TypeId};
use std::sync::Arc;

/// What one hypothesis predicts for the reading at the rack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// ln|Z|, plus infinity where nothing is connected.
    pub ln_z: f64,
    /// Variance of ln|Z| from the loudspeakers' own factors, the runs' lengths and an unlisted
    /// load's own factor.
    pub own: f64,
    /// Relative variance of the contacts of a reading.
    pub contacts: f64,
}

impl Prediction {
    /// Nothing is connected.
    pub const OPEN: Self = Self {
        ln_z: f64::INFINITY,
        own: 0.0,
        contacts: 0.0,
    };
}

/// The line's tolerances: loudspeakers by type, runs by whether their length is known.
pub(super) fn tolerances(line: &LinePlan, types: &[TypeId], figures: &Figures) -> Tolerances {
    let square = |figure| figures.get(figure) * figures.get(figure);
    let run = line.nodes.iter().map(|node| {
        square(if node.run.is_some() {
            Figure::SpreadRun
        } else {
            Figure::SpreadUnknownRun
        })
    });
    let group_of = line.nodes.iter().map(|node| match &node.is {
        NodeIs::Loudspeaker { of, .. } => types.iter().position(|it| it == of),
        NodeIs::Junction | NodeIs::Device { .. } => None,
    });
    Tolerances {
        groups: types.len(),
        group_of: group_of.collect(),
        loudspeaker: square(Figure::SpreadLoudspeaker),
        run: run.collect(),
        added: square(Figure::SpreadUnlisted),
    }
}

/// A line made ready for diagnosis.
#[derive(Clone, Debug)]
pub struct Prepared {
    pub(super) nodes: Vec<(Arc<NodeId>, Arc<str>)>,
    pub(super) types: Vec<TypeId>,
    pub(super) figures: Figures,
    pub(super) faults: Vec<WeightedFault>,
    /// No fault and every single fault, with the weights and predictions in the same order.
    pub(super) hypotheses: Vec<Hypothesis>,
    pub(super) ln_weights: Vec<f64>,
    predictions: Vec<Prediction>,
    weights: Vec<f64>,
    pub(super) line: LinePlan,
    pub(super) sound: Solution,
    pub(super) ground: Ground,
    pub(super) laid: Vec<Laid>,
    pairs: Pairs,
}

impl Prepared {
    /// Prepares a line as designed, at the site's test frequency.
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
        let mut predictions = vec![ground.prediction(spread.base(&mut weights[..n])); many];
        pairs.each_alone(|at, response, groups| {
            predictions[1 + at] = ground.prediction(response);
            weights[(1 + at) * n..][..n].copy_from_slice(groups);
        });
        drop(spread);
        let singles = (0u32..).zip(&faults);
        let hypotheses = singles.map(|(place, _)| Hypothesis::One(place));
        let hypotheses = std::iter::once(Hypothesis::None)
            .chain(hypotheses)
            .collect();
        let ln_weights = faults.iter().map(|it| it.ln_weight);
        let ln_weights = std::iter::once(0.0).chain(ln_weights).collect();
        Self {
            nodes: line
                .nodes
                .iter()
                .map(|node| (Arc::new(node.id.clone()), node.label.as_str().into()))
                .collect(),
            types,
            figures: figures.clone(),
            faults,
            hypotheses,
            ln_weights,
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
        let (prediction, weights) = self.predicted(0);
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
        for (at, hypothesis) in self.hypotheses.iter().enumerate() {
            let (prediction, weights) = self.predicted(at);
            visit(*hypothesis, self.ln_weights[at], prediction, weights);
        }
        self.each_pair(|row| {
            let [one, other] = row.faults.map(|at| u32::try_from(at).unwrap_or(u32::MAX));
            let pair = Hypothesis::Two(one, other);
            visit(pair, row.ln_weight, row.prediction, row.weights);
        });
    }

    /// Sums over every hypothesis for what the whole site learns of the line: no fault and single
    /// faults one by one, pairs in columns, their spreads to first order; in parts that the line alone
    /// decides on, to be joined in their order.
    pub(super) fn sums<T: Send>(
        &self,
        start: impl Fn() -> T + Sync,
        few: impl FnMut(&mut T, f64, Prediction, &[f64]),
        pairs: impl Fn(&mut T, &Batch<'_>) + Sync,
    ) -> Vec<T> {
        let mut few = few;
        let mut parts = self
            .pairs
            .sums_nearly(&self.ground, &self.laid, &start, |sums, batch| {
                pairs(sums, batch);
                Seen::Enough
            });
        if parts.is_empty() {
            parts.push(start());
        }
        for (at, ln_weight) in self.ln_weights.iter().enumerate() {
            let (prediction, weights) = self.predicted(at);
            few(&mut parts[0], ln_weight.exp(), prediction, weights);
        }
        parts
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

    pub(super) fn each_batch(&self, mut visit: impl FnMut(&Batch<'_>)) {
        self.pairs.each(&self.ground, &self.laid, &mut visit);
    }

    pub(super) fn each_pair(&self, mut visit: impl FnMut(Row<'_>)) {
        self.pairs.each(&self.ground, &self.laid, &mut |batch| {
            batch.each(&mut visit)
        });
    }

    pub(super) fn predicted(&self, at: usize) -> (Prediction, &[f64]) {
        let n = self.types.len();
        (self.predictions[at], &self.weights[at * n..(at + 1) * n])
    }

    /// Whether a level control is on the line: then direct current is not weighed.
    pub(super) fn has_control(&self) -> bool {
        self.line.nodes.iter().any(|node| node.control)
    }

    /// What a reading at the rack is worth to the whole site, both ways of it: what it says of the
    /// shared factors, and the line made small; none where it shows no figure.
    #[must_use]
    pub fn worth(&self, reading: &Reading) -> Option<(SiteTerm, SiteLine)> {
        let start = || SiteTerm::sums(self, reading).zip(SiteLine::sums(self, reading));
        let parts = self.sums(
            start,
            |sums, p, prediction, weights| {
                if let Some((term, line)) = sums {
                    term.add(p, prediction);
                    line.add(p, prediction, weights);
                }
            },
            |sums, batch| {
                if let Some((term, line)) = sums {
                    term.add_batch(batch);
                    line.add_batch(batch);
                }
            },
        );
        let joined = parts.into_iter().flatten().reduce(|mut sums, more| {
            sums.0.join(&more.0);
            sums.1.join(&more.1);
            sums
        });
        let (term, line) = joined?;
        Some((term.term(), line.line(self, reading)))
    }

    /// What the readings and answers say, given what is known of the shared factors. With none it
    /// is the prior. Rack readings alone cost one likelihood a hypothesis; others solve each of
    /// their trees once a single fault and take the derivatives of every pair that can matter.
    #[must_use]
    pub fn posterior(&self, evidence: &Evidence, shared: &Shared) -> Posterior {
        if !evidence.is_plain() {
            let evidence = weighed(self, evidence);
            if !evidence.is_plain() {
                let joint = Joint::new(self, &evidence, shared, None, &[]);
                let posterior = Posterior::of_survey(self, &evidence.readings, survey(&joint));
                return posterior.beside_answers(self, &evidence);
            }
            return self.posterior(&evidence, shared);
        }
        let likelihood = Likelihood::new(evidence, shared, &self.types, &self.figures);
        Posterior::of(self, &likelihood, &mut None)
    }

    /// [`Self::posterior`] and, where that leaves something to tell apart, [`Self::next`]; the pairs of
    /// a plain reading are gone through once for both.
    #[must_use]
    pub fn posterior_and_next(
        &self,
        evidence: &Evidence,
        shared: &Shared,
        walk: &Walk,
    ) -> (Posterior, Vec<NextTest>) {
        let mut gathered = None;
        let posterior = if evidence.is_plain() {
            let likelihood = Likelihood::new(evidence, shared, &self.types, &self.figures);
            gathered = Gathered::singles(self, &likelihood);
            Posterior::of(self, &likelihood, &mut gathered)
        } else {
            self.posterior(evidence, shared)
        };
        let next = match posterior.sure() {
            true => Vec::new(),
            false => self.next_of(evidence, shared, walk, gathered),
        };
        (posterior, next)
    }
}

pub(super) fn types_of(line: &LinePlan) -> Vec<TypeId> {
    let mut types: Vec<TypeId> = Vec::new();
    for node in &line.nodes {
        if let NodeIs::Loudspeaker { of, .. } = &node.is
            && !types.contains(of)
        {
            types.push(of.clone());
        }
    }
    types
}
