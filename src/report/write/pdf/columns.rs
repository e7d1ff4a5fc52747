//! How wide the columns of a table are.

use super::super::super::document::{Side, Table};
use super::face::Face;

/// Size of letters in a cell, points.
pub(super) const CELL: f32 = 6.8;
/// Room on either side of a cell's words, points.
pub(super) const PAD: f32 = 2.5;

/// Widths of a table's columns: as wide as their words while there is room, else no narrower than
/// their widest word while that fits, else in proportion.
pub(super) fn widths(table: &Table, faces: (&Face, &Face), room: f32) -> Vec<f32> {
    let (regular, bold) = faces;
    let mut natural = Vec::new();
    let mut least = Vec::new();
    for (at, column) in table.columns.iter().enumerate() {
        let mut wide = bold.width(&bold.legible(&column.title), CELL);
        let mut word = bold.widest_word(&column.title, CELL);
        for row in &table.rows {
            if let Some(cell) = row.cells.get(at) {
                let face = if row.strong { bold } else { regular };
                // Figures stay on one line.
                let cell_wide = face.width(&face.legible(cell), CELL);
                wide = wide.max(cell_wide);
                word = word.max(if column.side == Side::Right {
                    cell_wide
                } else {
                    face.widest_word(cell, CELL)
                });
            }
        }
        // A hair more than the words, that no rounding breaks a line.
        natural.push(wide + 2.0 * PAD + 0.1);
        least.push(word.min(room / 4.0) + 2.0 * PAD + 0.1);
    }
    let (all, few): (f32, f32) = (natural.iter().sum(), least.iter().sum());
    if all <= room {
        return natural;
    }
    if few >= room {
        return squeezed(table, &least, room);
    }
    let share = (room - few) / (all - few);
    natural
        .iter()
        .zip(&least)
        .map(|(natural, least)| least + (natural - least).max(0.0) * share)
        .collect()
}

/// Widths where even the widest words do not fit: figures keep theirs while that leaves words any
/// room at all.
fn squeezed(table: &Table, least: &[f32], room: f32) -> Vec<f32> {
    let is_figure = |at: usize| table.columns[at].side == Side::Right;
    let sum = |figures: bool| -> f32 {
        let widths = least.iter().enumerate();
        widths
            .filter(|(at, _)| is_figure(*at) == figures)
            .map(|(_, width)| width)
            .sum()
    };
    let (figures, words) = (sum(true), sum(false));
    let left = room - figures;
    let enough = left > words / 3.0;
    least
        .iter()
        .enumerate()
        .map(|(at, width)| match (enough, is_figure(at)) {
            (true, true) => *width,
            (true, false) => width * left / words,
            (false, _) => width * room / (figures + words),
        })
        .collect()
}
