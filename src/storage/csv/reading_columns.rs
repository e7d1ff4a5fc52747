//! The columns of a readings CSV, the words in them, and a row as understood.

use super::column::{Column, Holds, needed, optional};
use crate::quantity::{Degree, Hertz, Insulation, Ohm, TypedReading, Volt};
use crate::site::{Cut, EntryId, Heard, InstrumentId, Leg, LineId, NodeId, VisitId};
use jiff::Timestamp;

pub(super) const COLUMNS: [Column; 17] = [
    optional("id", Holds::Text),
    optional("line", Holds::Text),
    needed("kind", Holds::Text),
    needed("value", Holds::Reading),
    optional("at", Holds::Text),
    optional("side", Holds::Text),
    optional("leg", Holds::Text),
    optional("test_v", Holds::Number),
    optional("known_ohms", Holds::Reading),
    optional("visit", Holds::Text),
    optional("instrument", Holds::Text),
    optional("phase_deg", Holds::Number),
    optional("hz", Holds::Number),
    optional("when", Holds::Text),
    optional("person", Holds::Text),
    optional("note", Holds::Text),
    optional("corrects", Holds::Text),
];

/// The kinds of row and the cells each has a use for beside line, kind, value, visit, when, person,
/// note, corrects and id.
pub(super) const KINDS: [(&str, &[&str]); 6] = [
    (
        "impedance",
        &["at", "side", "instrument", "phase_deg", "hz"],
    ),
    ("dc", &["at", "side", "instrument"]),
    ("insulation", &["leg", "test_v", "instrument"]),
    ("listen", &["at", "instrument"]),
    ("check", &["known_ohms", "instrument"]),
    ("repair", &["at"]),
];

/// The columns that not every kind has a use for.
pub(super) const OF_SOME_KINDS: [&str; 8] = [
    "at",
    "side",
    "leg",
    "test_v",
    "known_ohms",
    "instrument",
    "phase_deg",
    "hz",
];

/// The words of what is heard.
pub(super) const HEARD: [(&str, Heard); 7] = [
    ("heard", Heard::Heard),
    ("silent", Heard::Silent),
    ("quiet", Heard::Quiet),
    ("loud", Heard::Loud),
    ("distorted", Heard::Distorted),
    ("noisy", Heard::Noisy),
    ("reversed", Heard::Reversed),
];

/// A row as understood.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub number: u32,
    /// What the file calls this row, where it is an exported log.
    pub own_id: Option<String>,
    /// Empty for a check.
    pub line: LineId,
    /// As typed, with a decimal point.
    pub text: String,
    pub visit: Option<VisitId>,
    /// Empty for what is read by no instrument.
    pub instrument: InstrumentId,
    pub at: Option<Timestamp>,
    pub person: Option<String>,
    pub note: Option<String>,
    pub corrects: Option<EntryId>,
    pub is: WhatRow,
    /// Everything the row says, and nothing it leaves to the site: equal rows have equal facts.
    pub facts: String,
}

/// What a row says by its kind.
#[derive(Clone, Debug)]
pub(super) enum WhatRow {
    Read {
        value: TypedReading,
        hz: Option<Hertz>,
        phase: Option<Degree>,
        cut: Option<Cut>,
    },
    Insulate {
        value: Insulation,
        leg: Leg,
        test_v: Volt,
    },
    Check {
        known: Ohm,
        value: TypedReading,
    },
    Listen {
        at: NodeId,
        gives: Heard,
        tone: String,
    },
    Repair {
        place: Option<NodeId>,
    },
    Void,
}
