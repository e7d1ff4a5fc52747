//! Entries: one row of the log each. The log only grows; a correction is a new entry.

use super::id::{EntryId, InstrumentId, LineId, NodeId, Stamp, StateId, VisitId};
use super::item::Design;
use super::item_ref::Ref;
use super::rows::rows;
use crate::quantity::{Degree, Hertz, Insulation, Ohm, Value, Volt};
use jiff::{Timestamp, civil::Date};
use serde::{Deserialize, Serialize};

/// What the reason of an edit begins with that was tried out and applied: what it draws is still to be
/// done on site.
pub const TRIED_OUT: &str = "tried out: ";

/// What drives a line that is listened to, when no instrument does.
pub const AMPLIFIER_TONE: &str = "amplifier";

/// One row of the log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// When, UTC, whole seconds.
    pub at: Timestamp,
    /// Its identity.
    pub id: EntryId,
    /// Who.
    pub by: String,
    /// What.
    #[serde(rename = "do")]
    pub what: Do,
    /// Entries of one act (a paste, a file) share this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub act: Option<String>,
    /// Row in the file it came from, 1 is the first under the header.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<u32>,
    /// The entry that this one takes the place of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<EntryId>,
    /// Why: of a correction, or of a decision.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// What an entry says was done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Do {
    Read(Read),
    Insulate(Insulate),
    Check(Check),
    Listen(Listen),
    Repair(Repair),
    Tick(Tick),
    Decide(Decide),
    Note(Note),
    Edit(Edit),
    Void(Void),
    Seal(Seal),
}

/// Where along an opened line a reading was taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Cut {
    /// Opened on the rack side of the node, read from the rack.
    Near(NodeId),
    /// Opened on the rack side of the node, read from the opening.
    Far(NodeId),
    /// Read at the node, line whole: recorded, not weighed.
    Whole(NodeId),
}

/// Which cores an insulation reading was taken on, against earth.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Leg {
    /// Cores joined.
    #[default]
    Both,
    /// Core a.
    A,
    /// Core b.
    B,
}

impl Leg {
    /// Which cores, in words; the other pole is earth.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Both => "joined",
            Self::A => "core a",
            Self::B => "core b",
        }
    }

    /// As the CSV of readings and the JSON say it.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Both => "both",
            Self::A => "a",
            Self::B => "b",
        }
    }

    /// Behind a figure: nothing of cores joined, which is the usual test, else `, core a`.
    #[must_use]
    pub fn behind(self) -> String {
        match self {
            Self::Both => String::new(),
            core => format!(", {}", core.words()),
        }
    }
}

/// What was heard at a loudspeaker.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Heard {
    /// As expected.
    Heard,
    /// Nothing.
    Silent,
    /// Less than expected.
    Quiet,
    /// More than expected.
    Loud,
    /// Not clean.
    Distorted,
    /// Too noisy to tell; an answer without weight.
    Noisy,
    /// Polarity reversed; recorded and flagged, never inferred.
    Reversed,
}

impl Heard {
    /// In words, wherever it is told.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Heard => "heard",
            Self::Silent => "silent",
            Self::Quiet => "quiet",
            Self::Loud => "loud",
            Self::Distorted => "distorted",
            Self::Noisy => "too noisy to tell",
            Self::Reversed => "polarity reversed",
        }
    }

    /// The same in at most nine cells.
    #[must_use]
    pub const fn short_word(self) -> &'static str {
        match self {
            Self::Noisy => "too noisy",
            Self::Reversed => "reversed",
            other => other.word(),
        }
    }

    /// Any sound came; a polarity called reversed is sound too.
    #[must_use]
    pub const fn sounds(self) -> bool {
        !matches!(self, Self::Silent | Self::Noisy)
    }

    /// It was not heard as it should be; a polarity called reversed is another matter.
    #[must_use]
    pub const fn is_wrong(self) -> bool {
        matches!(
            self,
            Self::Silent | Self::Quiet | Self::Loud | Self::Distorted
        )
    }

    /// Whether the answer tells anything; too noisy to tell is none.
    #[must_use]
    pub const fn tells(self) -> bool {
        !matches!(self, Self::Noisy)
    }
}

