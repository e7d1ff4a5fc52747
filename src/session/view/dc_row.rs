//! The row of the panel that says what an ohmmeter at the rack read, and what the drawing makes of it.

use super::super::Session;
use super::super::mode::{Draft, DraftKind};
use super::section::Section;
use super::text::Tone;
use crate::analysis::{Direct, LineResult};
use crate::quantity::show;

impl Session {
    /// Nothing where there is neither such a reading nor one being typed.
    pub(super) fn dc_row(
        &self,
        at: usize,
        result: &LineResult,
        draft: Option<&Draft>,
        width: usize,
        out: &mut Section,
    ) {
        let typed = draft.is_some_and(|draft| draft.kind == DraftKind::Dc);
        if !typed && result.dc.is_none() {
            return;
        }
        let line = &self.site.plan().lines[at];
        let drawn = Direct::of(line, self.site.figures(), None);
        let drawn = drawn.map(|it| format!("drawn {}", it.words()));
        let read = result.dc.filter(|_| !typed).map(show::value);
        let words: Vec<String> = read.into_iter().chain(drawn).collect();
        if !words.is_empty() {
            out.words("   ohmmeter ", &words.join(", "), width, Tone::Plain);
        }
    }
}
