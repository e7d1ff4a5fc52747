//! What a cell of a table says: a plain number, several, a label, yes or no; or why it is refused.

use super::numbers::{damage, label_damage};
use super::problem::Fault;
use super::table::{Row, Table};
use crate::site::{LONGEST_LABEL, RACK};

impl Table {
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
        match self.plain(column, without_unit(text, unit)) {
            Ok(value) if good(value) => Ok(Some(value)),
            Ok(_) => Err(self.problem(row, column, wanted, "")),
            Err(advice) => Err(self.problem(row, column, wanted, advice)),
        }
    }

    /// A plain number that stands in a part of a cell; else what to do about it.
    pub(super) fn plain(&self, column: &str, text: &str) -> Result<f64, String> {
        self.numbers().number(self.at(column), text)
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
        let mut out = Vec::new();
        for part in super::numbers::parts(text).filter(|part| !part.eq_ignore_ascii_case(unit)) {
            match self.plain(column, without_unit(part, unit)) {
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
        self.numbers()
            .one_way(self.at(column), part)
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
        if text.chars().count() > LONGEST_LABEL {
            return refuse(&format!(
                "shorten it to {LONGEST_LABEL} characters or fewer"
            ));
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
