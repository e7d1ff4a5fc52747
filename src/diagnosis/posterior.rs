//! What is likely once the readings are in: classes, places, misfit.
//!
//! Never here: words.

use super::hints::{Hint, hints};
use super::hypothesis::Hypothesis;
use super::kind::FaultKind;
use super::likelihood::Likelihood;
use super::prepared::Prepared;
use crate::quantity::Probability;
use crate::site::NodeId;

/// What the readings of a line say.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    /// Probability that the latest rack reading is a slip.
    pub misfit: Probability,
    /// One hint a class, the likeliest first; those under 1e-7 are left out.
    pub hints: Vec<Hint>,
    /// For every node in the plan's order: its id, its label, and the probability that a fault
    /// sits there; a pair counts at both its places.
    pub places: Vec<(NodeId, String, Probability)>,
}

/// Over this the headline of the line is that the reading fits nothing.
const FITS_NOTHING_OVER: f64 = 0.5;

impl Posterior {
    pub(super) fn of(prepared: &Prepared, likelihood: &Likelihood) -> Self {
        let mut tally = Tally::new(prepared);
        let mut weighed = Vec::with_capacity(prepared.hypotheses.len());
        let mut highest = f64::NEG_INFINITY;
        for (at, ln_weight) in prepared.ln_weights.iter().enumerate() {
            let (prediction, weights) = prepared.predicted(at);
            let it = likelihood.of(prediction, weights);
            highest = highest.max(it.ln + ln_weight);
            weighed.push(it);
        }
        for (at, hypothesis) in prepared.hypotheses.iter().enumerate() {
            let ln_weight = prepared.ln_weights[at];
            if highest > f64::NEG_INFINITY {
                let p = (weighed[at].ln + ln_weight - highest).exp();
                tally.add(prepared, *hypothesis, p, weighed[at].latest_slipped);
            } else {
                // Nothing at all explains it, not even a slip (their rate may be set to 0).
                tally.add(prepared, *hypothesis, ln_weight.exp(), 1.0);
            }
        }
        tally.normalise();
        let places = prepared
            .nodes
            .iter()
            .zip(&tally.places)
            .map(|((id, label), p)| (id.clone(), label.clone(), Probability(*p)))
            .collect();
        Self {
            misfit: Probability(tally.slipped.min(1.0)),
            hints: hints(prepared, &tally),
            places,
        }
    }

    /// The hint of a class; none where it is under 1e-7.
    #[must_use]
    pub fn hint(&self, fault: FaultKind) -> Option<&Hint> {
        self.hints.iter().find(|hint| hint.fault == fault)
    }

    /// Probability of a class.
    #[must_use]
    pub fn probability(&self, fault: FaultKind) -> Probability {
        self.hint(fault)
            .map_or(Probability(0.0), |hint| hint.probability)
    }

    /// Whether the reading fits nothing: more likely a slip than not.
    #[must_use]
    pub fn fits_nothing(&self) -> bool {
        self.misfit.get() > FITS_NOTHING_OVER
    }

    /// What stands before any hint.
    #[must_use]
    pub fn headline(&self) -> Option<&'static str> {
        self.fits_nothing().then_some("fits nothing: read it again")
    }
}

/// Probabilities added up by class, by place and by fault.
#[derive(Clone, Debug)]
pub(super) struct Tally {
    /// By class, in the order of [`FaultKind::ALL`].
    pub classes: [f64; FaultKind::ALL.len()],
    /// By node.
    pub places: Vec<f64>,
    /// By fault, when it is the only one.
    pub alone: Vec<f64>,
    /// The latest rack reading slipped.
    pub slipped: f64,
}

impl Tally {
    fn new(prepared: &Prepared) -> Self {
        Self {
            classes: [0.0; FaultKind::ALL.len()],
            places: vec![0.0; prepared.nodes.len()],
            alone: vec![0.0; prepared.faults.len()],
            slipped: 0.0,
        }
    }

    fn add(&mut self, prepared: &Prepared, hypothesis: Hypothesis, p: f64, slipped: f64) {
        self.slipped += p * slipped;
        match hypothesis {
            Hypothesis::None => self.classes[FaultKind::None as usize] += p,
            Hypothesis::One(one) => {
                let one = one as usize;
                let fault = &prepared.faults[one].fault;
                self.classes[fault.of.kind as usize] += p;
                self.alone[one] += p;
                if let Some(at) = fault.at {
                    self.places[at] += p;
                }
            }
        }
    }

    fn normalise(&mut self) {
        let sum: f64 = self.classes.iter().sum();
        self.slipped /= sum;
        let lists = [&mut self.classes[..], &mut self.places, &mut self.alone];
        for p in lists.into_iter().flatten() {
            *p /= sum;
        }
    }
}
