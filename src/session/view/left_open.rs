//! A snag of an earlier visit as a row of the review, and of its line's panel.
//!
//! Never here: what answers it.

use super::super::Session;
use super::super::mode::Draft;
use super::section::Section;
use super::text::Tone;
use crate::review::{self, Item, Matter, Word};
use crate::site::Ref;

impl Session {
    /// None while a reading is typed, nor where this visit said what became of it.
    pub(super) fn left_open_row(
        &self,
        at: usize,
        draft: Option<&Draft>,
        width: usize,
        out: &mut Section,
    ) {
        let of = Ref::Line(self.site.plan().lines[at].id.clone());
        let left = review::left_open(&self.site, &of).filter(|it| draft.is_none() && it.is_open());
        let Some(it) = left else { return };
        let visit = review::label_of(&self.site, &Ref::Visit(it.visit.clone()));
        let tone = if it.overdue { Tone::Alarm } else { Tone::Plain };
        out.words(" ? ", &it.words(&visit), width, tone);
    }
}

/// `left open on visit-1`, and first whether it is overdue.
pub(super) fn in_few_words(item: &Item) -> String {
    let visit = item.words.split(':').next().unwrap_or_default();
    match item.words.ends_with("OVERDUE") {
        true => format!("OVERDUE, {visit}"),
        false => visit.to_owned(),
    }
}

/// The word on an item; none on what was left open and nobody said anything of since.
pub(super) fn word_of(item: &Item) -> Option<&Word> {
    let waits = item.open && item.matter == Matter::LeftOpen;
    item.word.as_ref().filter(|_| !waits)
}
