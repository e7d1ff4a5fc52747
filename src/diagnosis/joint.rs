//! Any number of readings and answers of one state of a line, taken together.
//!
//! Under a hypothesis the numeric readings are jointly Normal in ln:
//!
//! ```text
//!   mean_r = ln|Z_r| + (g if an impedance) + sum w_r t
//!   cov_rs = sum J_r J_s + [1, w_r] C [1, w_s]^T + an ohmmeter's own factor
//!            + last digit and contacts of r where r = s
//! ```
//!
//! J the derivatives of ln|Z_r| by each loudspeaker's own factor, each run's length, an unlisted
//! load's factor and the windings' common factor at direct current, all under the hypothesis and
//! times their spreads. Slips and repeats as in `slips`; answers are independent of all else.
//!
//! Never here: in what order hypotheses are looked at.

use super::answer::{level, ln_probability};
use super::evidence::{Answer, Evidence, Meter, Reading, Test};
use super::given::{Given, Numbers};
use super::prediction::Prediction;
use super::prepared::Prepared;
use super::shared::{Joint as Factors, Latent, Shared, meter_variance};
use super::slips::{Slips, ln_add};
use super::tree::{Tree, Trees, Under};
use crate::circuit::Slope;
use crate::quantity::{Fraction, normal};
use crate::site::Figure;

/// What a reading's instrument adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Gain {
    /// An impedance meter: its place among the factors.
    Meter(usize),
    /// An ohmmeter: which one, and the variance of its factor.
    Ohmmeter(usize, f64),
}

/// A reading made or to be made: of which tree, with what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Read {
    pub tree: usize,
    pub gain: Gain,
}

/// What a hypothesis makes of all readings and answers.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Together {
    /// ln of the likelihood; minus infinity where it cannot be.
    pub ln: f64,
    /// Probability under the hypothesis that each reading slipped, in the order of the evidence.
    pub slipped: Vec<f64>,
}

/// The evidence, made ready to be held against hypotheses.
pub(super) struct Joint<'a> {
    pub prepared: &'a Prepared,
    pub slips: Slips,
    pub answers: Vec<Answer>,
    pub trees: Vec<Tree>,
    /// Readings made, then those to be made.
    pub reads: Vec<Read>,
    /// How many are made.
    pub readings: usize,
    /// Which of the trees is the whole line at the rack.
    rack: Option<usize>,
    /// The factors of the meters, then of the types.
    factors: Factors,
    meters: Vec<Meter>,
    /// Variance of what all windings share at direct current.
    winding: f64,
    /// Level of each loudspeaker of the sound line, dB.
    pub sound: Vec<f64>,
}

/// The readings that count on this line.
pub(super) fn weighed(prepared: &Prepared, evidence: &Evidence) -> Evidence {
    let nodes = prepared.nodes.len();
    let counts = |reading: &&Reading| match reading.test {
        Test::Rack => true,
        Test::Dc => !prepared.has_control(),
        Test::Near(at) | Test::Far(at) => at < nodes,
    };
    Evidence {
        readings: evidence.readings.iter().filter(counts).cloned().collect(),
        answers: evidence
            .answers
            .iter()
            .filter(|it| it.at < nodes)
            .copied()
            .collect(),
    }
}

