//! The words of the trade and of this record, once, for a reader who has neither.
//!
//! Never here: figures.

use super::super::document::{Document, Table};

/// Each word in the one sense it has here.
const WORDS: [(&str, &str); 14] = [
    (
        "line",
        "A loudspeaker line: two cores from an output of an amplifier, and the loudspeakers on them. What stands \
         side by side in a table is a row.",
    ),
    (
        "output",
        "An output of an amplifier with the lines on it, such as A1 out 2.",
    ),
    ("rating", "The watts that an output is made for."),
    (
        "headroom",
        "The share of a rating that is to stay free; at most is the rating less the headroom.",
    ),
    (
        "tap",
        "The watts that a loudspeaker is set to take at the nominal voltage of its line.",
    ),
    (
        "read, reading",
        "Measured on this site with the instrument named: at the rack with the line whole, where nothing else is said.",
    ),
    (
        "split",
        "A line opened at a place so that its two sides are read apart: near, from the rack; far, from the place.",
    ),
    (
        "as found, as left",
        "As it was read before anything on it was repaired; as it stands since, without a repair the same.",
    ),
    (
        "suspect",
        "What could be wrong, and where, so that it would read so. It is no finding: found is what somebody saw.",
    ),
    (
        "probability",
        "How likely that is, by the readings and by how often such things happen: of 100 suspects with 80 %, some 20 \
         are something else. P out: how likely the load is out of tolerance.",
    ),
    (
        "uncertainty",
        "How far a figure may be off by the instrument and by what is not known. u is one standard uncertainty; \
         95 % is twice that, either way.",
    ),
    (
        "OFF",
        "Both cores were ticked as taken off the amplifier, and not as put back.",
    ),
    (
        "tick",
        "Somebody said at that time that it was done. The record knows no more of it.",
    ),
    (
        "sealed",
        "Signed by name together with a digest of every fact: what is changed later is seen as a change. It says of \
         nothing that it is safe.",
    ),
];

/// The chapter of words.
pub(super) fn words(out: &mut Document) {
    out.chapter("Words");
    let mut table = Table::new(&["word", "what it means here"]);
    for (word, means) in WORDS {
        table.row(vec![word.to_owned(), means.to_owned()]);
    }
    out.table(table);
}
