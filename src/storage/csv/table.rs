//! A file of separated values -> rows of trimmed cells with their line numbers.
//!
//! Finds the encoding, the separator and the decimal sign. Never here: what a column means.

use super::column::{Column, Holds};
use super::near::Near;
use super::numbers::Numbers;
use super::problem::{Fault, Place, RowProblem, Warning};
use super::records::{records, separator};
use super::text::{decode, lines_normalised};
use crate::quantity::undefuse;
use std::collections::HashMap;

/// A row: the line of the file it begins on, its number under the header, its cells.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub line: usize,
    pub number: u32,
    cells: Vec<String>,
}

/// A file read into cells.
#[derive(Debug)]
pub(super) struct Table {
    pub file: String,
    pub rows: Vec<Row>,
    pub warnings: Vec<Warning>,
    columns: HashMap<&'static str, usize>,
    numbers: Numbers,
}

/// Reads a file whose columns are `known`.
pub(super) fn read_table(
    file: &str,
    bytes: &[u8],
    known: &[Column],
) -> Result<Table, Vec<RowProblem>> {
    let mut warnings = Vec::new();
    let whole = |line: usize, found: &str, wanted: String, advice: String| RowProblem {
        file: file.to_owned(),
        line,
        column: None,
        found: found.chars().take(80).collect(),
        wanted,
        advice,
    };
    let mut warn = |line, column: Option<&str>, what: String| {
        warnings.push(Warning {
            file: file.to_owned(),
            line,
            column: column.map(str::to_owned),
            what,
        });
    };
    let (text, guessed) = decode(bytes);
    if let Some(what) = guessed {
        warn(None, None, what);
    }
    let text = lines_normalised(&text);
    let separator = separator(&text, known);
    let (records, open_quote) = records(&text, separator);
    let mut records = records.into_iter();
    let mut header = records.next();
    if header.as_ref().is_some_and(|(_, cells)| {
        cells
            .first()
            .is_some_and(|cell| cell.to_lowercase().starts_with("sep="))
    }) {
        header = records.next();
    }
    let Some((header_line, header)) = header else {
        let wanted = "a header row and rows under it".to_owned();
        return Err(vec![whole(1, "", wanted, String::new())]);
    };

    let mut problems = Vec::new();
    let mut columns: HashMap<&'static str, usize> = HashMap::new();
    let mut unknown: Vec<&str> = Vec::new();
    let near = Near::new(known.iter().map(|column| column.name));
    for (at, name) in header.iter().enumerate() {
        let lower = name.to_lowercase();
        match known.iter().find(|column| column.name == lower) {
            Some(column) if columns.contains_key(column.name) => problems.push(whole(
                header_line,
                name,
                format!("the column {} once", column.name),
                "rename or remove one of the two".to_owned(),
            )),
            Some(column) => {
                columns.insert(column.name, at);
            }
            None if name.is_empty() => {}
            None => unknown.push(name),
        }
    }
    for column in known
        .iter()
        .filter(|c| c.needed && !columns.contains_key(c.name))
    {
        let meant = unknown
            .iter()
            .find(|name| near.to(name) == Some(column.name));
        let advice = meant.map_or_else(
            || "add it to the header row".to_owned(),
            |name| format!("rename {name} to {}", column.name),
        );
        problems.push(whole(
            header_line,
            &header.join(" "),
            format!("a column {}", column.name),
            advice,
        ));
    }
    for name in unknown {
        let advice = near
            .to(name)
            .filter(|meant| !columns.contains_key(meant))
            .map_or_else(String::new, |meant| format!("; did you mean {meant}?"));
        warn(
            Some(header_line),
            None,
            format!("the column {name:?} is not known and was not read{advice}"),
        );
    }
    if !problems.is_empty() {
        return Err(problems);
    }

    let mut rows = Vec::new();
    for (line, mut cells) in records {
        let number = u32::try_from(rows.len() + 1).unwrap_or(u32::MAX);
        if cells.iter().all(String::is_empty) {
            continue;
        }
        let beyond = cells.iter().skip(header.len()).any(|cell| !cell.is_empty());
        if beyond {
            problems.push(whole(
                line,
                &format!("{} cells", cells.len()),
                format!("{} cells as in the header", header.len()),
                "put a cell that has the separator in it in double quotes".to_owned(),
            ));
        }
        for cell in &mut cells {
            undefuse(cell);
        }
        cells.resize(header.len(), String::new());
        rows.push(Row {
            line,
            number,
            cells,
        });
    }
    if let Some(line) = open_quote {
        problems.push(whole(
            line,
            "a quote that is never closed",
            "a closing double quote".to_owned(),
            "close it, or double a quote that is part of the text".to_owned(),
        ));
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let numeric = known.iter().filter_map(|column| {
        let at = *columns.get(column.name)?;
        (column.holds != Holds::Text).then_some((at, column.holds))
    });
    let numbers = Numbers::of(
        separator == b',',
        numeric.map(|(at, holds)| (at, holds, rows.iter().map(move |row| &*row.cells[at]))),
    );
    Ok(Table {
        file: file.to_owned(),
        rows,
        warnings,
        columns,
        numbers,
    })
}

impl Table {
    /// The cell; empty where the file has no such column.
    pub(super) fn cell<'a>(&self, row: &'a Row, column: &str) -> &'a str {
        self.columns
            .get(column)
            .map_or("", |at| row.cells[*at].as_str())
    }

    /// The cell; none where the file has no such column.
    pub(super) fn cell_if_any<'a>(&self, row: &'a Row, column: &str) -> Option<&'a str> {
        self.columns.get(column).map(|at| row.cells[*at].as_str())
    }

    /// How this file writes numbers.
    pub(super) const fn numbers(&self) -> &Numbers {
        &self.numbers
    }

    /// A problem with a cell.
    pub(super) fn problem(
        &self,
        row: &Row,
        column: &str,
        wanted: impl Into<String>,
        advice: impl Into<String>,
    ) -> Fault {
        Box::new(RowProblem {
            file: self.file.clone(),
            line: row.line,
            column: Some(Place {
                number: self.columns.get(column).map_or(0, |at| at + 1),
                name: column.to_owned(),
            }),
            found: self.cell(row, column).chars().take(80).collect(),
            wanted: wanted.into(),
            advice: advice.into(),
        })
    }

    /// Something to say about a cell.
    pub(super) fn warn(&mut self, line: Option<usize>, column: Option<&str>, what: String) {
        self.warnings.push(Warning {
            file: self.file.clone(),
            line,
            column: column.map(str::to_owned),
            what,
        });
    }

    /// The place of a column among those of the file.
    pub(super) fn at(&self, column: &str) -> usize {
        self.columns.get(column).copied().unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::csv::column::{needed, optional};

    const KNOWN: [Column; 3] = [
        needed("label", Holds::Text),
        needed("watts", Holds::Number),
        optional("taps", Holds::Numbers),
    ];

    fn read(text: &str) -> Result<Table, String> {
        read_table("t.csv", text.as_bytes(), &KNOWN).map_err(|problems| {
            let words: Vec<String> = problems.iter().map(ToString::to_string).collect();
            words.join("\n")
        })
    }

    fn watts(text: &str) -> Option<f64> {
        let table = read(text).unwrap();
        table
            .number(&table.rows[0], "watts", "W", "watts", |_| true)
            .unwrap()
    }

    #[test]
    fn the_separator_is_found_from_the_header_and_columns_stand_in_any_order() {
        for text in [
            "label,watts\na,6\n",
            "watts;label\n6;a\n",
            "label\twatts\r\na\t6\r\n",
            "sep=;\nlabel;watts\na;6\n",
            "\"Label\", WATTS\n a ,\"6 W\"\n",
        ] {
            let table = read(text).unwrap();
            assert_eq!(table.cell(&table.rows[0], "label"), "a", "{text}");
            assert_eq!(watts(text), Some(6.0), "{text}");
        }
    }

    #[test]
    fn a_list_of_numbers_is_sorted_whatever_parts_it() {
        let list = "label;watts;taps\na;6;6 W|3/1,5 W 3\n";
        let table = read(list).unwrap();
        let taps = table.numbers_in(&table.rows[0], "taps", "W", "taps", |_| true);
        assert_eq!(taps.unwrap(), Some(vec![1.5, 3.0, 6.0]));
    }

    #[test]
    fn a_comma_within_a_cell_wants_quotes() {
        let message = read("label,watts\na,1,5\n").unwrap_err();
        assert!(
            message.starts_with("t.csv:2: found \"3 cells\""),
            "{message}"
        );
        assert!(message.contains("in double quotes"), "{message}");
    }

    #[test]
    fn a_quote_that_never_closes_is_found_where_it_opens() {
        let message = read("label,watts\na,6\n\"b,6\nc,6\n").unwrap_err();
        assert!(
            message.contains("t.csv:3: found \"a quote that is never closed\""),
            "{message}"
        );
    }

    #[test]
    fn a_file_without_rows_or_with_one_column_twice_is_refused() {
        assert!(read("").unwrap_err().contains("a header row"));
        assert!(
            read("label,watts,watts\na,6,6\n")
                .unwrap_err()
                .contains("the column watts once")
        );
    }
}
