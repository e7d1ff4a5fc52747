//! A table on its pages: rows break between, headings are written again; a row too high for a page
//! breaks within.

use super::super::super::document::{Row, Side, Table};
use super::columns::{PAD, cell, widths};
use super::flow::{AFTER_A_TABLE, BLACK, Flow, GROUND, LEADING, MARGIN, Mark, RULE};

/// So many rows at least begin a page that only ends a table.
const LAST_ROWS: usize = 4;

/// How many rows of a table go on to the next page together with what stands behind it: of a short one its
/// last two or three.
fn last_rows(rows: usize) -> usize {
    match rows {
        0..=1 => 1,
        2..=3 => rows,
        _ => (rows / 2).clamp(2, LAST_ROWS),
    }
}

impl Flow<'_> {
    fn cells(&self, cells: &[String], widths: &[f32], bold: bool, size: f32) -> Vec<Vec<String>> {
        let face = self.face(bold);
        cells
            .iter()
            .zip(widths)
            .map(|(cell, width)| face.wrapped(cell, size, width - 2.0 * PAD))
            .collect()
    }

    /// Writes lines of a row's cells from one line on, so many.
    fn row(
        &mut self,
        cells: &[Vec<String>],
        (first, count): (usize, usize),
        table: &Table,
        widths: &[f32],
        bold: bool,
    ) {
        let size = cell(table);
        let step = size * LEADING;
        let mut x = MARGIN;
        for ((cell, width), column) in cells.iter().zip(widths).zip(&table.columns) {
            for (at, line) in cell.iter().skip(first).take(count).enumerate() {
                let y = self.y + PAD + size + at as f32 * step;
                let at_x = match column.side {
                    Side::Left => x + PAD,
                    Side::Right => x + width - PAD - self.face(bold).width(line, size),
                };
                self.words(at_x, y, size, bold, line);
            }
            x += width;
        }
        self.y += count as f32 * step + 2.0 * PAD;
    }

    fn height_of_rows(&self, rows: &[Row], widths: &[f32], table: &Table) -> f32 {
        let size = cell(table);
        let heights = rows.iter().map(|row| {
            let cells = self.cells(&row.cells, widths, row.strong, size);
            let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
            lines as f32 * size * LEADING + 2.0 * PAD
        });
        heights.sum()
    }

    fn rule(&mut self, widths: &[f32], width: f32, ink: u8) {
        let (y, end) = (self.y, MARGIN + widths.iter().sum::<f32>());
        self.mark(Mark::Line {
            from: (MARGIN, y),
            to: (end, y),
            width,
            ink,
        });
    }

    fn head(&mut self, table: &Table, widths: &[f32]) {
        let titles: Vec<String> = table.columns.iter().map(|it| it.title.clone()).collect();
        if titles.iter().all(String::is_empty) {
            return;
        }
        let cells = self.cells(&titles, widths, true, cell(table));
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1);
        let (x, y) = (MARGIN, self.y);
        self.mark(Mark::Box {
            x,
            y,
            w: widths.iter().sum(),
            h: lines as f32 * cell(table) * LEADING + 2.0 * PAD,
            ink: GROUND,
        });
        self.row(&cells, (0, lines), table, widths, true);
        self.rule(widths, 0.8, BLACK);
    }

    /// A table with its heading.
    pub(super) fn table(&mut self, table: &Table) {
        let widths = widths(table, (self.regular, self.bold), self.room());
        let step = cell(table) * LEADING;
        let tail = std::mem::take(&mut self.tail);
        self.want(4.0 * (step + 2.0 * PAD));
        self.head(table, &widths);
        for (at, row) in table.rows.iter().enumerate() {
            let cells = self.cells(&row.cells, &widths, row.strong, cell(table));
            let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
            let height = lines as f32 * step + 2.0 * PAD;
            // The last rows of a table go on to the next page together, with the words behind it.
            let left = table.rows.len() - at;
            let wanted = if at > 0 && left == last_rows(table.rows.len()) {
                self.height_of_rows(&table.rows[at..], &widths, table) + tail
            } else if left == 1 {
                height + tail
            } else if row.is_title() {
                self.height_of_rows(&table.rows[at..at + 2], &widths, table)
            } else {
                height
            };
            let fits_a_page = wanted < self.page_height() / 2.0;
            if self.left() < wanted && fits_a_page {
                self.new_page();
                self.head(table, &widths);
            }
            let mut first = 0;
            while first < lines {
                let room = ((self.left() - 2.0 * PAD) / step).floor();
                let count = (room.max(1.0) as usize).min(lines - first);
                self.row(&cells, (first, count), table, &widths, row.strong);
                first += count;
                if first < lines {
                    self.new_page();
                    self.head(table, &widths);
                }
            }
            self.rule(&widths, 0.4, RULE);
        }
        self.y += AFTER_A_TABLE;
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::super::document::Block;
    use super::super::trial::laid_out;
    use super::*;

    #[test]
    fn a_table_of_long_and_short_cells_ends_at_the_margin_and_is_read_without_a_glass() {
        for long in [1, 3, 9] {
            let mut table = Table::new(&["line", "when", "ticked by", ">watts", "why", "verdict"]);
            for at in 0..40 {
                let mut row = vec![format!("A{at} out 1"), "2026-11-24 09:27".to_owned()];
                row.push("2026-11-24 09:29, engineer A".to_owned());
                row.push("1111.1 W".to_owned());
                row.push("a cable that is broken somewhere ".repeat(long * (1 + at % 3)));
                row.push("in tolerance".to_owned());
                table.strong_row(row, at % 4 == 0);
            }
            laid_out(vec![Block::Table(table)], |flow| {
                let marks = flow.pages.iter().flatten();
                for mark in marks {
                    if let Mark::Line { to, .. } = mark {
                        assert!(to.0 <= 595.0 - MARGIN + 0.5, "{long}: {}", to.0);
                    }
                    if let Mark::Text { size, text, .. } = mark {
                        let foot = text.is_empty() || text.starts_with("page ");
                        assert!(foot || *size >= 7.5, "{text}: {size}");
                    }
                }
            });
        }
    }
}
