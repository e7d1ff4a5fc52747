//! The next test: of all that could be made now, which tells most of the place in the least time.
//!
//! Tests: read again at the rack, direct current at the rack, listen at a loudspeaker, split
//! before a node and read both sides. Each is worth the expected fall in entropy of the place (the
//! set of nodes at which the faults sit), over the answers that every hypothesis of posterior
//! above 1e-7 predicts.
//!
//! A first look weighs every test with some hypotheses that stand for all, a second those that came near
//! the best with more; whatever comes near then, and always the first three, is weighed in full: all
//! places and whatever holds 1e-5, the rest of each place in one or a few of it.
//!
//! Never here: densities of answers, words.

use super::candidates::{NextKind, a_minute, candidates};
use super::evidence::Evidence;
use super::joint::weighed;
use super::kept::{Gathered, Places, kept};
use super::look::{DIGIT, Look};
use super::part::Limits;
use super::predicted::{Predicted, answers, text};
use super::prepared::Prepared;
use super::shared::Shared;
use super::thin::{by_place, few, holding, likeliest};
use super::walk::Walk;
use crate::quantity::Minutes;
use crate::site::Figure;

/// Looks at ever fewer tests by ever more hypotheses.
const PASSES: [Pass; 2] = [
    Pass {
        hold: 0.97,
        answers: 64,
        near: 0.6,
        most: 16,
    },
    Pass {
        hold: 1.0,
        answers: 128,
        near: 0.8,
        most: 8,
    },
];
/// A look takes no more hypotheses than this.
const LOOK: usize = 400;
/// On a long line a look takes fewer hypotheses, but no fewer than this.
const LEAST_LOOK: usize = 128;
/// What a look may cost: hypotheses times tests times nodes.
const LOOK_COST: usize = 3_000_000;
/// On a line of several hundred nodes only the likeliest hypotheses are taken in full: so many
/// times nodes. No line of sixty comes near it.
const FULL_COST: usize = 6_000_000;
/// Answers summed over in the end.
const FINE: usize = 512;
/// Weighed in full, hypotheses of less than this share stand together, place by place. Gains are within
/// 0.01 bit of those of all.
const SHARE: f64 = 1e-5;
/// Always weighed in full: the first so many.
const FIRST: usize = 3;

/// A look at tests by some of the hypotheses.
struct Pass {
    /// As many as hold this share of the whole, the likeliest first: a few where a reading says
    /// much, and where it says little no fewer than are needed.
    hold: f64,
    /// Answers summed over.
    answers: usize,
    /// The share of the best that a test must come to to be looked at again, and how many are.
    near: f64,
    most: usize,
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
        a_minute(self.gain_bits, self.minutes)
    }
}

impl Prepared {
    /// Every test that could be made now, the most bits a minute first. The first three, and those
    /// that come near, are weighed in full and say what each answer would mean; the rest by the
    /// few hypotheses that stand for all.
    #[must_use]
    pub fn next(&self, evidence: &Evidence, shared: &Shared, walk: &Walk) -> Vec<NextTest> {
        self.next_of(evidence, shared, walk, None)
    }

    pub(super) fn next_of(
        &self,
        evidence: &Evidence,
        shared: &Shared,
        walk: &Walk,
        gathered: Option<Gathered>,
    ) -> Vec<NextTest> {
        let evidence = weighed(self, evidence);
        let mut places = Places::new(self.nodes.len());
        let nodes = self.nodes.len().max(1);
        let (mut kept, ln_sum) = kept(self, &evidence, shared, &mut places, gathered);
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
        let mut near = candidates.len();
        for pass in PASSES {
            let most = (LOOK_COST / (nodes * near.max(1))).clamp(LEAST_LOOK, LOOK);
            let some = few(&kept, holding(&kept, pass.hold).clamp(LEAST_LOOK, most));
            let wanted: Vec<usize> = (0..near).collect();
            for (at, gain, _) in look.weigh(&some, &candidates, &wanted, pass.answers) {
                candidates[at].gain = gain;
            }
            let seen = &mut candidates[..near];
            seen.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
            let least = seen.first().map_or(0.0, |it| it.rate() * pass.near);
            let those = seen.partition_point(|it| it.rate() >= least);
            near = those.min(pass.most).max(FIRST).min(near);
        }
        let kept = by_place(kept, SHARE);
        // In full: what came near, then until the first few are.
        // What is read at the rack costs least and tells most of the slip, which a few hypotheses
        // misjudge: always.
        let at_rack = |at: &usize| candidates[*at].at.is_none();
        let mut wanted: Vec<usize> = (0..candidates.len())
            .filter(|at| *at < near || at_rack(at))
            .collect();
        while !wanted.is_empty() {
            for (at, gain, shows) in look.weigh(&kept, &candidates, &wanted, FINE) {
                candidates[at].gain = gain;
                candidates[at].full = Some(shows);
            }
            candidates.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
            wanted = (0..candidates.len().min(FIRST))
                .filter(|at| candidates[*at].full.is_none())
                .collect();
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
