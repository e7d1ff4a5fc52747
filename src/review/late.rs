//! Ticks of a step that belongs before a reading, made after one: the step was done late, or only ticked
//! late. Nobody knows which, so it is told, and it does not stand in the way of signing.
//!
//! Never here: what a tick means.

use crate::site::{Entry, Log, in_order};
use jiff::Timestamp;

/// Readings that were made before an item of the lists was first ticked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Late {
    /// How many.
    pub readings: usize,
    /// When the first of them was made.
    pub first: Timestamp,
}

impl Late {
    /// Readings before a tick, if any; corrections counted as made when the figure was read.
    pub(super) fn before<'a>(
        log: &Log,
        tick: &Entry,
        reads: impl IntoIterator<Item = &'a Entry>,
    ) -> Option<Self> {
        let earlier = reads
            .into_iter()
            .filter(|read| in_order(log.measured(read), tick).is_lt())
            .map(|read| log.measured(read).at);
        let one = |at| Self {
            readings: 1,
            first: at,
        };
        earlier.map(one).reduce(Self::and)
    }

    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            readings: self.readings + other.readings,
            first: self.first.min(other.first),
        }
    }
}
