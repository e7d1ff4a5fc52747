//! The lines of an assessment as a table for spreadsheets, one row a line.
//!
//! Comma and decimal point, or semicolon and decimal comma for countries whose spreadsheets want
//! that; UTF-8 with a byte-order mark, without which they take it for something else. Figures are
//! those of the JSON, digit for digit. A cell that a spreadsheet would take for a formula begins
//! with an apostrophe.

use super::super::rows::{Assessment, LineRow, MeasuredRow};
use crate::quantity::{defuse, show::harmless};

/// What stands between cells, and which decimal sign goes with it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Separator {
    /// `1.5,2`.
    #[default]
    Comma,
    /// `1,5;2`.
    Semicolon,
}

/// A cell.
enum Cell {
    Text(String),
    Number(Option<f64>),
    Count(usize),
}

fn ohms(value: &serde_json::Value) -> Cell {
    match value.as_f64() {
        Some(number) => Cell::Number(Some(number)),
        None => Cell::Text(value.as_str().unwrap_or("").to_owned()),
    }
}

fn text(it: Option<&str>) -> Cell {
    Cell::Text(it.unwrap_or("").to_owned())
}

type Get = fn(&LineRow) -> Cell;

fn reading(row: Option<&MeasuredRow>) -> Cell {
    row.map_or(Cell::Number(None), |it| ohms(&it.ohms))
}

fn left(row: &LineRow) -> Option<&MeasuredRow> {
    row.as_left.as_ref()
}

/// The columns: name and where the cell comes from.
const COLUMNS: [(&str, Get); 30] = [
    ("line", |row| Cell::Text(row.line.clone())),
    ("zone", |row| Cell::Text(row.zone.clone())),
    ("amplifier", |row| Cell::Text(row.amplifier.clone())),
    ("output", |row| Cell::Text(row.output.clone())),
    ("design_w", |row| Cell::Number(row.design_w)),
    ("expected_ohms", |row| ohms(&row.expected.ohms)),
    ("expected_w", |row| Cell::Number(row.expected.watts)),
    ("expected_u_rel", |row| Cell::Number(row.expected.u_rel)),
    ("as_found_ohms", |row| reading(row.as_found.as_ref())),
    ("as_found_deviation", |row| {
        Cell::Number(row.as_found.as_ref().and_then(|it| it.deviation))
    }),
    ("as_left_ohms", |row| reading(left(row))),
    ("as_left_w", |row| {
        Cell::Number(left(row).and_then(|it| it.watts))
    }),
    ("as_left_deviation", |row| {
        Cell::Number(left(row).and_then(|it| it.deviation))
    }),
    ("as_left_u_rel", |row| Cell::Number(row.u_rel)),
    ("as_left_when", |row| {
        text(left(row).and_then(|it| it.when.as_deref()))
    }),
    ("instrument", |row| {
        text(left(row).and_then(|it| it.instrument.as_deref()))
    }),
    ("verdict", |row| text(row.verdict)),
    ("p_out", |row| Cell::Number(row.p_out)),
    ("misfit", |row| Cell::Number(row.misfit)),
    ("far_end_db", |row| Cell::Number(row.far_end_db)),
    ("heard", |row| Cell::Count(row.heard[0])),
    ("listened_to", |row| Cell::Count(row.asked)),
    ("loudspeakers", |row| Cell::Count(row.heard[1])),
    ("insulation_ohms", |row| {
        Cell::Number(row.insulation.as_ref().map(|it| it.ohms))
    }),
    ("insulation_above_range", |row| {
        text(
            row.insulation
                .as_ref()
                .map(|it| if it.above_range { "yes" } else { "no" }),
        )
    }),
    ("insulation_verdict", |row| {
        text(row.insulation.as_ref().map(|it| it.verdict))
    }),
    ("off", |row| text(Some(if row.off { "OFF" } else { "" }))),
    ("suspect", |row| {
        text(row.hints.first().map(|it| it.text.as_str()))
    }),
    ("suspect_probability", |row| {
        Cell::Number(row.hints.first().map(|it| it.probability))
    }),
    ("word", |row| text(row.word.as_deref())),
];

/// The lines as CSV.
#[must_use]
pub fn csv(data: &Assessment, separator: Separator) -> Vec<u8> {
    let (between, sign) = match separator {
        Separator::Comma => (b',', "."),
        Separator::Semicolon => (b';', ","),
    };
    let mut writer = ::csv::WriterBuilder::new()
        .delimiter(between)
        .terminator(::csv::Terminator::CRLF)
        .from_writer("\u{feff}".as_bytes().to_vec());
    let mut rows = vec![
        COLUMNS
            .iter()
            .map(|(name, _)| (*name).to_owned())
            .collect::<Vec<_>>(),
    ];
    for row in &data.lines {
        let cells = COLUMNS.iter().map(|(_, get)| match get(row) {
            Cell::Text(text) => defuse(&harmless(&text)),
            Cell::Number(None) => String::new(),
            Cell::Number(Some(number)) => number.to_string().replace('.', sign),
            Cell::Count(count) => count.to_string(),
        });
        rows.push(cells.collect());
    }
    for row in rows {
        // Into memory: nothing can refuse it.
        let _ = writer.write_record(&row);
    }
    writer.into_inner().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_take_for_a_formula_is_text_and_a_number_stays_one() {
        for (cell, written) in [
            ("=1+1", "'=1+1"),
            ("+A1", "'+A1"),
            ("-cmd|x", "'-cmd|x"),
            ("@sum", "'@sum"),
            ("-0.5", "-0.5"),
            ("+3", "+3"),
            ("L-1", "L-1"),
            ("\t=1", "\\u{9}=1"),
        ] {
            assert_eq!(defuse(&harmless(cell)), written);
        }
    }
}
