//! What a test not made yet may show.
//!
//! Never here: hypotheses.

use super::entropy::expected_fall;
use super::mixture::Mixture;
use super::part::Limits;

/// What a test may show, by place.
pub(super) enum Shows {
    /// One row an answer, one share a place.
    Answers(Vec<Vec<f64>>),
    /// One figure, or one for each side of a split.
    Figures(Mixture),
}

impl Shows {
    /// Adds what other hypotheses make it show.
    pub fn join(&mut self, other: Self) {
        match (self, other) {
            (Self::Answers(rows), Self::Answers(more)) => {
                for (own, more) in rows.iter_mut().flatten().zip(more.into_iter().flatten()) {
                    *own += more;
                }
            }
            (Self::Figures(own), Self::Figures(more)) => own.join(more),
            _ => {}
        }
    }

    /// Expected fall of the entropy of the place, bits; of figures summed over so many answers.
    pub fn expected_fall(&self, limits: &Limits, answers: usize) -> f64 {
        match self {
            Self::Answers(rows) => expected_fall(rows),
            Self::Figures(mixture) => mixture.expected_fall(limits, answers),
        }
    }
}
