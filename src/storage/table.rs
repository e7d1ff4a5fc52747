//! A file of separated values -> rows of trimmed cells with their line numbers.
//!
//! Finds the encoding, the separator and the decimal sign. Never here: what a column means.

use super::near::Near;
use super::numbers::{Numbers, damage, label_damage};
use super::text::{decode, lines_normalised};
use crate::site::RACK;
use std::collections::HashMap;
use std::fmt;

/// A column of a row, for a message.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// 1 is the first column of the file.
    pub number: usize,
    /// Its name.
    pub name: String,
}

/// One thing that is wrong with one row (the header is row 1, as a spreadsheet numbers them).
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct RowProblem {
    /// The file, as the user named it.
    pub file: String,
    /// Line of the file, the first is 1.
    pub line: usize,
    /// The column, where it is about one.
    pub column: Option<Place>,
    /// What stands there.
    pub found: String,
    /// What was wanted in its place.
    pub wanted: String,
    /// What to do about it; may be empty.
    pub advice: String,
}

impl fmt::Display for RowProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: ", self.file, self.line)?;
        if let Some(column) = &self.column {
            write!(f, "{}: ", column.name)?;
        }
        if self.found.is_empty() {
            f.write_str("found nothing")?;
        } else {
            write!(f, "found {:?}", self.found)?;
        }
        write!(f, ", {} was wanted", self.wanted)?;
        if !self.advice.is_empty() {
            write!(f, "; {}", self.advice)?;
        }
        Ok(())
    }
}

/// A problem on its way up.
pub(super) type Fault = Box<RowProblem>;

/// The problems of a file by line, then column.
pub(super) fn by_line(faults: Vec<Fault>) -> Vec<RowProblem> {
    let mut out: Vec<RowProblem> = faults.into_iter().map(|fault| *fault).collect();
    out.sort_by(|a, b| (a.line, &a.column).cmp(&(b.line, &b.column)));
    out
}

/// Something to say that keeps nothing from being read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// The file, as the user named it.
    pub file: String,
    /// Line of the file, where it is about one.
    pub line: Option<usize>,
    /// The column's name, where it is about one.
    pub column: Option<String>,
    /// What there is to say.
    pub what: String,
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ": {column}")?;
        }
        write!(f, ": {}", self.what)
    }
}

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holds {
    /// Words.
    Text,
    /// One plain number.
    Number,
    /// Numbers parted by `|`, space or `/`.
    Numbers,
    /// A reading, or words.
    Reading,
    /// Readings or capacitances joined by `+`.
    Parts,
}

/// A column that a kind of file may have.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub name: &'static str,
    pub needed: bool,
    pub holds: Holds,
}

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
            found: self.cell(row, column).to_owned(),
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

    /// A plain number, with or without `unit` behind it; none where the cell is empty.
    pub(super) fn number(
        &self,
        row: &Row,
        column: &str,
        unit: &str,
        wanted: &str,
        good: impl Fn(f64) -> bool,
    ) -> Result<Option<f64>, Fault> {
        let text = self.cell(row, column);
        if text.is_empty() {
            return Ok(None);
        }
        self.sound(row, column, wanted)?;
        let at = self.columns.get(column).copied().unwrap_or(0);
        match self.numbers.number(at, without_unit(text, unit)) {
            Ok(value) if good(value) => Ok(Some(value)),
            Ok(_) => Err(self.problem(row, column, wanted, "")),
            Err(advice) => Err(self.problem(row, column, wanted, advice)),
        }
    }

    /// A plain number that stands in a part of a cell; else what to do about it.
    pub(super) fn plain(&self, column: &str, text: &str) -> Result<f64, String> {
        let at = self.columns.get(column).copied().unwrap_or(0);
        self.numbers.number(at, text)
    }

    /// Several numbers, in rising order; none where the cell is empty.
    pub(super) fn numbers_in(
        &self,
        row: &Row,
        column: &str,
        unit: &str,
        wanted: &str,
        good: impl Fn(f64) -> bool,
    ) -> Result<Option<Vec<f64>>, Fault> {
        let text = without_unit(self.cell(row, column), unit);
        if text.is_empty() {
            return Ok(None);
        }
        self.sound(row, column, wanted)?;
        let at = self.columns.get(column).copied().unwrap_or(0);
        let mut out = Vec::new();
        for part in super::numbers::parts(text) {
            match self.numbers.number(at, without_unit(part, unit)) {
                Ok(value) if good(value) => out.push(value),
                Ok(_) => return Err(self.problem(row, column, wanted, "")),
                Err(advice) => return Err(self.problem(row, column, wanted, advice)),
            }
        }
        if out.is_empty() {
            return Err(self.problem(row, column, wanted, ""));
        }
        out.sort_by(f64::total_cmp);
        out.dedup();
        Ok(Some(out))
    }

    /// Refuses what a spreadsheet made of a number.
    pub(super) fn sound(&self, row: &Row, column: &str, wanted: &str) -> Result<(), Fault> {
        damage(self.cell(row, column)).map_or(Ok(()), |became| {
            let advice = format!(
                "a spreadsheet made {became} of it: format the column as text and type it again"
            );
            Err(self.problem(row, column, wanted, advice))
        })
    }

    /// Refuses a number in a reading that can be read two ways or has the other decimal sign.
    pub(super) fn one_way(
        &self,
        row: &Row,
        column: &str,
        part: &str,
        wanted: &str,
    ) -> Result<(), Fault> {
        let at = self.columns.get(column).copied().unwrap_or(0);
        self.numbers
            .one_way(at, part)
            .map_err(|advice| self.problem(row, column, wanted, advice))
    }

    /// A label: a word of its own, not `rack`.
    pub(super) fn label(&mut self, row: &Row, column: &str, wanted: &str) -> Result<String, Fault> {
        let text = self.cell(row, column).to_owned();
        let refuse = |advice: &str| Err(self.problem(row, column, wanted, advice));
        if text.is_empty() {
            return refuse("");
        }
        if text.eq_ignore_ascii_case(RACK) {
            return refuse("rack is the word for the amplifier end: use another label");
        }
        if text.chars().any(char::is_control) {
            return refuse("take the control characters out of it");
        }
        if text.chars().count() > 200 {
            return refuse("shorten it to 200 characters or fewer");
        }
        if let Some(became) = label_damage(&text) {
            self.warn(
                Some(row.line),
                Some(column),
                format!(
                    "{text:?} looks like {became} that a spreadsheet made of a label; if so, format the column as text and type it again"
                ),
            );
        }
        Ok(text)
    }

    /// `yes` or `no`; blank is no.
    pub(super) fn yes(&self, row: &Row, column: &str) -> Result<bool, Fault> {
        match self.cell(row, column).to_lowercase().as_str() {
            "yes" | "y" | "true" | "x" | "1" => Ok(true),
            "" | "no" | "n" | "false" | "0" | "-" => Ok(false),
            _ => Err(self.problem(row, column, "yes or no (blank is no)", "")),
        }
    }
}

