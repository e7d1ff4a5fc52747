//! A snag of an earlier visit as a row of the review.
//!
//! Never here: what answers it.

use crate::review::{Item, Matter, Word};

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
