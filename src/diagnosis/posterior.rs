//! What is likely once the readings are in: classes, places, misfit.
//!
//! Never here: words.

use super::batch::Batch;
use super::densities::Densities;
use super::hints::{Hint, Place, hints};
use super::hypothesis::Hypothesis;
use super::kept::Gathered;
use super::kind::FaultKind;
use super::likelihood::{Likelihood, Weighed};
use super::pairs::Seen;
use super::prepared::Prepared;
use crate::quantity::Probability;

/// What the readings of a line say.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    /// Probability that the latest rack reading is a slip.
    pub misfit: Probability,
    /// One hint a class, the likeliest first; those under 1e-7 are left out.
    pub hints: Vec<Hint>,
    /// For every node in the plan's order: its id, its label, and the probability that a fault
    /// sits there; a pair counts at both its places.
    pub places: Vec<Place>,
    /// Probability that all taps are set for another line voltage, alone or with another fault.
    pub other_voltage: Probability,
}

/// The pairs of a first fault that together weigh less than this of no fault and all single ones may
/// have spreads of first order.
const NEARLY_UNDER: f64 = 1e-4;
/// From this on a place, other voltage or nothing wrong is sure: no further test is wanted.
/// \[assumed\]
const SURE_FROM: f64 = 0.95;
/// Over this the headline of the line is that the reading fits nothing.
const FITS_NOTHING_OVER: f64 = 0.5;

impl Posterior {
    /// Pairs that count are added to the singles of `gathered` on the way; where they are not gone
    /// through in plain numbers it is emptied.
    pub(super) fn of(
        prepared: &Prepared,
        likelihood: &Likelihood,
        gathered: &mut Option<Gathered>,
    ) -> Self {
        let mut tally = Tally::new(prepared);
        for (at, hypothesis) in prepared.hypotheses.iter().enumerate() {
            let (prediction, weights) = prepared.predicted(at);
            let it = likelihood.of(prediction, weights);
            tally.add(prepared, *hypothesis, prepared.ln_weights[at], it);
        }
        let unit = tally.unit().filter(|_| likelihood.is_plain());
        if let Some(unit) = unit {
            // In plain numbers and the units of what is there already.
            let singles = gathered.as_ref().map(Gathered::sum);
            let start = || {
                let pairs = gathered.as_ref().map(Gathered::for_pairs);
                (Tally::new(prepared), Densities::default(), pairs)
            };
            let enough = NEARLY_UNDER * tally.classes.iter().sum::<f64>() / unit;
            let parts = prepared.pair_sums(start, |(tally, densities, pairs), batch| {
                likelihood.plain_each(batch, densities);
                if !batch.is_exact() && densities.right > enough {
                    return Seen::WantedExact;
                }
                tally.add_batch(prepared, batch, unit, densities);
                if let Some(pairs) = pairs {
                    pairs.add(batch, densities);
                }
                Seen::Enough
            });
            for (part, _, pairs) in parts {
                tally.join(&part);
                if let (Some(all), Some(singles), Some(pairs)) = (&mut *gathered, singles, pairs) {
                    all.join(singles, pairs);
                }
            }
            return Self::of_survey(prepared, tally);
        }
        *gathered = None;
        if likelihood.is_nothing() {
            let (prediction, weights) = prepared.predicted(0);
            let it = likelihood.of(prediction, weights);
            prepared.each_pair_weight(|faults, ln_weight| {
                tally.add_pair(prepared, faults, ln_weight, it);
            });
        } else {
            prepared.each_pair(|row| {
                let it = likelihood.of(row.prediction, row.weights);
                tally.add_pair(prepared, row.faults, row.ln_weight, it);
            });
        }
        Self::of_survey(prepared, tally)
    }

    /// The posterior of what a survey has added up.
    pub(super) fn of_survey(prepared: &Prepared, mut tally: Tally) -> Self {
        if tally.is_empty() {
            // Nothing at all explains it, not even a slip (their rate may be set to 0): what
            // stands is the prior, and that the reading fits nothing.
            prepared.each(|hypothesis, ln_weight, _, _| {
                let slipped = Weighed {
                    ln: 0.0,
                    latest_slipped: 1.0,
                };
                tally.add(prepared, hypothesis, ln_weight, slipped);
            });
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
            other_voltage: Probability(tally.voltage),
        }
    }

    /// Whether one place, other voltage or nothing wrong holds 0.95.
    #[must_use]
    pub fn sure(&self) -> bool {
        let places = self.places.iter().map(|(.., p)| *p);
        places
            .chain([self.other_voltage, self.probability(FaultKind::None)])
            .any(|p| p.get() >= SURE_FROM)
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
}

/// Probabilities added up by class, by place and by fault.
#[derive(Clone, Debug)]
pub(super) struct Tally {
    /// By class, in the order of [`FaultKind::ALL`].
    pub classes: [f64; FaultKind::ALL.len()],
    /// By node; once normalised, pairs counted at both their places.
    pub places: Vec<f64>,
    /// By node, of pairs alone.
    pub pairs: Vec<f64>,
    /// By fault, when it is the only one.
    pub alone: Vec<f64>,
    /// Other voltage, in pairs too.
    pub voltage: f64,
    /// The latest rack reading slipped.
    pub slipped: f64,
    /// The same with nothing wrong on the line.
    pub sound_slipped: f64,
    /// ln that the sums so far are in units of; minus infinity before any.
    highest: f64,
}

/// Sums are put in new units when a hypothesis is e^600 times what they are in.
const HEADROOM: f64 = 600.0;

impl Tally {
    pub fn new(prepared: &Prepared) -> Self {
        Self {
            classes: [0.0; FaultKind::ALL.len()],
            places: vec![0.0; prepared.nodes.len()],
            pairs: vec![0.0; prepared.nodes.len()],
            alone: vec![0.0; prepared.faults.len()],
            voltage: 0.0,
            slipped: 0.0,
            sound_slipped: 0.0,
            highest: f64::NEG_INFINITY,
        }
    }

