//! How wide the columns of a table are.

use super::super::super::document::{Side, Table};
use super::face::Face;

/// Size of letters in a cell, points.
const CELL: f32 = 7.5;
/// The same of a table that is written large.
const LARGE: f32 = 11.0;
/// Size of letters in a table's cells.
pub(super) const fn cell(table: &Table) -> f32 {
    if table.large { LARGE } else { CELL }
}

/// Room on either side of a cell's words, points.
pub(super) const PAD: f32 = 1.8;

/// A table of few columns and this share of the room or less stays as narrow as its words.
const SMALL: f32 = 0.6;
const FEW: usize = 5;
/// Short cells stay in one piece where they take no more than this share of the room.
const WHOLE: f32 = 0.98;
/// Letters of a label that is kept in one piece.
const SHORT_LABEL: usize = 14;
/// Letters of any other cell that is, where there is room: a time, else a verdict.
const SHORT: [usize; 2] = [16, 12];

/// Widths of a table's columns: as wide as their words while there is room, else no narrower than
/// their widest word while that fits, else in proportion to what they want: the mean of the widest
/// cell and of what three of four cells do not pass.
pub(super) fn widths(table: &Table, faces: (&Face, &Face), room: f32) -> Vec<f32> {
    let (regular, bold) = faces;
    let size = cell(table);
    let mut titled = Vec::new();
    let mut natural = Vec::new();
    let mut usual = Vec::new();
    let mut least = Vec::new();
    let mut whole = SHORT.map(|_| Vec::new());
    for (at, column) in table.columns.iter().enumerate() {
        // A heading may take several lines.
        let mut word = bold.widest_word(&column.title, size);
        let (mut wide, mut pieces) = (word, SHORT.map(|_| word));
        let mut all_wide = Vec::new();
        for row in &table.rows {
            if let Some(cell) = row.cells.get(at) {
                let face = if row.strong { bold } else { regular };
                // Figures stay on one line.
                let cell_wide = face.width(&face.legible(cell), size);
                wide = wide.max(cell_wide);
                all_wide.push(cell_wide);
                // Nor does a short label break.
                let letters = cell.chars().count();
                let words = face.widest_word(cell, size);
                let kept = column.side == Side::Right || at == 0 && letters <= SHORT_LABEL;
                word = word.max(if kept { cell_wide } else { words });
                for (piece, short) in pieces.iter_mut().zip(SHORT) {
                    let whole = kept || letters <= short;
                    *piece = piece.max(if whole { cell_wide } else { words });
                }
            }
        }
        // A hair more than the words, that no rounding breaks a line.
        let around = 2.0 * PAD + 0.1;
        let title = bold.width(&bold.legible(&column.title), size);
        titled.push(wide.max(title) + around);
        natural.push(wide + around);
        usual.push((three_of_four(all_wide).max(word) + wide) / 2.0 + around);
        least.push(word.min(room / 4.0) + around);
        for (all, piece) in whole.iter_mut().zip(pieces) {
            all.push(piece.min(room / 4.0) + around);
        }
    }
    // Headings on one line where that fits.
    if titled.iter().sum::<f32>() <= room {
        natural = titled;
    }
    let all: f32 = natural.iter().sum();
    if all <= room {
        // From margin to margin, but for a small table.
        let wider = if table.large || table.columns.len() > FEW || all > SMALL * room {
            room / all
        } else {
            1.0
        };
        return natural.iter().map(|it| it * wider).collect();
    }
    // Nor any other short cell, where that leaves the long ones room.
    let fits = |it: &Vec<f32>| it.iter().sum::<f32>() <= WHOLE * room;
    least = whole.into_iter().find(fits).unwrap_or(least);
    let few: f32 = least.iter().sum();
    if few >= room {
        return squeezed(table, &least, room);
    }
    // A single long cell takes no room from columns that are long in every row.
    let usual_all: f32 = usual.iter().sum();
    let mut wanted = match usual_all > room {
        true => usual,
        false => natural,
    };
    for (wanted, least) in wanted.iter_mut().zip(&least) {
        *wanted = wanted.max(*least);
    }
    let all: f32 = wanted.iter().sum();
    let share = (room - few) / (all - few).max(f32::MIN_POSITIVE);
    wanted
        .iter()
        .zip(&least)
        .map(|(wanted, least)| least + (wanted - least) * share)
        .collect()
}

/// The width that three of four cells do not pass.
fn three_of_four(mut widths: Vec<f32>) -> f32 {
    widths.sort_by(f32::total_cmp);
    widths.get(widths.len() * 3 / 4).copied().unwrap_or(0.0)
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
