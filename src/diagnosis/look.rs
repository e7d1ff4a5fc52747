//! What tests may show under every hypothesis that counts, gathered by place.
//!
//! Given a hypothesis and the set of old readings that slipped, readings to be made are Normal
//! given the old ones that stand, near and far side jointly; answers depend on the hypothesis
//! alone. One more reading at the rack repeats the one that stands.
//!
//! Never here: which tests there are, what they cost.

use super::answer::{ANSWERS, probabilities};
use super::candidates::{Candidate, NextKind};
use super::evidence::{Evidence, Test};
use super::given::Given;
use super::joint::{Joint, Read};
use super::kept::Kept;
use super::mixture::Mixture;
use super::parallel::in_parts;
use super::part::{Limits, Part};
use super::prepared::Prepared;
use super::shared::Shared;
use super::shows::Shows;
use super::tree::Under;
use super::walk::Walk;
use crate::circuit::Slopes;
use crate::quantity::Value;
use crate::site::Figure;

/// Terms of a sum over slips of less are left out.
const LEAST_TERM: f64 = 1e-10;
/// A reading not made yet has a last digit of this relative standard deviation. \[assumed\]
pub(super) const DIGIT: f64 = 0.012;

/// What is held against the tests.
pub(super) struct Look<'a> {
    pub prepared: &'a Prepared,
    pub evidence: &'a Evidence,
    pub shared: &'a Shared,
    pub walk: &'a Walk,
    pub places: usize,
    pub limits: Limits,
    pub ln_sum: f64,
}

impl Look<'_> {
    /// Some of the candidates with their gain and what they may show.
    pub fn weigh(
        &self,
        kept: &[Kept],
        candidates: &[Candidate],
        wanted: &[usize],
        answers: usize,
    ) -> Vec<(usize, f64, Shows)> {
        let shown = self.gather(kept, candidates, wanted);
        let gains = in_parts(&shown, |part| {
            let falls = part
                .iter()
                .map(|(_, shows)| shows.expected_fall(&self.limits, answers));
            falls.collect::<Vec<f64>>()
        });
        shown
            .into_iter()
            .zip(gains.concat())
            .map(|((at, shows), gain)| (at, gain, shows))
            .collect()
    }

    /// What some of the candidates may show under these hypotheses.
    fn gather(
        &self,
        kept: &[Kept],
        candidates: &[Candidate],
        wanted: &[usize],
    ) -> Vec<(usize, Shows)> {
        // Two tests a split, one for any other; listening needs the whole line.
        let mut tests: Vec<Test> = Vec::new();
        let mut plan: Vec<(usize, usize)> = Vec::new();
        for at in wanted {
            plan.push((*at, tests.len()));
            match (candidates[*at].test, candidates[*at].at) {
                (NextKind::Split, Some(node)) => {
                    tests.extend([Test::Near(node), Test::Far(node)]);
                }
                (NextKind::Dc, _) => tests.push(Test::Dc),
                _ => tests.push(Test::Rack),
            }
        }
        let with = (&self.walk.meter, self.walk.accuracy);
        let joint = Joint::new(
            self.prepared,
            self.evidence,
            self.shared,
            Some(with),
            &tests,
        );
        let solved = joint.solved();
        let sound = joint.slopes(&solved);
        let groups: Vec<&[Kept]> = kept.chunk_by(|a, b| a.first == b.first).collect();
        let parts = in_parts(&groups, |groups| {
            let mut out: Vec<Shows> = wanted
                .iter()
                .map(|at| self.nothing(candidates[*at].test))
                .collect();
            let mut under = Under::default();
            for group in groups {
                let to = (&mut under, out.as_mut_slice());
                self.gather_group((&joint, &sound), group, candidates, &plan, to);
            }
            out
        });
        let mut parts = parts.into_iter();
        let mut out = parts.next().unwrap_or_default();
        for part in parts {
            for (sum, more) in out.iter_mut().zip(part) {
                sum.join(more);
            }
        }
        wanted.iter().copied().zip(out).collect()
    }

    fn nothing(&self, test: NextKind) -> Shows {
        match test {
            NextKind::Listen => Shows::Answers(vec![vec![0.0; self.places]; ANSWERS.len()]),
            NextKind::Split => Shows::Figures(Mixture::new(2)),
            NextKind::Dc | NextKind::Reread => Shows::Figures(Mixture::new(1)),
        }
    }

    /// Hypotheses of one first fault. `plan` has the place of each candidate, and that of its
    /// first reading among those to be made.
    fn gather_group(
        &self,
        (joint, sound): (&Joint<'_>, &[Slopes<'_>]),
        group: &[Kept],
        candidates: &[Candidate],
        plan: &[(usize, usize)],
        (under, out): (&mut Under, &mut [Shows]),
    ) {
        let old = self.evidence.readings.len();
        let stands = self.stands();
        let mut with = Old::of(joint);
        joint.laid(sound, group[0].first, |laid| {
            for it in group {
                joint.after(laid, it.second, under);
                let terms = self.terms(joint, under, it);
                for ((at, first), shows) in plan.iter().zip(&mut *out) {
                    let candidate = &candidates[*at];
                    match shows {
                        Shows::Answers(rows) => {
                            let Some(node) = candidate.at else { continue };
                            let source = self.walk.source.get();
                            let d = joint.level_change(under, node, source);
                            for (row, p) in rows.iter_mut().zip(probabilities(d)) {
                                row[it.place as usize] += it.p * p;
                            }
                        }
                        Shows::Figures(mixture) => {
                            let reads = &joint.reads[old + first..];
                            let reads = match candidate.test {
                                NextKind::Split => &reads[..2],
                                _ => &reads[..1],
                            };
                            let again =
                                (candidate.test == NextKind::Reread).then_some(stands.as_slice());
                            let cause = (it.place, terms.as_slice());
                            with.predict((joint, under), cause, reads, again, mixture);
                        }
                    }
                }
            }
        });
    }

    /// The terms of the sum over slips, each with its share of the whole.
    fn terms(&self, joint: &Joint<'_>, under: &Under, kept: &Kept) -> Vec<(f64, Given)> {
        let mut terms = Vec::new();
        joint.weigh(under, |_, ln, given| {
            let p = (kept.ln_weight + ln - self.ln_sum).exp();
            if p > LEAST_TERM {
                terms.push((p, given.clone()));
            }
        });
        terms
    }

    /// Readings that one more at the rack would repeat: place among the numeric ones, ln of the
    /// figure, and the variance of the repeat.
    fn stands(&self) -> Vec<(usize, f64, f64)> {
        let numeric = self.evidence.readings.iter();
        let contacts = self.prepared.figures.get(Figure::ContactOhm);
        numeric
            .filter_map(|it| match it.value {
                Value::Ohm(ohm) => Some((it, ohm.get().max(f64::MIN_POSITIVE))),
                Value::Open | Value::Short => None,
            })
            .enumerate()
            .filter(|(_, (it, _))| it.test == Test::Rack && it.meter == self.walk.meter)
            .map(|(at, (it, m))| {
                let digit = (2.0 * DIGIT).max(it.step.get() / (3f64.sqrt() * m));
                (at, m.ln(), digit * digit + 2.0 * (contacts / m).powi(2))
            })
            .collect()
    }
}

