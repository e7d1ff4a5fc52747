//! The list behind `g`, from the key table.

use super::super::keys::{self, Action, ModeName, Place};
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};

/// From this width on each letter has its sentence.
const ROOMY: usize = 52;

/// One letter and its word.
fn word(row: &keys::Row) -> String {
    let word = row.brief.split_once(' ').map_or(row.help, |(_, word)| word);
    format!(" {} {word}", row.shown)
}

/// The list at the foot of a place that has no panel: in as few rows as it takes there.
pub(super) fn foot(place: Place, width: usize) -> Vec<Line> {
    let rows: Vec<_> = keys::rows(ModeName::GoList, place)
        .filter(|row| row.action != Action::Escape)
        .collect();
    let widest = rows.iter().map(|row| text::width(&word(row))).max();
    let columns = (width / (widest.unwrap_or(1) + 2)).max(1);
    let list = parts(place, width, rows.len().div_ceil(columns) + 1);
    list.first
        .into_iter()
        .flat_map(|section| section.0)
        .collect()
}

/// The list, in the panel's place until a letter is pressed: all of it in sight, since the next key is
/// a letter of it.
pub(super) fn parts(place: Place, width: usize, height: usize) -> Parts {
    let mut out = Section::titled("go to");
    // How it is closed stands in the footer.
    let rows: Vec<_> = keys::rows(ModeName::GoList, place)
        .filter(|row| row.action != Action::Escape)
        .collect();
    let mut sentences = out.clone();
    for row in &rows {
        let start = format!("   {} ", text::left(row.shown, 4));
        sentences.words(&start, row.help, width, Tone::Plain);
    }
    if width >= ROOMY && sentences.0.len() <= height {
        out = sentences;
    } else {
        // A sentence each takes more rows than a small screen has: a word each, the sentence under `?`.
        let words: Vec<String> = rows.iter().map(|row| word(row)).collect();
        let room = height.saturating_sub(1).max(1);
        let widest = words.iter().map(|it| text::width(it)).max().unwrap_or(1) + 1;
        let most = (width / widest).max(1);
        let columns = words.len().div_ceil(room).clamp(1, most.max(2));
        let each = words.len().div_ceil(columns);
        let column = |at: usize| words.iter().skip(at * each).take(each);
        // A column begins where the one before needs no more room.
        let cells = |at: usize| column(at).map(|it| text::width(it)).max().unwrap_or(0) + 1;
        for at in 0..each {
            let mut row = String::new();
            for nth in 0..columns {
                let Some(word) = column(nth).nth(at) else {
                    break;
                };
                row += &match nth + 1 == columns {
                    true => word.clone(),
                    false => text::left(word, cells(nth)),
                };
            }
            out.push(Line::plain(text::cut(row.trim_end(), width)));
        }
    }
    Parts {
        first: vec![out],
        ..Parts::default()
    }
}
