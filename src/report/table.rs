//! A Markdown table that reads well as it stands: columns as wide as their widest cell, figures to
//! the right, columns without a single word left out.
//!
//! Never here: what stands in it.

use std::fmt::Write;
use unicode_width::UnicodeWidthStr;

/// Where the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
}

/// Rows under a header.
pub(super) struct Table {
    columns: Vec<(String, Side)>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(super) fn new(columns: &[(&str, Side)]) -> Self {
        Self {
            columns: columns
                .iter()
                .map(|(title, side)| ((*title).to_owned(), *side))
                .collect(),
            rows: Vec::new(),
        }
    }

    /// One cell a column; what is missing at the end is empty.
    pub(super) fn row(&mut self, cells: Vec<String>) {
        // A bar in a label would end the cell.
        self.rows.push(
            cells
                .into_iter()
                .map(|cell| cell.replace('|', "\\|"))
                .collect(),
        );
    }

    pub(super) fn write(&self, out: &mut String) {
        let cell = |row: usize, at: usize| self.rows[row].get(at).map_or("", String::as_str);
        let used = |at: &usize| (0..self.rows.len()).any(|row| !cell(row, *at).is_empty());
        let columns: Vec<usize> = (0..self.columns.len()).filter(used).collect();
        let widths: Vec<usize> = columns
            .iter()
            .map(|at| {
                let cells = (0..self.rows.len()).map(|row| cell(row, *at).width());
                cells
                    .max()
                    .unwrap_or(0)
                    .max(self.columns[*at].0.width())
                    .max(3)
            })
            .collect();
        let mut line = |cells: &dyn Fn(usize, usize) -> String| {
            out.push('|');
            for (at, width) in columns.iter().zip(&widths) {
                let _ = write!(out, " {} |", cells(*at, *width));
            }
            out.push('\n');
        };
        let padded = |text: &str, side: Side, width: usize| {
            let fill = " ".repeat(width.saturating_sub(text.width()));
            match side {
                Side::Left => format!("{text}{fill}"),
                Side::Right => format!("{fill}{text}"),
            }
        };
        line(&|at, width| padded(&self.columns[at].0, self.columns[at].1, width));
        line(&|at, width| match self.columns[at].1 {
            Side::Left => "-".repeat(width),
            Side::Right => format!("{}:", "-".repeat(width - 1)),
        });
        for row in 0..self.rows.len() {
            line(&|at, width| padded(cell(row, at), self.columns[at].1, width));
        }
        out.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stand_to_the_right_and_a_column_without_a_word_is_left_out() {
        let mut table = Table::new(&[
            ("line", Side::Left),
            ("off", Side::Left),
            ("reads", Side::Right),
        ]);
        table.row(vec!["L-1".to_owned(), String::new(), "9.50 ohm".to_owned()]);
        table.row(vec!["a|b".to_owned()]);
        let mut out = String::new();
        table.write(&mut out);
        assert_eq!(
            out,
            "| line |    reads |\n\
             | ---- | -------: |\n\
             | L-1  | 9.50 ohm |\n\
             | a\\|b |          |\n\n"
        );
    }
}
