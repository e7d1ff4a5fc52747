//! Probabilities added up over hypotheses: by class, by place, by fault, and that readings slipped.
//!
//! Never here: how likely a hypothesis makes the readings.

use super::batch::Batch;
use super::densities::Densities;
use super::hypothesis::Hypothesis;
use super::kind::FaultKind;
use super::prepared::Prepared;

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
    /// Readings slipped: each in the order of the evidence, but of rack readings alone the latest.
    pub slipped: Vec<f64>,
    /// Which of these is the latest at the rack.
    latest: Option<usize>,
    /// That one slipped, and nothing is wrong on the line.
    pub sound_slipped: f64,
    /// ln that the sums so far are in units of; minus infinity before any.
    highest: f64,
}

/// Sums are put in new units when a hypothesis is e^600 times what they are in.
const HEADROOM: f64 = 600.0;

impl Tally {
    /// Of rack readings alone: whether the latest slipped is all that is asked of them.
    pub fn at_rack(prepared: &Prepared) -> Self {
        Self::new(prepared, 1, Some(0))
    }

    /// Of so many readings; `latest` is the place of the latest at the rack.
    pub fn new(prepared: &Prepared, readings: usize, latest: Option<usize>) -> Self {
        Self {
            classes: [0.0; FaultKind::ALL.len()],
            places: vec![0.0; prepared.nodes.len()],
            pairs: vec![0.0; prepared.nodes.len()],
            alone: vec![0.0; prepared.faults.len()],
            voltage: 0.0,
            slipped: vec![0.0; readings],
            latest,
            sound_slipped: 0.0,
            highest: f64::NEG_INFINITY,
        }
    }

    /// Whether no hypothesis so far was possible.
    pub fn is_empty(&self) -> bool {
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

    /// Probability that the latest rack reading slipped.
    pub fn misfit(&self) -> f64 {
        self.latest.map_or(0.0, |at| self.slipped[at])
    }

    /// A hypothesis with ln of its weight and of what it makes of the readings, and the probability
    /// under it that each of them slipped.
    pub fn add(
        &mut self,
        prepared: &Prepared,
        hypothesis: Hypothesis,
        ln_weight: f64,
        ln: f64,
        slipped: &[f64],
    ) {
        let p = self.scale(ln_weight + ln);
        for (sum, slipped) in self.slipped.iter_mut().zip(slipped) {
            *sum += p * slipped;
        }
        match hypothesis {
            Hypothesis::None => {
                let latest = self.latest.and_then(|at| slipped.get(at));
                self.sound_slipped += p * latest.copied().unwrap_or(0.0);
                self.classes[FaultKind::None as usize] += p;
            }
            Hypothesis::One(one) => {
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
                self.classes[FaultKind::TwoFaults as usize] += p;
                let [one, other] = [one, other].map(|at| prepared.faults[at as usize].fault.at);
                self.add_at(one, p);
                // A pair at one place counts there once.
                if other != one {
                    self.add_at(other, p);
                }
            }
        }
    }

    /// What a probability of 1 is in the units of the sums so far; none where they are out of all
    /// proportion to it.
    pub fn unit(&self) -> Option<f64> {
        (self.highest.abs() < HEADROOM / 2.0).then(|| (-self.highest).exp())
    }

    fn add_at(&mut self, at: Option<usize>, p: f64) {
        match at {
            Some(at) => self.pairs[at] += p,
            None => self.voltage += p,
        }
    }

    /// All pairs of one first fault, of rack readings alone.
    pub fn add_batch(
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
        if let [latest] = &mut self.slipped[..] {
            *latest += unit * weights * densities.slipped;
        }
    }

    /// Takes in another's sums, in the same units.
    pub fn join(&mut self, part: &Self) {
        self.voltage += part.voltage;
        self.sound_slipped += part.sound_slipped;
        let lists = [
            (&mut self.classes[..], &part.classes[..]),
            (&mut self.places, &part.places),
            (&mut self.pairs, &part.pairs),
            (&mut self.alone, &part.alone),
            (&mut self.slipped, &part.slipped),
        ];
        for (own, more) in lists {
            for (own, more) in own.iter_mut().zip(more) {
                *own += more;
            }
        }
    }

    fn times(&mut self, factor: f64) {
        self.sound_slipped *= factor;
        self.voltage *= factor;
        let lists = [
            &mut self.classes[..],
            &mut self.places,
            &mut self.pairs,
            &mut self.alone,
            &mut self.slipped,
        ];
        for p in lists.into_iter().flatten() {
            *p *= factor;
        }
    }

    /// Makes all classes add up to 1, and counts pairs at both their places.
    pub fn normalise(&mut self) {
        let sum: f64 = self.classes.iter().sum();
        self.times(1.0 / sum);
        for (place, pairs) in self.places.iter_mut().zip(&self.pairs) {
            *place += pairs;
        }
    }
}
