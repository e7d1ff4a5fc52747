//! The next test: of all that could be made now, which tells most of the place in the least time.
//!
//! Tests: read again at the rack, direct current at the rack, listen at a loudspeaker, split
//! before a node and read both sides. Each is worth the expected fall in entropy of the place (the
//! set of nodes at which the faults sit), over the answers that every hypothesis of posterior
//! above 1e-7 predicts.
//!
//! A first look weighs every test with the likeliest hypotheses only; whatever comes near the
//! best, and always the first three, is then weighed with all of them.
//!
//! Never here: densities of answers, words.

use super::evidence::{Evidence, Test};
use super::hypothesis::Hypothesis;
use super::joint::{Joint, weighed};
use super::likelihood::Likelihood;
use super::look::{DIGIT, Kept, Look, Shows};
use super::mixture::Limits;
use super::predicted::{Predicted, answers, text};
use super::prepared::Prepared;
use super::shared::Shared;
use super::survey::survey_each;
use super::walk::{Distances, Walk};
use crate::quantity::Minutes;
use crate::site::Figure;
use std::collections::HashMap;

/// Hypotheses of less are left out.
const LEAST: f64 = 1e-7;
/// A first look takes so many of the likeliest; on a long line fewer, but no fewer than this.
const FIRST_LOOK: usize = 1500;
const LEAST_LOOK: usize = 200;
/// What a first look may cost: hypotheses times tests times nodes.
const LOOK_COST: usize = 3_000_000;
/// On a line of several hundred nodes only the likeliest hypotheses are taken in full: so many
/// times nodes. No line of sixty comes near it.
const FULL_COST: usize = 6_000_000;
/// On a longer line splits are offered at every second, third, ... node, so that there are no
/// more than this.
const SPLITS: usize = 60;
/// Answers summed over at a first look, and in the end.
const ROUGH: usize = 128;
const FINE: usize = 1024;
/// Whatever a first look puts above this share of the best is weighed in full, up to so many.
const NEAR: f64 = 0.8;
const MOST: usize = 8;
/// Always weighed in full: the first so many.
const FIRST: usize = 3;
/// What could be done next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NextKind {
    /// Read again at the rack.
    Reread,
    /// Listen at a loudspeaker.
    Listen,
    /// Open the line on the rack side of a node and read both sides.
    Split,
    /// Read with direct current at the rack.
    Dc,
}

impl NextKind {
    /// Its word in files and JSON.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Reread => "reread",
            Self::Listen => "listen",
            Self::Split => "split",
            Self::Dc => "dc",
        }
    }
}

/// A test that could be made now.
#[derive(Clone, Debug, PartialEq)]
pub struct NextTest {
    /// What to do.
    pub test: NextKind,
    /// Where: place in the line's plan; none is the rack.
    pub at: Option<usize>,
    /// Expected fall in entropy of the place, bits.
    pub gain_bits: f64,
    /// How long it takes, the walk from where the last reading was made included.
    pub minutes: Minutes,
    /// What it may show and what that would say; only for the tests weighed in full.
    pub answers: Vec<Predicted>,
    /// In words: what to do and why.
    pub text: String,
}

impl NextTest {
    /// Bits a minute.
    #[must_use]
    pub fn per_minute(&self) -> f64 {
        self.gain_bits / self.minutes.get().max(1e-3)
    }
}

/// The sets of nodes at which the faults of hypotheses sit, numbered.
pub(super) struct Places {
    voltage: usize,
    numbers: HashMap<[usize; 2], u32>,
    pub sets: Vec<[usize; 2]>,
}

impl Places {
    /// Other voltage is a member like a node, after all nodes; none is a set of its own.
    fn new(nodes: usize) -> Self {
        Self {
            voltage: nodes,
            numbers: HashMap::new(),
            sets: Vec::new(),
        }
    }

    fn number(&mut self, prepared: &Prepared, hypothesis: Hypothesis) -> u32 {
        let place = |fault: usize| prepared.faults[fault].fault.at.unwrap_or(self.voltage);
        let mut faults = hypothesis.faults().map(place);
        let set = match (faults.next(), faults.next()) {
            (None, _) => [usize::MAX; 2],
            (Some(one), None) => [one, one],
            (Some(one), Some(other)) => [one.min(other), one.max(other)],
        };
        *self.numbers.entry(set).or_insert_with(|| {
            self.sets.push(set);
            u32::try_from(self.sets.len() - 1).unwrap_or(u32::MAX)
        })
    }
}

/// A test with what it needs.
pub(super) struct Candidate {
    pub test: NextKind,
    pub at: Option<usize>,
    minutes: Minutes,
    gain: f64,
    full: Option<Shows>,
}