rows! {
    /// An impedance (`hz` above 0) or a direct-current reading (`hz` 0).
    Read {
        /// The line.
        line: LineId,
        /// The state it was read in.
        state: StateId,
        /// The figure.
        value: Value,
        /// What one step of the last digit typed is worth.
        step_ohm: Ohm,
        /// As typed.
        text: String,
        /// The instrument.
        instrument: InstrumentId,
        /// Test frequency; 0 is direct current.
        hz: Hertz,
        /// Phase, where the meter shows it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        phase_deg: Option<Degree>,
        /// Where, when not at the rack with the line whole.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cut: Option<Cut>,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// An insulation reading.
    Insulate {
        /// The line.
        line: LineId,
        /// The state it was read in.
        state: StateId,
        /// The figure.
        value: Insulation,
        /// As typed.
        text: String,
        /// The instrument.
        instrument: InstrumentId,
        /// Test voltage, direct current.
        test_v: Volt,
        /// Which cores.
        leg: Leg,
        /// After how many seconds it was read.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        after_s: Option<f64>,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// A known resistor read.
    Check {
        /// The visit.
        visit: VisitId,
        /// The instrument.
        instrument: InstrumentId,
        /// What the resistor is.
        known_ohm: Ohm,
        /// What the instrument showed.
        value: Ohm,
        /// What one step of the last digit typed is worth.
        step_ohm: Ohm,
        /// As typed.
        text: String,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// What was heard at a loudspeaker.
    Listen {
        /// The line.
        line: LineId,
        /// The state it was heard in.
        state: StateId,
        /// The loudspeaker.
        at: NodeId,
        /// The answer.
        gives: Heard,
        /// What drove the line: an instrument, or `amplifier`.
        tone: String,
        /// Free text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    }
    /// The line was changed: a new state begins, named by this entry's id.
    Repair {
        /// The line.
        line: LineId,
        /// The state it ends.
        after: StateId,
        /// What was done.
        what: String,
        /// Where.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        place: Option<NodeId>,
        /// The fault that was found.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cause: Option<String>,
    }
    /// One item of a list: done, or not here.
    Tick {
        /// The list item's name.
        item: String,
        /// What it was done for.
        of: Vec<Ref>,
        /// The visit.
        visit: VisitId,
        /// Done or not here.
        is: TickIs,
    }
    /// A word on a flagged thing; the reason is the entry's `why`.
    Decide {
        /// What it is about.
        of: Ref,
        /// The state it holds for.
        state: StateId,
        /// The word.
        is: Decision,
    }
    /// Free text on anything.
    Note {
        /// What it is about.
        of: Ref,
        /// The text.
        text: String,
    }
    /// One design item changed.
    Edit {
        /// The item.
        of: Ref,
        /// What it replaces.
        was: Vec<(Stamp, Design)>,
        /// The new design.
        now: Design,
        /// The edit that this one undoes.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        undoes: Option<EntryId>,
    }
    /// Entries struck: they stay in the log and no longer count.
    Void {
        /// The entries.
        of: Vec<EntryId>,
    }
    /// A signature over facts.
    Seal {
        /// What is signed.
        scope: Ref,
        /// The visit.
        visit: VisitId,
        /// Who.
        name: String,
        /// As what.
        role: String,
        /// Limits in force: name and value.
        limits: Vec<(String, f64)>,
        /// Version of the canonical text.
        canon: u32,
        /// One digest for each line or item.
        facts: Vec<(Ref, String)>,
        /// Digest over all.
        sha256: String,
    }
}

/// Whether a list item was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum TickIs {
    /// Done.
    Done,
    /// Does not exist here, with the reason.
    NotHere(String),
}

/// A word on a flagged thing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Decision {
    /// Repaired, by that repair.
    Repaired {
        /// The repair.
        repair: EntryId,
    },
    /// Accepted as it is.
    Accepted,
    /// Left open.
    Snag {
        /// Who sees to it.
        owner: String,
        /// By when.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        due: Option<Date>,
    },
    /// An unread line left for later.
    Skipped,
}

impl Decision {
    /// Whether it leaves a thing as it is: accepted, or on the snag list.
    #[must_use]
    pub const fn leaves(&self) -> bool {
        matches!(self, Self::Accepted | Self::Snag { .. })
    }
}

impl Do {
    /// The line this entry belongs to, where it belongs to one.
    #[must_use]
    pub const fn line(&self) -> Option<&LineId> {
        match self {
            Self::Read(it) => Some(&it.line),
            Self::Insulate(it) => Some(&it.line),
            Self::Listen(it) => Some(&it.line),
            Self::Repair(it) => Some(&it.line),
            _ => None,
        }
    }
}
