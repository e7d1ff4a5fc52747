//! Counts over the whole site: what the header of every screen says.

use super::Analyst;
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
    /// Lines that want a look.
    pub flagged: usize,
    /// Lines off the amplifier.
    pub off: usize,
}

impl Analyst {
    /// Counts over all lines.
    #[must_use]
    pub fn counts(&self) -> Counts {
        let mut counts = Counts {
            lines: self.lines.len(),
            ..Counts::default()
        };
        for line in &self.lines {
            counts.read += usize::from(line.is_read());
            counts.off += usize::from(line.off);
            counts.flagged += usize::from(line.is_flagged());
            counts.out += usize::from(line.verdict.is_some_and(|it| it.word == LineWord::Out));
        }
        counts
    }
}
