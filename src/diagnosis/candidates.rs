//! The tests that could be made now.
//!
//! Never here: what each of them tells.

use super::evidence::{Evidence, Test};
use super::prepared::Prepared;
use super::shows::Shows;
use super::walk::{Distances, Walk};
use crate::quantity::Minutes;
use crate::site::Figure;

/// On a longer line splits are offered at every second, third, ... node, so that there are no
/// more than this.
const SPLITS: usize = 60;

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

/// A test with what it needs.
pub(super) struct Candidate {
    pub test: NextKind,
    pub at: Option<usize>,
    pub minutes: Minutes,
    /// Expected fall in entropy of the place, bits; 0 before it is weighed.
    pub gain: f64,
    /// What it may show, once it is weighed in full.
    pub full: Option<Shows>,
}

impl Candidate {
    /// Bits a minute.
    pub fn rate(&self) -> f64 {
        a_minute(self.gain, self.minutes)
    }
}

/// So many bits in so long, bits a minute: what takes no time takes a thousandth of one.
pub(super) fn a_minute(bits: f64, minutes: Minutes) -> f64 {
    bits / minutes.get().max(1e-3)
}

/// What could be made now: no split and no direct current a second time, no loudspeaker listened
/// to again.
pub(super) fn candidates(prepared: &Prepared, evidence: &Evidence, walk: &Walk) -> Vec<Candidate> {
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
