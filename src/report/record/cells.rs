//! Figures, labels and times as the chapters print them, in a cell or in a sentence.
//!
//! Never here: what is told of which line.

use super::super::document::Table;
use super::super::rows::MeasuredRow;
use super::super::values::ohms_text;
use crate::quantity::{Fraction, Watt, show};

/// So many labels in a sentence.
const MOST_LABELS: usize = 30;

/// Labels in a sentence; of many the last are counted.
pub(super) fn listed(labels: &[&str]) -> String {
    show::few(labels, MOST_LABELS)
}

/// Watts as read or reckoned; empty where they are not known.
pub(super) fn watts(it: Option<f64>) -> String {
    it.map_or_else(String::new, |it| show::watt(Watt(it)))
}

/// Watts as printed on a thing; empty where they are not known.
pub(super) fn marked(it: Option<f64>) -> String {
    it.map_or_else(String::new, |it| show::marked_watt(Watt(it)))
}

/// Twice a relative standard uncertainty: the half width of an interval of 95 %; empty where it is not known.
pub(super) fn expanded(it: Option<f64>) -> String {
    it.map_or_else(String::new, |u| {
        format!("\u{b1}{}", show::percent(Fraction(2.0 * u)))
    })
}

/// A verdict in words.
pub(super) fn verdict_words(word: Option<&str>) -> String {
    match word {
        None => "two designs".to_owned(),
        Some("unmeasured") => "unread".to_owned(),
        Some("too-close") => "too close to call".to_owned(),
        Some(word) => word.replace('-', " "),
    }
}

/// What was read, with its unit; empty where nothing was.
pub(super) fn reading(it: Option<&MeasuredRow>) -> String {
    it.map_or_else(String::new, |it| ohms_text(&it.ohms))
}

/// The day and minute of an RFC 3339 time: `2026-11-25 14:07`.
pub(super) fn minute(at: &str) -> String {
    let text: String = at.chars().take(16).collect();
    text.replace('T', " ")
}

/// Characters of a day in a time.
const DAY: usize = "2026-11-25".len();

/// The day of an RFC 3339 time: `2026-11-25`.
pub(super) fn day(at: &str) -> &str {
    at.get(..DAY).unwrap_or(at)
}

/// Hour and minute of an RFC 3339 time: `14:07`.
pub(super) fn clock(at: &str) -> &str {
    at.get(DAY + 1..DAY + 6).unwrap_or_default()
}

/// From one RFC 3339 time to a later one, the day said once: `2026-11-25 14:07 to 14:31`.
pub(super) fn from_to(first: &str, last: &str) -> String {
    let (from, to) = (minute(first), minute(last));
    match from == to {
        true => from,
        false => format!("{from} to {}", clock(last)),
    }
}

/// A table of rows none of which wants a look.
pub(super) fn plain_table(titles: &[&str], rows: Vec<Vec<String>>) -> Table {
    let mut table = Table::new(titles);
    rows.into_iter().for_each(|row| table.row(row));
    table
}
