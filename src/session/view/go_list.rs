//! The list behind `g`, from the key table.

use super::super::keys::{self, ModeName, Place};
use super::section::{Parts, Section};
use super::text::{self, Tone};

/// From this width on each letter has its sentence.
const ROOMY: usize = 52;

/// The list, in the panel's place until a letter is pressed.
pub(super) fn parts(place: Place, width: usize) -> Parts {
    let mut out = Section::titled("go to");
    for row in keys::rows(ModeName::GoList, place) {
        let start = format!("   {} ", text::left(row.shown, 4));
        // A sentence each takes more rows than a small screen has: there a word each, all in sight.
        let word = row.brief.split_once(' ').map(|(_, word)| word);
        let words = match word {
            _ if width >= ROOMY => row.help.to_owned(),
            Some(word) => word.to_owned(),
            // The whole sentence is under `?`.
            None => text::cut(row.help, width.saturating_sub(text::width(&start) + 1)),
        };
        out.words(&start, &words, width, Tone::Plain);
    }
    Parts {
        first: vec![out],
        ..Parts::default()
    }
}
