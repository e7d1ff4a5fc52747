//! Pictures as one list of primitives, so that screen, page and print draw the same thing.
//!
//! Coordinates are cells of a text grid, x to the right, y down; a writer for paper scales them.
//! Never here: what the figures mean.

use crate::quantity::{Fraction, Watt};
use crate::site::LinePlan;

/// One stroke or word.
#[derive(Clone, Debug, PartialEq)]
pub enum Primitive {
    /// A filled box.
    Box {
        /// Left edge.
        x: f64,
        /// Upper edge.
        y: f64,
        /// Width.
        w: f64,
        /// Height.
        h: f64,
    },
    /// A straight line, level or upright.
    Line {
        /// From.
        from: (f64, f64),
        /// To.
        to: (f64, f64),
    },
    /// Words that begin at a point.
    Text {
        /// Where.
        at: (f64, f64),
        /// The words.
        text: String,
    },
}

/// Where the upper edge of a bar is, in rows from that of its row.
pub(super) const BAR_TOP: f64 = 0.15;
/// How high a bar is, in rows.
pub(super) const BAR_HIGH: f64 = 0.7;

/// The line that words of a row stand on, in rows from its upper edge.
pub(super) const BASELINE: f64 = 0.75;

/// Whether a word is a sign: it is drawn strong, in the middle of its cell.
pub(super) fn is_sign(text: &str) -> bool {
    text.chars().count() == 1
}

