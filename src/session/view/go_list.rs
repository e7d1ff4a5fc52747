//! The list behind `g`, from the key table.

use super::super::keys::{self, Action, ModeName, Place};
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};

/// From this width on each letter has its sentence.
const ROOMY: usize = 52;

/// The list, in the panel's place until a letter is pressed: all of it in sight, since the next key is
/// a letter of it.
pub(super) fn parts(place: Place, width: usize, height: usize) -> Parts {
    let mut out = Section::titled("go to");
    // How it is closed stands in the footer.
    let rows: Vec<_> = keys::rows(ModeName::GoList, place)
        .filter(|row| row.action != Action::Escape)
        .collect();
    if width >= ROOMY {
        for row in rows {
            let start = format!("   {} ", text::left(row.shown, 4));
            out.words(&start, row.help, width, Tone::Plain);
        }
    } else {
        // A sentence each takes more rows than a small screen has: a word each, the sentence under `?`.
        let word = |row: &keys::Row| {
            let word = row.brief.split_once(' ').map_or(row.help, |(_, word)| word);
            format!(" {} {word}", row.shown)
        };
        let room = height.saturating_sub(1).max(1);
        let columns = rows.len().div_ceil(room).clamp(1, 2);
        let each = rows.len().div_ceil(columns);
        let words: Vec<String> = rows.iter().map(|row| word(row)).collect();
        // The second column begins where the first needs no more room.
        let first = words.iter().take(each).map(|it| text::width(it)).max();
        let first = first.unwrap_or(0) + 1;
        for at in 0..each {
            let row = match words.get(each + at).filter(|_| columns == 2) {
                Some(second) => text::left(&words[at], first) + second,
                None => words[at].clone(),
            };
            out.push(Line::plain(text::cut(&row, width)));
        }
    }
    Parts {
        first: vec![out],
        ..Parts::default()
    }
}