impl<'a> Joint<'a> {
    /// `evidence` as [`weighed`]; `next` are the meter and accuracy of readings to be made, and
    /// the tests that may be.
    pub fn new(
        prepared: &'a Prepared,
        evidence: &Evidence,
        shared: &Shared,
        next: Option<(&Meter, Fraction)>,
        tests: &[Test],
    ) -> Self {
        let figures = &prepared.figures;
        let mut wanted: Vec<(Latent, f64)> = Vec::new();
        let (mut meters, mut ohmmeters): (Vec<Meter>, Vec<Meter>) = Default::default();
        let mut made = Trees::of(prepared);
        let mut trees: Vec<Tree> = Vec::new();
        let answers = evidence.heard();
        let mut reads = Vec::new();
        let listed = evidence
            .readings
            .iter()
            .map(|it| (it.test, Some((&it.meter, it.accuracy))));
        let heard = (!answers.is_empty()).then_some((Test::Rack, None));
        let more = tests.iter().map(|test| (*test, next));
        for (test, with) in listed.chain(heard).chain(more) {
            let tree = trees.iter().position(|it| it.test == test);
            let tree = tree.unwrap_or_else(|| {
                trees.push(made.tree(test));
                trees.len() - 1
            });
            let Some((meter, accuracy)) = with else {
                continue;
            };
            let variance = meter_variance(accuracy);
            let gain = if test == Test::Dc {
                Gain::Ohmmeter(place(&mut ohmmeters, meter).0, variance)
            } else {
                let (at, is_new) = place(&mut meters, meter);
                if is_new {
                    wanted.push((Latent::Meter(meter.clone()), variance));
                }
                Gain::Meter(at)
            };
            reads.push(Read { tree, gain });
        }
        let spread = figures.get(Figure::SpreadType);
        wanted.extend(
            prepared
                .types
                .iter()
                .map(|of| (Latent::Type(of.clone()), spread * spread)),
        );
        let winding = figures.get(Figure::SpreadWinding);
        let sound = (0..prepared.nodes.len())
            .map(|at| prepared.sound.level(at).map_or(0.0, |it| it.get()))
            .collect();
        Self {
            prepared,
            slips: Slips::of(evidence, figures),
            answers,
            rack: trees.iter().position(|it| it.test == Test::Rack),
            trees,
            reads,
            readings: evidence.readings.len(),
            factors: shared.joint(&wanted),
            meters,
            winding: winding * winding,
            sound,
        }
    }

    pub fn mean(&self, under: &Under, read: Read) -> f64 {
        let mut mean = under.predictions[read.tree].ln_z;
        if let Gain::Meter(at) = read.gain {
            mean += self.factors.mean[at];
        }
        let types = under.slopes[read.tree].groups.iter().enumerate();
        mean + types
            .map(|(of, w)| w * self.factors.mean[self.meters.len() + of])
            .sum::<f64>()
    }

    /// Covariance of two readings without what is each one's own.
    pub fn covariance(&self, under: &Under, one: Read, other: Read) -> f64 {
        let (a, b) = (&under.slopes[one.tree], &under.slopes[other.tree]);
        let first = self.meters.len();
        let mut shared = 0.0;
        for (row, w) in a.groups.iter().enumerate() {
            for (column, v) in b.groups.iter().enumerate() {
                shared += w * v * self.factors.covariance(first + row, first + column);
            }
        }
        let crossed = |gain: Gain, of: &Slope| match gain {
            Gain::Meter(at) => {
                let types = of.groups.iter().enumerate();
                types
                    .map(|(of, w)| w * self.factors.covariance(at, first + of))
                    .sum()
            }
            Gain::Ohmmeter(..) => 0.0,
        };
        shared += crossed(one.gain, b) + crossed(other.gain, a);
        shared += match (one.gain, other.gain) {
            (Gain::Meter(one), Gain::Meter(other)) => self.factors.covariance(one, other),
            (Gain::Ohmmeter(one, variance), Gain::Ohmmeter(other, _)) if one == other => variance,
            _ => 0.0,
        };
        if one == other {
            // A covariance that came from elsewhere may be off in its last digits.
            shared = shared.max(0.0);
        }
        let direct = |read: Read| self.trees[read.tree].test == Test::Dc;
        if direct(one) && direct(other) {
            shared += self.winding * a.behind * b.behind;
        }
        a.dot(b) + shared
    }

    /// Change of level at a loudspeaker against the sound line, dB.
    pub fn level_change(&self, under: &Under, at: usize, source: f64) -> f64 {
        let Some(rack) = self.rack else {
            return 0.0;
        };
        let slope = &under.slopes[rack];
        let sound = self.prepared.sound.y_in();
        let tone = (1.0 + source * sound) / (1.0 + source * slope.y_in);
        level(slope.power[at]) - self.sound[at] + 20.0 * tone.norm().log10()
    }

    /// ln of the probability of what was heard.
    fn heard(&self, under: &Under) -> f64 {
        self.answers
            .iter()
            .map(|it| {
                let d = self.level_change(under, it.at, it.source.get());
                ln_probability(it.heard, d)
            })
            .sum()
    }