fn without_unit<'a>(text: &'a str, unit: &str) -> &'a str {
    let cut = text.len().saturating_sub(unit.len());
    match text.get(cut..) {
        Some(tail) if !unit.is_empty() && tail.eq_ignore_ascii_case(unit) => text[..cut].trim(),
        _ => text,
    }
}

/// The separator under which most cells of the header are known columns; a line `sep=;` says it.
fn separator(text: &str, known: &[Column]) -> u8 {
    let first = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    if let Some(says) = first.trim().to_lowercase().strip_prefix("sep=")
        && let Some(own) = says.bytes().next().filter(|b| b",;\t".contains(b))
    {
        return own;
    }
    let score = |separator: u8| {
        first
            .split(char::from(separator))
            .filter(|cell| {
                let cell = cell.trim().trim_matches('"').trim().to_lowercase();
                known.iter().any(|column| column.name == cell)
            })
            .count()
    };
    let mut best = b',';
    for other in [b';', b'\t'] {
        if score(other) > score(best) {
            best = other;
        }
    }
    best
}

/// Records with the line they begin on; and the line of a quote that never closes.
fn records(text: &str, separator: u8) -> (Vec<(usize, Vec<String>)>, Option<usize>) {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut out = Vec::new();
    let mut record = csv::StringRecord::new();
    let (mut line, mut counted, mut start) = (1, 0, 0);
    // The text is UTF-8 and any number of cells is allowed: nothing is left that could fail.
    while reader.read_record(&mut record).unwrap_or(false) {
        // The reader counts empty lines it has skipped to the record behind them.
        let begins = record
            .position()
            .map_or(0, |p| usize::try_from(p.byte()).unwrap_or(0))
            .min(text.len());
        let skipped = text.as_bytes()[begins..]
            .iter()
            .take_while(|byte| **byte == b'\n')
            .count();
        start = begins + skipped;
        line += text.as_bytes()[counted..start]
            .iter()
            .filter(|byte| **byte == b'\n')
            .count();
        counted = start;
        out.push((
            line,
            record.iter().map(|cell| cell.trim().to_owned()).collect(),
        ));
    }
    let last = &text[start.min(text.len())..];
    let open = last.trim_end().contains('\n') && last.matches('"').count() % 2 == 1;
    (out, open.then_some(line))
}

/// Starts of cells that a spreadsheet would run as a formula.
const RUNS: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

fn would_run(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(RUNS)
        && (cell.starts_with('\'') || cell.parse::<f64>().map_or(true, |n| !n.is_finite()))
}

/// Puts a quote before what a spreadsheet would run as a formula; numbers stay.
pub(super) fn defuse(cell: &str) -> String {
    if would_run(cell) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// Takes back what [`defuse`] did.
fn undefuse(cell: &mut String) {
    if cell.starts_with('\'') && would_run(cell) {
        cell.remove(0);
    }
}