/// Load against rating as a bar `width` cells wide: filled up to the load, a mark where the headroom
/// begins. A load over the rating fills the whole bar.
#[must_use]
pub fn load_bar(load: Watt, rated: Watt, headroom: Fraction, width: usize) -> Vec<Primitive> {
    let cells = width as f64;
    let share = if rated.get() > 0.0 {
        (load.get() / rated.get()).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let mark = (cells * (1.0 - headroom.get())).round().min(cells - 1.0);
    vec![
        Primitive::Line {
            from: (0.0, 0.0),
            to: (cells - 1.0, 0.0),
        },
        Primitive::Box {
            x: 0.0,
            y: 0.0,
            w: (cells * share).round(),
            h: 1.0,
        },
        // As high as the bar on paper: strokes of rows one above the other do not touch.
        Primitive::Line {
            from: (mark, -BAR_HIGH / 2.0),
            to: (mark, BAR_HIGH / 2.0),
        },
    ]
}

/// The cable of a line as a tree, one row a node below the rack's own row. A node that feeds one
/// other continues straight down; one that feeds several begins a branch for each.
#[must_use]
pub fn cable_tree(line: &LinePlan) -> Vec<Primitive> {
    let nodes = line.nodes.iter();
    let nodes: Vec<_> = nodes.map(|node| (node.label.clone(), node.from)).collect();
    tree(&nodes)
}

/// The same of nodes in cable order, each with its label and the place of the node that feeds it.
pub(super) fn tree(nodes: &[(String, Option<usize>)]) -> Vec<Primitive> {
    let count = nodes.len();
    let mut fed: Vec<Vec<usize>> = vec![Vec::new(); count + 1];
    for (at, (_, from)) in nodes.iter().enumerate() {
        fed[from.map_or(0, |from| from + 1)].push(at);
    }
    let mut indent = vec![0.0; count + 1];
    let mut out = vec![Primitive::Text {
        at: (0.0, 0.0),
        text: "rack".to_owned(),
    }];
    for (row, children) in fed.iter().enumerate() {
        let x = indent[row];
        let branches = children.len() > 1;
        for child in children {
            indent[child + 1] = if branches { x + 3.0 } else { x };
        }
        if let Some(last) = children.last().filter(|_| branches) {
            let below = (*last + 1) as f64;
            out.push(Primitive::Line {
                from: (x, row as f64 + 0.5),
                to: (x, below),
            });
            for child in children {
                let y = (*child + 1) as f64;
                out.push(Primitive::Line {
                    from: (x, y),
                    to: (x + 1.0, y),
                });
            }
        }
    }
    for (at, (label, _)) in nodes.iter().enumerate() {
        out.push(Primitive::Text {
            at: (indent[at + 1], (at + 1) as f64),
            text: label.clone(),
        });
    }
    out
}

/// Draws primitives on a text grid, with line drawing or in ASCII.
#[must_use]
pub fn to_text(primitives: &[Primitive], columns: usize, rows: usize, ascii: bool) -> Vec<String> {
    const UP: u8 = 1;
    const DOWN: u8 = 2;
    const LEFT: u8 = 4;
    const RIGHT: u8 = 8;
    if columns == 0 {
        return vec![String::new(); rows];
    }
    let mut limbs = vec![vec![0u8; columns]; rows];
    let mut words: Vec<Vec<(usize, &str)>> = vec![Vec::new(); rows];
    let mut filled = vec![vec![false; columns]; rows];
    let cell = |value: f64, limit: usize| (value.max(0.0) as usize).min(limit.saturating_sub(1));
    for primitive in primitives {
        match primitive {
            Primitive::Box { x, y, w, h } => {
                let (right, below) = ((x + w) as usize, (y + h) as usize);
                for row in filled.iter_mut().take(below).skip(cell(*y, rows)) {
                    for full in row.iter_mut().take(right).skip(cell(*x, columns)) {
                        *full = true;
                    }
                }
            }
            Primitive::Line { from, to } if from.1 == to.1 => {
                let (first, last) = (cell(from.0, columns), cell(to.0, columns));
                let row = limbs[cell(from.1, rows)].iter_mut().enumerate();
                for (column, limb) in row.take(last + 1).skip(first) {
                    *limb |= if column as f64 > from.0 { LEFT } else { 0 }
                        | if (column as f64) < to.0 { RIGHT } else { 0 };
                }
            }
            Primitive::Line { from, to } => {
                let column = cell(from.0, columns);
                // A half cell at an end means: from or to the middle of the cell's edge.
                for (row, limb_row) in limbs.iter_mut().enumerate() {
                    let y = row as f64;
                    if y + 0.5 > from.1 && y - 0.5 < to.1 && y >= from.1.floor() && y <= to.1.ceil()
                    {
                        if y > from.1 {
                            limb_row[column] |= UP;
                        }
                        if y < to.1 && y + 0.5 > from.1 && y >= from.1 {
                            limb_row[column] |= DOWN;
                        }
                        if from.1 < 0.0 && y == 0.0 {
                            limb_row[column] |= UP | DOWN;
                        }
                    }
                }
            }
            Primitive::Text { at, text } => {
                if let Some(row) = words.get_mut(at.1 as usize) {
                    row.push((at.0 as usize, text));
                }
            }
        }
    }
    let glyph = |bits: u8, full: bool| -> char {
        if full && bits & (UP | DOWN) == 0 {
            return if ascii { '#' } else { '\u{2588}' };
        }
        match (ascii, bits) {
            (_, 0) => ' ',
            (true, b)
                if b & (LEFT | RIGHT) == 0 || (b & (UP | DOWN) == UP | DOWN && b & LEFT != 0) =>
            {
                '|'
            }
            (true, b) if b & (UP | DOWN) == 0 => '-',
            (true, b) if b & DOWN == 0 => '`',
            (true, _) => '+',
            (false, b) if b & (LEFT | RIGHT) == 0 => '\u{2502}',
            (false, b) if b & (UP | DOWN) == 0 => '\u{2500}',
            (false, b) if b & LEFT != 0 => '\u{253c}',
            (false, b) if b & DOWN == 0 => '\u{2514}',
            (false, _) => '\u{251c}',
        }
    };
    (0..rows)
        .map(|row| {
            let mut line = String::new();
            let mut column = 0;
            while column < columns {
                if let Some((_, text)) = words[row].iter().find(|(at, _)| *at == column) {
                    line.push_str(text);
                    column += unicode_width::UnicodeWidthStr::width(*text).max(1);
                } else {
                    line.push(glyph(limbs[row][column], filled[row][column]));
                    column += 1;
                }
            }
            line.trim_end().to_owned()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::{NodeIs, NodePlan, example};

    fn bar(load: f64, ascii: bool) -> String {
        let bar = load_bar(Watt(load), Watt(240.0), Fraction(0.2), 20);
        to_text(&bar, 20, 1, ascii).remove(0)
    }

    #[test]
    fn a_load_bar_is_filled_up_to_the_load_and_marks_where_the_headroom_begins() {
        assert_eq!(bar(120.0, true), "##########------|---");
        assert_eq!(bar(192.0, true), "################|---");
        assert_eq!(bar(240.0, true), "################|###");
        assert_eq!(bar(900.0, true), "################|###");
        assert_eq!(bar(0.0, true), "----------------|---");
    }

    #[test]
    fn both_modes_put_every_stroke_in_the_same_cell() {
        for load in [0.0, 100.0, 200.0, 300.0] {
            assert_eq!(
                bar(load, true).chars().count(),
                bar(load, false).chars().count()
            );
        }
    }

    fn node(label: &str, from: Option<usize>) -> NodePlan {
        NodePlan {
            label: label.to_owned(),
            ..example::node(NodeIs::Junction, from, None)
        }
    }

    #[test]
    fn a_cable_is_drawn_straight_down_and_branches_where_it_parts() {
        let line = example::line(vec![
            node("LS-1", None),
            node("J-1", Some(0)),
            node("LS-3", Some(1)),
            node("LS-4", Some(2)),
            node("LS-7", Some(1)),
            node("LS-8", Some(4)),
        ]);
        let drawn = to_text(&cable_tree(&line), 20, 7, true);
        assert_eq!(
            drawn,
            [
                "rack", "LS-1", "J-1", "+- LS-3", "|  LS-4", "`- LS-7", "   LS-8"
            ]
        );
        let drawn = to_text(&cable_tree(&line), 20, 7, false);
        assert_eq!(
            drawn[3..6],
            [
                "\u{251c}\u{2500} LS-3",
                "\u{2502}  LS-4",
                "\u{2514}\u{2500} LS-7"
            ]
        );
    }
}
