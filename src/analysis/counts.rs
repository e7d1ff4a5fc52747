//! Counts over the whole site: what the header of every screen says.
//!
//! Kept up line by line, so that a key costs the same on a large site as on a small one.

use super::{Analyst, LineResult};
use crate::verdict::LineWord;

/// Counts over the whole site.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Lines.
    pub lines: usize,
    /// Lines with a rack reading in their latest state.
    pub read: usize,
    /// Lines out of tolerance.
    pub out: usize,
    /// Lines read before what is drawn of them, which is still to be done: to be read again.
    pub reread: usize,
    /// Lines that want a look.
    pub flagged: usize,
    /// Lines off the amplifier.
    pub off: usize,
    /// Lines opened for a split and not closed again.
    pub open: usize,
}

impl Counts {
    /// The counts over these lines.
    pub(super) fn of(lines: &[LineResult]) -> Self {
        let mut counts = Self::default();
        for line in lines {
            counts.add(line);
        }
        counts
    }

    /// Counts one more line in.
    pub(super) fn add(&mut self, line: &LineResult) {
        for (sum, one) in self.each().into_iter().zip(Self::of_line(line).each()) {
            *sum += *one;
        }
    }

    /// A line that was counted no longer stands so.
    pub(super) fn take_off(&mut self, line: &LineResult) {
        for (sum, one) in self.each().into_iter().zip(Self::of_line(line).each()) {
            *sum -= *one;
        }
    }

    fn of_line(line: &LineResult) -> Self {
        Self {
            lines: 1,
            read: usize::from(line.is_read()),
            out: usize::from(line.verdict.is_some_and(|it| it.word == LineWord::Out)),
            reread: usize::from(line.is_to_be_reread()),
            flagged: usize::from(line.is_flagged()),
            off: usize::from(line.off),
            open: usize::from(line.open_split.is_some()),
        }
    }

    fn each(&mut self) -> [&mut usize; 7] {
        let Self {
            lines,
            read,
            out,
            reread,
            flagged,
            off,
            open,
        } = self;
        [lines, read, out, reread, flagged, off, open]
    }
}

impl Analyst {
    /// Counts over all lines.
    #[must_use]
    pub const fn counts(&self) -> Counts {
        self.counts
    }
}
