//! Five lines for whoever opens a site here for the first time. They stand in the panel's place until
//! something is done, and on top of the keys ever after.

use super::section::{Parts, Section};
use super::text::Tone;

/// What it takes to begin.
pub(super) const TOUR: [&str; 5] = [
    "Type what the meter shows, Enter: it is recorded, and the next unread line comes.",
    "u takes back the last act, whatever it was. Esc drops what is half typed. Nothing is lost.",
    "Space, or g r: the list at the rack, before a line is touched and when it goes back.",
    "f shows only what looks wrong. The panel says why; w walks that line, one key a loudspeaker.",
    "? shows every key of the place you are in. q leaves; next time you stand here again.",
];

/// The first of them where nothing stands yet that could be read.
const EMPTY: [&str; 2] = [
    "Nothing stands here yet: a adds an amplifier, then its lines, zones and loudspeakers, as you \
     walk. The panel says what may be typed.",
    "u takes back the last act, whatever it was. Esc drops what is half typed. Nothing is lost.",
];

/// The five lines as a panel.
pub(super) fn parts(empty: bool, width: usize) -> Parts {
    let mut out = Section::titled("first time here, in five lines");
    let begin = if empty { EMPTY } else { [TOUR[0], TOUR[1]] };
    for (at, words) in begin.iter().chain(&TOUR[2..]).enumerate() {
        out.words(&format!(" {} ", at + 1), words, width, Tone::Plain);
    }
    Parts {
        first: vec![out],
        ..Parts::default()
    }
}
