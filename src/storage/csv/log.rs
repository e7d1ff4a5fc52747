//! The log as readings CSV, each row with its entry's id; reading it back adds nothing.
//!
//! Cells that a spreadsheet would run as a formula are written with a quote before them.

use super::in_turn::in_turn;
use super::reading_columns::HEARD;
use crate::quantity::{DecimalSign, defuse};
use crate::site::{Cut, Do, Entry, EntryId, Ref, Site, StateId};
use std::collections::HashMap;

const COLUMNS: [&str; 17] = [
    "id",
    "line",
    "kind",
    "value",
    "at",
    "side",
    "leg",
    "test_v",
    "known_ohms",
    "visit",
    "instrument",
    "phase_deg",
    "hz",
    "when",
    "person",
    "note",
    "corrects",
];

type LogRow = HashMap<&'static str, String>;

/// The log of a site as readings CSV: readings, answers, checks, repairs and what strikes them, those
/// that count and those that no longer do, by time, each behind what it corrects.
#[must_use]
pub fn write_log(site: &Site) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory cannot fail, and every row has as many cells as the header.
    let mut put = |cells: &[String]| writer.write_record(cells).unwrap_or(());
    put(&COLUMNS.map(str::to_owned));
    for row in rows(site) {
        put(&COLUMNS.map(|column| row.get(column).map_or(String::new(), |cell| defuse(cell))));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

/// By time, but what corrects or strikes an entry behind it: the clock it was typed by may have been behind,
/// and a row is read back by the rows above it.
fn rows(site: &Site) -> Vec<LogRow> {
    let entries = site.log().rows();
    let at: HashMap<&EntryId, usize> = entries.iter().map(|it| &it.id).zip(0..).collect();
    let leans_on = |place: usize| {
        let entry = entries[place];
        let struck = match &entry.what {
            Do::Void(void) => &void.of[..],
            _ => &[],
        };
        let named = entry.corrects.iter().chain(struck);
        named.filter_map(|id| at.get(id).copied()).collect()
    };
    let turn = in_turn(entries.len(), leans_on).into_iter();
    turn.flat_map(|place| entry_rows(site, entries[place]))
        .collect()
}

/// One row of an entry; a strike has one for each entry it strikes.
fn entry_rows(site: &Site, entry: &Entry) -> Vec<LogRow> {
    if let Do::Void(void) = &entry.what {
        return void
            .of
            .iter()
            .filter_map(|id| {
                let mut row = struck(site, id)?;
                row.insert("value", "void".to_owned());
                common(&mut row, entry);
                row.insert("corrects", id.to_string());
                Some(row)
            })
            .collect();
    }
    reading_row(site, entry).into_iter().collect()
}

/// The kind and the line of what is struck in the end, so that the row can be read by itself.
fn struck(site: &Site, id: &EntryId) -> Option<LogRow> {
    let mut entry = site.log().get(id)?;
    for _ in 0..256 {
        match &entry.what {
            Do::Void(void) => entry = site.log().get(void.of.first()?)?,
            _ => break,
        }
    }
    let mut row = reading_row(site, entry)?;
    row.retain(|column, _| matches!(*column, "kind" | "line"));
    Some(row)
}

fn common(row: &mut LogRow, entry: &Entry) {
    row.insert("id", entry.id.to_string());
    row.insert("when", entry.at.to_string());
    row.insert("person", entry.by.clone());
    if let Some(id) = &entry.corrects {
        row.insert("corrects", id.to_string());
    }
    if let Some(why) = &entry.why {
        row.entry("note").or_insert_with(|| why.clone());
    }
}

fn reading_row(site: &Site, entry: &Entry) -> Option<LogRow> {
    let mut row = LogRow::new();
    let mut put = |column: &'static str, cell: String| {
        row.insert(column, cell);
    };
    let label = |of: Ref| site.elements().label(&of).to_owned();
    let node = |id: &crate::site::NodeId| label(Ref::Node(id.clone()));
    let instrument = |id: &crate::site::InstrumentId| label(Ref::Instrument(id.clone()));
    let visit = |state: &StateId| label(Ref::Visit(site.visit_of(state).into()));
    if let Some(line) = entry.what.line() {
        put("line", label(Ref::Line(line.clone())));
    }
    let note = match &entry.what {
        Do::Read(it) => {
            let dc = it.is_dc();
            put("kind", if dc { "dc" } else { "impedance" }.to_owned());
            put("value", as_point(&it.text));
            let (at, side) = match &it.cut {
                Some(Cut::Near(at)) => (node(at), "near"),
                Some(Cut::Far(at)) => (node(at), "far"),
                Some(Cut::Whole(at)) => (node(at), ""),
                None => (String::new(), ""),
            };
            put("at", at);
            put("side", side.to_owned());
            put("visit", visit(&it.state));
            put("instrument", instrument(&it.instrument));
            if let Some(phase) = it.phase_deg {
                put("phase_deg", phase.get().to_string());
            }
            if !dc {
                put("hz", it.hz.get().to_string());
            }
            it.note.clone()
        }
        Do::Insulate(it) => {
            put("kind", "insulation".to_owned());
            put("value", as_point(&it.text));
            let leg = it.leg.as_str();
            put("leg", leg.to_owned());
            put("test_v", it.test_v.get().to_string());
            put("visit", visit(&it.state));
            put("instrument", instrument(&it.instrument));
            it.note.clone()
        }
        Do::Check(it) => {
            put("kind", "check".to_owned());
            put("value", as_point(&it.text));
            put("known_ohms", it.known_ohm.get().to_string());
            put("visit", label(Ref::Visit(it.visit.clone())));
            put("instrument", instrument(&it.instrument));
            it.note.clone()
        }
        Do::Listen(it) => {
            put("kind", "listen".to_owned());
            let word = HEARD.iter().find(|(_, gives)| *gives == it.gives);
            put("value", word.map_or("", |(word, _)| word).to_owned());
            put("at", node(&it.at));
            put("visit", visit(&it.state));
            let tone = it.tone.as_str();
            put(
                "instrument",
                if tone == "amplifier" {
                    tone.to_owned()
                } else {
                    instrument(&tone.into())
                },
            );
            it.note.clone()
        }
        Do::Repair(it) => {
            put("kind", "repair".to_owned());
            put("value", it.what.clone());
            put("at", it.place.as_ref().map_or(String::new(), node));
            put("visit", visit(&it.after));
            None
        }
        _ => return None,
    };
    if let Some(note) = note {
        put("note", note);
    }
    common(&mut row, entry);
    Some(row)
}

