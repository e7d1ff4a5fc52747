//! A row of the panel's figures: a word, ohms, watts, a deviation, each in its column.

use super::text::{self, Line, Tone};

/// From this width on the figures stand apart.
const ROOMY: usize = 42;

/// Word, ohms, watts and deviation in their columns; where one of them fills its own they stand one
/// blank apart, since figures never touch.
pub(super) fn figure_row(width: usize, figures: [&str; 4], tone: Tone) -> Line {
    let [word, ohm, load, deviation] = figures;
    let cells = match width {
        ROOMY.. => [9, 11, 9, 10],
        34.. => [8, 9, 8, 9],
        32.. => [7, 9, 8, 8],
        _ => [6, 9, 8, 8],
    };
    let word = match width {
        34.. => word.to_owned(),
        32.. => word.replacen(' ', "", 1),
        _ => word.replace(' ', ""),
    };
    let row = text::left(&word, cells[0])
        + &text::right(ohm, cells[1])
        + &text::right(load, cells[2])
        + &text::right(deviation, cells[3]);
    let close = [ohm, load, deviation]
        .iter()
        .zip(&cells[1..])
        .any(|(text, cells)| text::width(text) >= *cells);
    let row = if width < ROOMY && close {
        let word = word.trim_end();
        [word, ohm, load, deviation].join(" ")
    } else if width < ROOMY {
        row
    } else {
        format!(" {row} ")
    };
    Line::tone(row, tone)
}