    fn is_empty(&self) -> bool {
        self.highest == f64::NEG_INFINITY
    }

    /// The probability, in units of the first hypothesis that was possible.
    fn scale(&mut self, ln: f64) -> f64 {
        if ln > self.highest + HEADROOM {
            let down = (self.highest - ln).exp();
            self.times(down);
            self.highest = ln;
        }
        if self.is_empty() {
            0.0
        } else {
            (ln - self.highest).exp()
        }
    }

    /// ln of the sum so far.
    pub fn ln_sum(&self) -> f64 {
        self.highest + self.classes.iter().sum::<f64>().ln()
    }

    pub fn add(
        &mut self,
        prepared: &Prepared,
        hypothesis: Hypothesis,
        ln_weight: f64,
        it: Weighed,
    ) {
        match hypothesis {
            Hypothesis::None => {
                let p = self.scale(ln_weight + it.ln);
                self.slipped += p * it.latest_slipped;
                self.sound_slipped += p * it.latest_slipped;
                self.classes[FaultKind::None as usize] += p;
            }
            Hypothesis::One(one) => {
                let p = self.scale(ln_weight + it.ln);
                self.slipped += p * it.latest_slipped;
                let one = one as usize;
                let fault = &prepared.faults[one].fault;
                self.classes[fault.of.kind as usize] += p;
                self.alone[one] += p;
                match fault.at {
                    Some(at) => self.places[at] += p,
                    None => self.voltage += p,
                }
            }
            Hypothesis::Two(one, other) => {
                self.add_pair(prepared, [one as usize, other as usize], ln_weight, it);
            }
        }
    }

    pub fn add_pair(
        &mut self,
        prepared: &Prepared,
        faults: [usize; 2],
        ln_weight: f64,
        it: Weighed,
    ) {
        let p = self.scale(ln_weight + it.ln);
        self.add_weighed_pair(prepared, faults, p, p * it.latest_slipped);
    }

    /// What a probability of 1 is in the units of the sums so far; none where they are out of all
    /// proportion to it.
    fn unit(&self) -> Option<f64> {
        (self.highest.abs() < HEADROOM / 2.0).then(|| (-self.highest).exp())
    }

    /// A pair in the units of the sums so far.
    fn add_weighed_pair(&mut self, prepared: &Prepared, faults: [usize; 2], p: f64, slipped: f64) {
        self.slipped += slipped;
        self.classes[FaultKind::TwoFaults as usize] += p;
        let [one, other] = faults.map(|at| prepared.faults[at].fault.at);
        self.add_at(one, p);
        // A pair at one place counts there once.
        if other != one {
            self.add_at(other, p);
        }
    }

    fn add_at(&mut self, at: Option<usize>, p: f64) {
        match at {
            Some(at) => self.pairs[at] += p,
            None => self.voltage += p,
        }
    }

    /// All pairs of one first fault.
    fn add_batch(
        &mut self,
        prepared: &Prepared,
        batch: &Batch<'_>,
        unit: f64,
        densities: &Densities,
    ) {
        let first = prepared.faults[batch.first].fault.at;
        let nodes = prepared.nodes.len();
        let (mut all, mut here, mut weights) = (0.0, 0.0, 0.0);
        // Second faults at one node stand together.
        let (mut at, mut there) = (nodes, 0.0);
        let mut flush = |at: usize, p: f64| {
            let at = (at < nodes).then_some(at);
            if at == first {
                // A pair at one place counts there once.
                here += p;
            }
            self.add_at(at, unit * p);
        };
        let pairs = batch.weight().iter().zip(&densities.whole);
        for ((weight, whole), node) in pairs.zip(batch.nodes) {
            if *node != at {
                flush(at, there);
                (at, there) = (*node, 0.0);
            }
            let p = weight * whole;
            all += p;
            there += p;
            weights += weight;
        }
        flush(at, there);
        self.add_at(first, unit * (all - here));
        self.classes[FaultKind::TwoFaults as usize] += unit * all;
        self.slipped += unit * weights * densities.slipped;
    }

    /// Takes in another's sums, in the same units.
    fn join(&mut self, part: &Self) {
        self.voltage += part.voltage;
        self.slipped += part.slipped;
        self.sound_slipped += part.sound_slipped;
        let lists = [
            (&mut self.classes[..], &part.classes[..]),
            (&mut self.places, &part.places),
            (&mut self.pairs, &part.pairs),
            (&mut self.alone, &part.alone),
        ];
        for (own, more) in lists {
            for (own, more) in own.iter_mut().zip(more) {
                *own += more;
            }
        }
    }

    fn times(&mut self, factor: f64) {
        self.slipped *= factor;
        self.sound_slipped *= factor;
        self.voltage *= factor;
        let lists = [
            &mut self.classes[..],
            &mut self.places,
            &mut self.pairs,
            &mut self.alone,
        ];
        for p in lists.into_iter().flatten() {
            *p *= factor;
        }
    }

    fn normalise(&mut self) {
        let sum: f64 = self.classes.iter().sum();
        self.times(1.0 / sum);
        for (place, pairs) in self.places.iter_mut().zip(&self.pairs) {
            *place += pairs;
        }
    }
}