/// As typed; a comma that was typed by hand as the decimal sign is a point here, as the cells of
/// this file are parted by commas.
fn as_point(text: &str) -> String {
    let is_figure = |sign| {
        crate::quantity::reading(text, sign).is_ok()
            || crate::quantity::insulation(text, sign).is_ok()
    };
    if text.contains(',') && is_figure(DecimalSign::Comma) {
        text.replace(',', ".")
    } else {
        text.to_owned()
    }
}

/// The rows that the log would be written as, to know them when they come back.
pub(super) struct LogRows(HashMap<String, Vec<LogRow>>);

impl LogRows {
    pub(super) fn of(site: &Site) -> Self {
        let mut out: HashMap<String, Vec<LogRow>> = HashMap::new();
        for row in rows(site) {
            out.entry(row["id"].clone()).or_default().push(row);
        }
        Self(out)
    }

    /// Whether the row of a file is one of these, word for word in the columns that the file has;
    /// none where its id is not known.
    pub(super) fn same<'c>(
        &self,
        id: &str,
        cell: impl Fn(&str) -> Option<&'c str>,
    ) -> Option<bool> {
        let rows = self.0.get(id)?;
        Some(rows.iter().any(|row| {
            COLUMNS.iter().all(|column| {
                let own = row.get(column).map_or("", |own| own.trim());
                cell(column).is_none_or(|cell| cell == own)
            })
        }))
    }
}
