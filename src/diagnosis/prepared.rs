//! A line made ready for diagnosis: all that does not depend on a reading, reckoned once.
//!
//! For each hypothesis: its weight, ln|Z| at the rack by the closed form of its change, and under
//! that hypothesis the variance that the line's own tolerances make and the weight of each type's
//! factor. A row is 24 bytes and 8 a type: a line of 40 loudspeakers has some 700 rows.
//!
//! Never here: readings.

use super::evidence::Evidence;
use super::fault::Fault;
use super::hypothesis::{Hypothesis, WeightedFault, possible_faults};
use super::likelihood::Likelihood;
use super::posterior::Posterior;
use super::shared::Shared;
use crate::circuit::{Change, Conditions, Network, Solution};
use crate::quantity::{Admittance, Hertz, Measured, Ohm};
use crate::site::{Figure, Figures, LinePlan, NodeId, NodeIs, TypeId};

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

/// What each loudspeaker, run and added load may be off by.
#[derive(Clone, Debug)]
pub(super) struct Tolerances {
    /// Variance of one loudspeaker's own factor.
    loudspeaker: f64,
    /// Variance of each run's ln length.
    run: Vec<f64>,
    /// Variance of an unlisted load's factor.
    unlisted: f64,
    /// Spread of the contacts, ohm.
    contacts: f64,
    /// Place in the list of types of each node's loudspeaker.
    type_of: Vec<Option<usize>>,
    /// How many types.
    types: usize,
}

impl Tolerances {
    fn of(line: &LinePlan, types: &[TypeId], figures: &Figures) -> Self {
        let square = |figure| figures.get(figure) * figures.get(figure);
        let run = line.nodes.iter().map(|node| {
            square(if node.run.is_some() {
                Figure::SpreadRun
            } else {
                Figure::SpreadUnknownRun
            })
        });
        let type_of = line.nodes.iter().map(|node| match &node.is {
            NodeIs::Loudspeaker { of, .. } => types.iter().position(|it| it == of),
            NodeIs::Junction | NodeIs::Device { .. } => None,
        });
        Self {
            loudspeaker: square(Figure::SpreadLoudspeaker),
            run: run.collect(),
            unlisted: square(Figure::SpreadUnlisted),
            contacts: figures.get(Figure::ContactOhm),
            type_of: type_of.collect(),
            types: types.len(),
        }
    }

    /// What a network under some faults predicts; the types' weights are added to `weights`.
    fn predict(
        &self,
        y_in: Admittance,
        solved: &Solution,
        faults: &[Fault],
        healthy: &Network,
        weights: &mut Vec<f64>,
    ) -> Prediction {
        let sensitivities = solved.sensitivities();
        let first = weights.len();
        weights.resize(first + self.types, 0.0);
        let mut own = 0.0;
        for (node, by) in sensitivities.loudspeaker.iter().enumerate() {
            own += self.loudspeaker * by * by;
            // A bare voice coil has its own factor but none of a type.
            let bare = faults.iter().any(|fault| {
                fault.at == Some(node)
                    && matches!(
                        fault.change(healthy),
                        Some(Change::Load { is, .. }) if !is.transformer
                    )
            });
            if let Some(of) = self.type_of[node].filter(|_| !bare) {
                weights[first + of] += by;
            }
        }
        for (variance, by) in self.run.iter().zip(&sensitivities.run) {
            own += variance * by * by;
        }
        for (node, y) in faults.iter().filter_map(|fault| fault.added_load(healthy)) {
            let by = solved.shunt_sensitivity(node, y);
            own += self.unlisted * by * by;
        }
        self.prediction(y_in, own)
    }

    fn prediction(&self, y_in: Admittance, own: f64) -> Prediction {
        let siemens = y_in.norm();
        if siemens == 0.0 {
            return Prediction {
                ln_z: f64::INFINITY,
                own: 0.0,
                contacts: 0.0,
            };
        }
        let siemens = siemens.clamp(f64::MIN_POSITIVE, 1e12);
        let contacts = self.contacts * siemens;
        Prediction {
            ln_z: -siemens.ln(),
            own: if own.is_finite() { own } else { 0.0 },
            contacts: contacts * contacts,
        }
    }
}

/// A line made ready for diagnosis.
#[derive(Clone, Debug)]
pub struct Prepared {
    pub(super) nodes: Vec<(NodeId, String)>,
    pub(super) types: Vec<TypeId>,
    pub(super) figures: Figures,
    pub(super) faults: Vec<WeightedFault>,
    pub(super) hypotheses: Vec<Hypothesis>,
    pub(super) ln_weights: Vec<f64>,
    predictions: Vec<Prediction>,
    weights: Vec<f64>,
    sound: Solution,
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
        let tolerances = Tolerances::of(line, &types, figures);
        let count = faults.len() + 1;
        let mut weights = Vec::with_capacity(count * types.len());
        let mut predictions = Vec::with_capacity(count);
        let mut hypotheses = vec![Hypothesis::None];
        let mut ln_weights = vec![0.0];
        predictions.push(tolerances.predict(sound.y_in(), &sound, &[], &healthy, &mut weights));
        let closed = sound.closed_form();
        for (place, it) in (0u32..).zip(&faults) {
            hypotheses.push(Hypothesis::One(place));
            ln_weights.push(it.ln_weight);
            let (y_in, solved) = match it.fault.change(&healthy) {
                Some(change) => (closed.y_after(&change), healthy.with(&[change]).solve()),
                None => (sound.y_in(), sound.clone()),
            };
            let faults = [it.fault];
            predictions.push(tolerances.predict(y_in, &solved, &faults, &healthy, &mut weights));
        }
        Self {
            nodes: line
                .nodes
                .iter()
                .map(|node| (node.id.clone(), node.label.clone()))
                .collect(),
            types,
            figures: figures.clone(),
            faults,
            hypotheses,
            ln_weights,
            predictions,
            weights,
            sound,
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

    /// The faults that may be on the line; hypotheses name them by their places here.
    #[must_use]
    pub fn faults(&self) -> &[WeightedFault] {
        &self.faults
    }

    /// The hypotheses, no fault first, each with its prediction and the weight of each type's
    /// factor in it.
    pub fn predictions(&self) -> impl Iterator<Item = (Hypothesis, Prediction, &[f64])> {
        self.hypotheses.iter().enumerate().map(|(at, it)| {
            let (prediction, weights) = self.predicted(at);
            (*it, prediction, weights)
        })
    }

    pub(super) fn predicted(&self, at: usize) -> (Prediction, &[f64]) {
        let n = self.types.len();
        (self.predictions[at], &self.weights[at * n..(at + 1) * n])
    }

    /// What the readings say, given what is known of the shared factors. With no reading it is the
    /// prior.
    #[must_use]
    pub fn posterior(&self, evidence: &Evidence, shared: &Shared) -> Posterior {
        let likelihood = Likelihood::new(evidence, shared, &self.types, &self.figures);
        Posterior::of(self, &likelihood)
    }
}

fn types_of(line: &LinePlan) -> Vec<TypeId> {
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