/// Readings that stand, and room for what others have in common with them.
struct Old {
    reads: Vec<Read>,
    with: [Vec<f64>; 2],
    given: Vec<f64>,
    along: [Vec<f64>; 2],
}

impl Old {
    fn of(joint: &Joint<'_>) -> Self {
        let numeric = joint.slips.numeric.iter();
        Self {
            reads: numeric.map(|it| joint.reads[it.at]).collect(),
            with: Default::default(),
            given: Vec::new(),
            along: Default::default(),
        }
    }

    /// What readings to be made would show, given each set of old ones that stand.
    fn predict(
        &mut self,
        (joint, under): (&Joint<'_>, &Under),
        (cause, terms): (u32, &[(f64, Given)]),
        reads: &[Read],
        again: Option<&[(usize, f64, f64)]>,
        mixture: &mut Mixture,
    ) {
        let (mut means, mut own, mut crossed) = ([0.0; 2], [0.0; 2], 0.0);
        for (side, read) in reads.iter().enumerate() {
            means[side] = joint.mean(under, *read);
            let prediction = under.predictions[read.tree];
            own[side] = joint.covariance(under, *read, *read) + prediction.contacts + DIGIT * DIGIT;
            self.with[side].clear();
            let old = self.reads.iter();
            self.with[side].extend(old.map(|it| joint.covariance(under, *read, *it)));
        }
        if let [one, other] = reads {
            crossed = joint.covariance(under, *one, *other);
        }
        for (p, given) in terms {
            let mut part = Part {
                cause,
                weight: *p,
                mean: [0.0; 2],
                variance: [1.0; 2],
                covariance: 0.0,
            };
            let repeats =
                again.and_then(|stands| stands.iter().find(|(at, ..)| given.weighed.contains(at)));
            if let Some((_, ln_m, variance)) = repeats {
                part.mean[0] = *ln_m;
                part.variance[0] = *variance;
                mixture.add(&part);
                continue;
            }
            for side in 0..reads.len() {
                let (with, along) = (&self.with[side], &mut self.along[side]);
                self.given.clear();
                self.given.extend(given.weighed.iter().map(|at| with[*at]));
                given.along(&self.given, along);
                part.mean[side] = means[side] + given.shift(along);
                let known: f64 = along.iter().map(|it| it * it).sum();
                part.variance[side] = (own[side] - known).max(DIGIT * DIGIT);
            }
            if reads.len() == 2 {
                let [one, other] = &self.along;
                let known: f64 = one.iter().zip(other).map(|(a, b)| a * b).sum();
                part.covariance = crossed - known;
            }
            mixture.add(&part);
        }
    }
}
