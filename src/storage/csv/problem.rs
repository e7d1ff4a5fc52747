//! What is wrong with a row, and what is worth saying: data here, text in `Display`.

use std::collections::BTreeMap;
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

/// So many warnings of one column are said one by one.
const MOST: usize = 20;

/// Of many warnings about cells of one column the first twenty, and behind all others how many more.
pub(super) fn not_too_many(warnings: Vec<Warning>) -> Vec<Warning> {
    let mut out = Vec::new();
    let mut said: BTreeMap<String, usize> = BTreeMap::new();
    let mut more: BTreeMap<String, Vec<Warning>> = BTreeMap::new();
    for warning in warnings {
        let Some(column) = warning.column.clone() else {
            out.push(warning);
            continue;
        };
        let count = said.entry(column.clone()).or_default();
        *count += 1;
        match *count > MOST {
            true => more.entry(column).or_default().push(warning),
            false => out.push(warning),
        }
    }
    for (column, rest) in more {
        let last = rest.iter().filter_map(|it| it.line).max();
        let to = last.map_or_else(String::new, |last| format!(", down to row {last}"));
        let what = format!("{} more such{to}", rest.len());
        out.extend(rest.into_iter().next().map(|it| Warning {
            line: None,
            column: Some(column),
            what,
            ..it
        }));
    }
    out
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