    /// What a hypothesis makes of it all; `each` is told ln of each term of the sum over slips
    /// that can be, times all that the terms have in common.
    pub fn weigh(&self, under: &Under, mut each: impl FnMut(usize, f64, &Given)) -> Together {
        let mut ln = self.heard(under);
        let mut slipped = vec![0.0; self.readings];
        for it in &self.slips.extreme {
            let read = self.reads[it.at];
            let variance = self.covariance(under, read, read);
            let mean = self.mean(under, read);
            let mass = under.predictions[read.tree].beyond(mean, variance, it);
            let total = self.slips.right * mass + it.slip;
            ln += total.ln();
            if total > 0.0 {
                slipped[it.at] = it.slip / total;
            }
        }
        let numeric = Numbers::of(
            &self.slips.numeric,
            |it| {
                let read = self.reads[it.at];
                (
                    self.mean(under, read),
                    under.predictions[read.tree].contacts,
                )
            },
            |one, other| self.covariance(under, self.reads[one.at], self.reads[other.at]),
        );
        let mut sum = f64::NEG_INFINITY;
        let mut terms = Vec::with_capacity(self.slips.terms.len());
        for (at, term) in self.slips.terms.iter().enumerate() {
            let Some(given) = numeric.given(&term.weighed) else {
                continue;
            };
            let whole = term.ln_coefficient + given.ln;
            sum = ln_add(sum, whole);
            terms.push((term, given.ln));
            each(at, ln + whole, &given);
        }
        if sum > f64::NEG_INFINITY {
            for (of, it) in self.slips.numeric.iter().enumerate() {
                let parts = terms
                    .iter()
                    .map(|(term, ln)| term.ln_slipped[of] + ln - sum);
                slipped[it.at] = parts.map(f64::exp).sum();
            }
        }
        Together {
            ln: ln + sum,
            slipped,
        }
    }

    /// No hypothesis with this prediction at the rack is likelier than e to this, whatever it
    /// makes of the other readings: of a joint Normal, the density of the first reading alone
    /// times the most that each other's can be, given that its last digit is its own.
    pub fn bound(&self, prediction: Prediction, weights: &[f64]) -> f64 {
        let first = self.meters.len();
        let (mut mean, mut types) = (0.0, 0.0);
        for (one, w) in weights.iter().enumerate() {
            mean += w * self.factors.mean[first + one];
            for (other, v) in weights.iter().enumerate() {
                types += w * v * self.factors.covariance(first + one, first + other);
            }
        }
        let at_rack = |read: Read| {
            let Gain::Meter(meter) = read.gain else {
                return None;
            };
            if Some(read.tree) != self.rack {
                return None;
            }
            let crossed = weights.iter().enumerate();
            let crossed: f64 = crossed
                .map(|(of, w)| w * self.factors.covariance(meter, first + of))
                .sum();
            let shared = self.factors.covariance(meter, meter) + 2.0 * crossed + types;
            let mean = prediction.ln_z + mean + self.factors.mean[meter];
            Some((mean, prediction.own + shared.max(0.0)))
        };
        let mut ln = 0.0;
        for it in &self.slips.extreme {
            if let Some((mean, variance)) = at_rack(self.reads[it.at]) {
                let mass = prediction.beyond(mean, variance, it);
                ln += (self.slips.right * mass + it.slip).ln();
            }
        }
        let mut sum = f64::NEG_INFINITY;
        for term in &self.slips.terms {
            let mut whole = term.ln_coefficient;
            let mut taken = false;
            for at in &term.weighed {
                let it = &self.slips.numeric[*at];
                whole += match at_rack(self.reads[it.at]) {
                    Some((mean, variance)) if !taken => {
                        taken = true;
                        if mean.is_finite() {
                            let variance = variance + prediction.contacts + it.digit;
                            normal::ln_pdf(it.ln_m, mean, variance)
                        } else {
                            f64::NEG_INFINITY
                        }
                    }
                    _ => normal::ln_pdf(0.0, 0.0, it.digit),
                };
            }
            sum = ln_add(sum, whole);
        }
        // What is kept in single precision, and rounding.
        ln + sum + 1e-3
    }
}

/// Place of a meter in a list, and whether it had none.
fn place(list: &mut Vec<Meter>, meter: &Meter) -> (usize, bool) {
    if let Some(at) = list.iter().position(|it| it == meter) {
        return (at, false);
    }
    list.push(meter.clone());
    (list.len() - 1, true)
}