impl Prepared {
    /// Every test that could be made now, the most bits a minute first. The first three, and those
    /// that come near, are weighed exactly and say what each answer would mean; the rest by the
    /// likeliest hypotheses.
    #[must_use]
    pub fn next(&self, evidence: &Evidence, shared: &Shared, walk: &Walk) -> Vec<NextTest> {
        let evidence = weighed(self, evidence);
        let mut places = Places::new(self.nodes.len());
        let nodes = self.nodes.len().max(1);
        let (mut kept, ln_sum) = kept(self, &evidence, shared, &mut places);
        likeliest(&mut kept, FULL_COST / nodes);
        let mut candidates = candidates(self, &evidence, walk);
        let look = Look {
            prepared: self,
            evidence: &evidence,
            shared,
            walk,
            places: places.sets.len(),
            limits: limits(self, walk),
            ln_sum,
        };
        let few = LOOK_COST / (nodes * candidates.len().max(1));
        let mut first_look = kept.clone();
        likeliest(&mut first_look, few.clamp(LEAST_LOOK, FIRST_LOOK));
        let all: Vec<usize> = (0..candidates.len()).collect();
        for (at, gain, _) in look.weigh(&first_look, &candidates, &all, ROUGH) {
            candidates[at].gain = gain;
        }
        // In full: what came near first, then until the first few are.
        loop {
            candidates.sort_by(|a, b| rate(b).total_cmp(&rate(a)));
            let least = candidates.first().map_or(0.0, |it| rate(it) * NEAR);
            let fresh = candidates.iter().all(|it| it.full.is_none());
            let wanted: Vec<usize> = (0..candidates.len())
                .filter(|at| {
                    let near = fresh && *at < MOST && rate(&candidates[*at]) >= least;
                    candidates[*at].full.is_none() && (*at < FIRST || near)
                })
                .collect();
            if wanted.is_empty() {
                break;
            }
            for (at, gain, shows) in look.weigh(&kept, &candidates, &wanted, FINE) {
                candidates[at].gain = gain;
                candidates[at].full = Some(shows);
            }
        }
        candidates
            .into_iter()
            .map(|it| NextTest {
                test: it.test,
                at: it.at,
                gain_bits: it.gain,
                minutes: it.minutes,
                answers: it
                    .full
                    .as_ref()
                    .map_or_else(Vec::new, |shows| answers(self, &places, it.test, shows)),
                text: text(self, &it),
            })
            .collect()
    }
}

/// Keeps so many of the likeliest, in the order in which faults are laid.
fn likeliest(kept: &mut Vec<Kept>, most: usize) {
    if kept.len() > most {
        kept.sort_by(|a, b| b.p.total_cmp(&a.p));
        kept.truncate(most);
        kept.sort_by_key(|it| (it.first, it.second));
    }
}

fn rate(it: &Candidate) -> f64 {
    it.gain / it.minutes.get().max(1e-3)
}

fn limits(prepared: &Prepared, walk: &Walk) -> Limits {
    let figures = &prepared.figures;
    Limits {
        ln_open: walk.range.get().ln(),
        ln_short: figures.get(Figure::ShortOhm).max(1e-9).ln(),
        slip: figures.get(Figure::Slip),
        slip_open: figures.get(Figure::SlipOpen),
        slip_short: figures.get(Figure::SlipShort),
        digit: DIGIT * DIGIT,
    }
}

/// Every hypothesis of posterior above 1e-7, in the order in which faults are laid, and ln of the
/// sum over all of weight times likelihood.
fn kept(
    prepared: &Prepared,
    evidence: &Evidence,
    shared: &Shared,
    places: &mut Places,
) -> (Vec<Kept>, f64) {
    let mut kept: Vec<(Hypothesis, f64)> = Vec::new();
    let (mut highest, mut sum) = (f64::NEG_INFINITY, 0.0);
    let mut take = |hypothesis: Hypothesis, ln: f64| {
        if ln > highest {
            sum *= (highest - ln).exp();
            highest = ln;
        }
        if ln > f64::NEG_INFINITY {
            sum += (ln - highest).exp();
        }
        // What is left out now is so for good, as the sum only grows.
        if ln > highest + (sum * LEAST).ln() {
            kept.push((hypothesis, ln));
        }
    };
    if evidence.is_plain() {
        let likelihood = Likelihood::new(evidence, shared, &prepared.types, &prepared.figures);
        prepared.each(|hypothesis, ln_weight, prediction, weights| {
            take(
                hypothesis,
                ln_weight + likelihood.of(prediction, weights).ln,
            );
        });
    } else {
        let joint = Joint::new(prepared, evidence, shared, None, &[]);
        survey_each(&joint, take);
    }
    let ln_sum = highest + sum.ln();
    let kept = kept
        .into_iter()
        .filter(|(_, ln)| *ln > ln_sum + LEAST.ln())
        .map(|(hypothesis, ln)| {
            let mut faults = hypothesis.faults();
            let (one, other) = (faults.next(), faults.next());
            let ln_weight = hypothesis.faults().map(|at| prepared.faults[at].ln_weight);
            Kept {
                // Nothing wrong and a single fault are one more fault on the sound line.
                first: other.and(one),
                second: other.or(one),
                place: places.number(prepared, hypothesis),
                ln_weight: ln_weight.sum(),
                p: (ln - ln_sum).exp(),
            }
        })
        .collect();
    (kept, ln_sum)
}

/// What could be made now: no split and no direct current a second time, no loudspeaker listened
/// to again.
fn candidates(prepared: &Prepared, evidence: &Evidence, walk: &Walk) -> Vec<Candidate> {
    let distances = Distances::of(prepared, walk);
    let figures = &prepared.figures;
    let candidate = |test, at, figure| Candidate {
        test,
        at,
        minutes: distances.minutes(at, figures.get(figure)),
        gain: 0.0,
        full: None,
    };
    let made = |test: Test| evidence.readings.iter().any(|it| it.test == test);
    let heard = evidence.heard();
    let mut list = vec![candidate(NextKind::Reread, None, Figure::MinutesReread)];
    if !prepared.has_control() && !made(Test::Dc) {
        list.push(candidate(NextKind::Dc, None, Figure::MinutesDc));
    }
    let every = prepared.nodes.len().div_ceil(SPLITS).max(1);
    for at in 0..prepared.nodes.len() {
        let node = &prepared.line.nodes[at];
        if node.is_loudspeaker() && heard.iter().all(|it| it.at != at) {
            list.push(candidate(NextKind::Listen, Some(at), Figure::MinutesListen));
        }
        if at % every == 0 && !made(Test::Near(at)) && !made(Test::Far(at)) {
            list.push(candidate(NextKind::Split, Some(at), Figure::MinutesSplit));
        }
    }
    list
}
