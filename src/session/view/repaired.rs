//! The row of the panel of a line that was repaired and not read since: what it read before.

use super::super::Session;
use super::super::mode::Draft;
use super::section::Section;
use super::text::Tone;
use crate::review::was_before;

impl Session {
    /// None while a reading is typed, which says more.
    pub(super) fn repaired_rows(
        &self,
        at: usize,
        draft: Option<&Draft>,
        width: usize,
        out: &mut Section,
    ) {
        let result = self.analyst.line(at);
        let Some(it) = result.repaired.as_ref().filter(|_| draft.is_none()) else {
            return;
        };
        let Some(was) = was_before(it) else { return };
        let words = format!("was {was}, repaired {}: read it again", self.clock(it.at));
        let tone = match result.is_unproven() {
            true => Tone::Alarm,
            false => Tone::Plain,
        };
        out.words(" ? ", &words, width, tone);
    }
}
