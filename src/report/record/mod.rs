//! The hand-over record as one document, made from the assessment alone.
//!
//! Its chapters follow common lists of what is handed over: what stands, what was found, what was
//! left, with what it was measured, what was done, what is open, who signed.
//!
//! Never here: figures of its own, how a page looks.

mod after;
mod annex;
mod front;
mod left_out;
mod lines;
mod wrong;

use super::document::{Document, Table};
use super::rows::{Assessment, MeasuredRow};
use crate::quantity::{Fraction, Ohm, Watt, show};

/// The record of a site.
#[must_use]
pub fn record(data: &Assessment) -> Document {
    let mut out = Document {
        title: data.site.clone(),
        subtitle: "Hand-over record of the loudspeaker lines".to_owned(),
        foot: foot(data),
        blocks: Vec::new(),
    };
    front::cover(data, &mut out);
    front::summary(data, &mut out);
    lines::outputs(data, &mut out);
    lines::lines(data, &mut out);
    lines::insulation(data, &mut out);
    lines::heard(data, &mut out);
    after::suspicions(data, &mut out);
    after::whole_building(data, &mut out);
    after::snags(data, &mut out);
    after::off(data, &mut out);
    after::in_the_way(data, &mut out);
    after::baseline(data, &mut out);
    annex::checks(data, &mut out);
    annex::instruments(data, &mut out);
    annex::design(data, &mut out);
    annex::method(data, &mut out);
    annex::rates(data, &mut out);
    annex::changes(data, &mut out);
    annex::seals(data, &mut out);
    out
}

fn foot(data: &Assessment) -> String {
    let seal = match data.seals.last() {
        None => "not signed".to_owned(),
        Some(seal) if seal.intact => format!("signed {}, seal intact", seal.at),
        Some(seal) => format!("signed {}, SEAL BROKEN", seal.at),
    };
    format!("{}, {}; {seal}", data.site, data.visit)
}

/// `412 ohm`, `open`, `short`, empty where there is none.
pub(super) fn ohms_text(value: &serde_json::Value) -> String {
    match (value.as_f64(), value.as_str()) {
        (Some(ohm), _) => show::ohm(Ohm(ohm)),
        (None, Some(word)) => word.to_owned(),
        (None, None) => String::new(),
    }
}

pub(super) fn watts(it: Option<f64>) -> String {
    it.map_or_else(String::new, |it| show::watt(Watt(it)))
}

pub(super) fn marked(it: Option<f64>) -> String {
    it.map_or_else(String::new, |it| show::marked_watt(Watt(it)))
}

pub(super) fn signed(it: Option<f64>) -> String {
    it.map_or_else(String::new, |it| show::signed_percent(Fraction(it)))
}

/// Twice the standard uncertainty: the half width of an interval of 95 %.
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

/// What an instrument reads, in words.
pub(super) fn reads_words(reads: &str) -> &str {
    if reads == "dc" {
        "direct current"
    } else {
        reads
    }
}

pub(super) fn reading(it: Option<&MeasuredRow>) -> String {
    it.map_or_else(String::new, |it| ohms_text(&it.ohms))
}

/// The day and minute of an RFC 3339 time: `2026-11-25 14:07`.
pub(super) fn minute(at: &str) -> String {
    let text: String = at.chars().take(16).collect();
    text.replace('T', " ")
}

pub(super) fn plain_table(titles: &[&str], rows: Vec<Vec<String>>) -> Table {
    let mut table = Table::new(titles);
    rows.into_iter().for_each(|row| table.row(row));
    table
}
