//! The list behind `g`, from the key table.

use super::super::keys::{self, ModeName, Place};
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};

/// The list, in the panel's place until a letter is pressed.
pub(super) fn parts(place: Place, width: usize) -> Parts {
    let mut out = Section::titled("go to");
    for row in keys::rows(ModeName::GoList, place) {
        let start = format!("   {} ", text::left(row.shown, 4));
        out.words(&start, row.help, width, Tone::Plain);
    }
    out.push(Line::default());
    Parts {
        first: vec![out],
        ..Parts::default()
    }
}
