//! What stands on the screen of a desk: its rows, the row under the cursor, the panel, the entry line.
#![allow(dead_code)]

use crate::desk::Desk;
use linewright::session::Key;

/// A text with every run of blanks as one.
pub fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Every row of the screen, blanks folded.
pub fn rows(desk: &Desk) -> Vec<String> {
    desk.screen().lines().map(folded).collect()
}

/// Whether a row of the screen has these words.
pub fn has(desk: &Desk, words: &str) -> bool {
    rows(desk).iter().any(|row| row.contains(words))
}

/// The row under the cursor, what stands beside it left out; nothing where no row has a cursor.
pub fn row(desk: &Desk) -> String {
    let screen = desk.screen();
    let row = screen.lines().find(|row| row.starts_with('>'));
    let row = row.unwrap_or_default().split('\u{2502}').next();
    row.unwrap_or_default().trim_end().to_owned()
}

/// Down until the row under the cursor has these words.
#[track_caller]
pub fn down_to(desk: &mut Desk, words: &str) {
    for _ in 0..80 {
        if folded(&row(desk)).contains(words) {
            return;
        }
        desk.press(Key::Down);
    }
    panic!("no row {words}:\n{}", desk.screen());
}

/// The panel as running words, whatever the width breaks.
pub fn panel(desk: &Desk) -> String {
    let columns = desk.session.view().panel;
    let rows: Vec<String> = columns.iter().flatten().map(|row| row.text()).collect();
    folded(&rows.join(" "))
}

/// The entry line.
pub fn prompt(desk: &Desk) -> String {
    desk.session.view().entry.text()
}
