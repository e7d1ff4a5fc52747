//! A Markdown table that reads well as it stands: columns as wide as their widest cell, figures to
//! the right, columns without a single word left out.
//!
//! Never here: what stands in it.

use super::document::{Side, Table};
use std::fmt::Write;
use unicode_width::UnicodeWidthStr;

/// Writes a table; what is missing at the end of a row is empty.
pub(super) fn write(table: &Table, out: &mut String) {
    let table = table.clone().trimmed();
    // A bar in a label would end the cell.
    let escaped = |cell: &String| cell.replace('|', "\\|");
    let rows = table.rows.iter();
    let rows = rows.map(|row| row.cells.iter().map(escaped).collect());
    let rows: Vec<Vec<String>> = rows.collect();
    let cell = |row: usize, at: usize| rows[row].get(at).map_or("", String::as_str);
    let columns = table.columns.iter().enumerate();
    let widths: Vec<usize> = columns
        .map(|(at, column)| {
            let cells = (0..rows.len()).map(|row| cell(row, at).width());
            cells.max().unwrap_or(0).max(column.title.width()).max(3)
        })
        .collect();
    let mut line = |cells: &dyn Fn(usize, usize) -> String| {
        out.push('|');
        for (at, width) in widths.iter().enumerate() {
            let _ = write!(out, " {} |", cells(at, *width));
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
    line(&|at, width| padded(&table.columns[at].title, table.columns[at].side, width));
    line(&|at, width| match table.columns[at].side {
        Side::Left => "-".repeat(width),
        Side::Right => format!("{}:", "-".repeat(width - 1)),
    });
    for row in 0..rows.len() {
        line(&|at, width| padded(cell(row, at), table.columns[at].side, width));
    }
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stand_to_the_right_and_a_column_without_a_word_is_left_out() {
        let mut table = Table::new(&["line", "off", ">reads"]);
        table.row(vec!["L-1".to_owned(), String::new(), "9.50 ohm".to_owned()]);
        table.row(vec!["a|b".to_owned()]);
        let mut out = String::new();
        write(&table, &mut out);
        assert_eq!(
            out,
            "| line |    reads |\n\
             | ---- | -------: |\n\
             | L-1  | 9.50 ohm |\n\
             | a\\|b |          |\n\n"
        );
    }
}
