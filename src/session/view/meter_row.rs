//! The row of a line's panel that says what its meter does to what it reads.

use super::super::Session;
use super::section::Section;
use super::text::Tone;
use crate::analysis::LineResult;
use crate::quantity::{Fraction, show};

impl Session {
    /// Nothing where the meter was not found to read high or low.
    pub(super) fn meter_row(&self, result: &LineResult, width: usize, out: &mut Section) {
        let taken = result.taken.as_ref();
        if let Some((high, ohm)) = taken.and_then(|it| self.analyst.meter_reads(it)) {
            let how = if high.get() > 0.0 { "high" } else { "low" };
            let share = show::percent(Fraction(high.get().abs()));
            let words = format!("meter {share} {how}, else {}", show::ohm(ohm));
            out.words("   ", &words, width, Tone::Plain);
        }
    }
}
