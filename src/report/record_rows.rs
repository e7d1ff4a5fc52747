//! What a hand-over record says beside the figures of lines and outputs, as data: fields may be
//! added, those here stay.
//!
//! Never here: how a figure comes about.

use super::line_done::SaidRow;
use crate::review::{Matter, Word};
use crate::site::{Heard, Reads};
use serde::Serialize;

/// A node of a line as drawn, and what was heard there.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct NodeRow {
    /// Its label.
    pub at: String,
    /// Label of the node that feeds it; null is the rack.
    pub from: Option<String>,
    /// `loudspeaker`, `junction` or `device`.
    pub what: &'static str,
    /// Design tap, W.
    pub tap_w: Option<f64>,
    /// Length of the run that feeds it, m; null where nobody knows.
    pub run_m: Option<f64>,
    /// The cable of that run.
    pub cable: String,
    /// A level control at the near end of the run.
    pub control: bool,
    /// Terminal voltage as drawn, dB re nominal.
    pub level_db: Option<f64>,
    /// The latest answer in this state.
    pub heard: Option<&'static str>,
    /// The same as it was given: no part of the JSON.
    #[serde(skip)]
    pub gives: Option<Heard>,
    /// Who gave it, and when: no part of the JSON.
    #[serde(skip)]
    pub said: Option<SaidRow>,
    /// What made the sound it was listened to with: an instrument, or the amplifier: no part of the JSON.
    #[serde(skip)]
    pub tone: Option<String>,
    /// The id of a loudspeaker's type: no part of the JSON.
    #[serde(skip)]
    pub of_type: Option<String>,
    /// What else is drawn of it: no part of the JSON.
    #[serde(skip)]
    pub drawn: super::DrawnRow,
    /// The polarity was called reversed.
    pub reversed: bool,
}

/// An item of the review.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ReviewRow {
    /// What it is about: no part of the JSON, which has it in words.
    #[serde(skip)]
    pub matter: Matter,
    /// Kind of the thing.
    pub kind: String,
    /// What people call it.
    pub of: String,
    /// What is the matter.
    pub text: String,
    /// What was struck, for the record: no part of the JSON.
    #[serde(skip)]
    pub note: Option<String>,
    /// The word on it, in words.
    pub word: Option<String>,
    /// The same as it was said: no part of the JSON.
    #[serde(skip)]
    pub said: Option<Word>,
    /// It stands in the way of signing.
    pub open: bool,
}

/// A signature.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SealRow {
    /// The entry's id.
    pub entry: String,
    /// When, RFC 3339.
    pub at: String,
    /// What was signed for.
    pub scope: String,
    /// The visit.
    pub visit: String,
    /// That is the latest: no part of the JSON.
    #[serde(skip)]
    pub of_this_visit: bool,
    /// Who.
    pub name: String,
    /// As what.
    pub role: String,
    /// Version of the canonical text.
    pub canon: u32,
    /// Lines and items with a digest of their own.
    pub facts: usize,
    /// Digest over all, SHA-256 in hexadecimal.
    pub sha256: String,
    /// Nothing changed since.
    pub intact: bool,
    /// Something was recorded and struck since, and nothing else: every figure is as sealed.
    pub taken_back: bool,
    /// What changed since, the line first.
    pub changes: Vec<String>,
}

/// An instrument that was used.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct InstrumentRow {
    /// Its label.
    pub instrument: String,
    /// `impedance`, `dc` or `insulation`.
    pub reads: &'static str,
    /// The same, for words: no part of the JSON.
    #[serde(skip)]
    pub kind: Reads,
    /// Largest relative error.
    pub accuracy: f64,
    /// Whether that was given: no part of the JSON.
    #[serde(skip)]
    pub given: super::Given,
    /// Serial number.
    pub serial: Option<String>,
    /// Day of calibration.
    pub calibrated: Option<String>,
    /// Day until which it holds.
    pub due: Option<String>,
    /// Readings taken with it on this visit.
    pub readings: usize,
    /// What is to be said of its calibration; null when it was in date.
    pub flagged: Option<String>,
    /// Who read with it, where each perhaps had one of his own: no serial number says that it is one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hands: Vec<String>,
    /// The same in words.
    #[serde(skip)]
    pub one_or_two: Option<String>,
}

/// A known resistor read.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct CheckRow {
    /// With what.
    pub instrument: String,
    /// When, RFC 3339.
    pub at: String,
    /// What it is, ohm.
    pub known_ohm: f64,
    /// What was read, ohm.
    pub read_ohm: f64,
    /// Read over known, less one.
    pub deviation: f64,
    /// In whose hands, where each perhaps had a meter of his own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// An item of the rack list or the hand-back list, for one amplifier.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TickedRow {
    /// The amplifier.
    pub amplifier: String,
    /// `rack`, `insulation` or `hand-back`.
    pub list: &'static str,
    /// The item's name.
    pub item: &'static str,
    /// In words.
    pub text: &'static str,
    /// `done`, `not here`, or null.
    pub is: Option<&'static str>,
    /// Of an item that is ticked line by line: lines done, of how many.
    pub lines: Option<[usize; 2]>,
    /// The same of the lines it is asked of, which are those that were worked on, as in what stands in the
    /// way of signing: no part of the JSON.
    #[serde(skip)]
    pub worked: Option<[usize; 2]>,
    /// Why it is not here.
    pub why: Option<String>,
    /// Who.
    pub by: Option<String>,
    /// When, RFC 3339.
    pub at: Option<String>,
    /// Of an item that is ticked line by line: who ticked how many of the worked lines on which day, where it
    /// was not one person on one day. No part of the JSON.
    #[serde(skip)]
    pub by_each: Vec<(String, String, usize)>,
    /// A known resistor read has ticked it, and nobody that the leads were zeroed: no part of the JSON.
    #[serde(skip)]
    pub by_check: bool,
    /// Readings that were made before it was first ticked, where it comes before them: how many, and when
    /// the first was, RFC 3339: no part of the JSON.
    #[serde(skip)]
    pub late: Option<(usize, String)>,
}

/// A limit or an assumption in force.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LimitRow {
    /// Its name in the site file.
    pub name: &'static str,
    /// What it is, with its unit.
    pub text: &'static str,
    /// The value in force.
    pub value: f64,
    /// The default, where the site has its own.
    pub default: Option<f64>,
    /// Source of the default.
    pub source: String,
}

/// A change in the log: lines taken off and put back, repairs, words, edits, strikes, corrections,
/// signatures.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ChangeRow {
    /// When, RFC 3339.
    pub at: String,
    /// Who.
    pub by: String,
    /// Label of the line, where it is of one.
    pub line: Option<String>,
    /// What, in words.
    pub text: String,
    /// It counts: nothing struck it.
    pub counts: bool,
    /// What was drawn, where it is that and no more: no part of the JSON.
    #[serde(skip)]
    pub drawn: Option<&'static str>,
}

/// Something to know of the design before anyone travels.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DesignRow {
    /// `planned-load`, `far-end` or `lost-in-tolerance`.
    pub kind: &'static str,
    /// Label of the line, or of the output.
    pub of: String,
    /// In words.
    pub text: String,
    /// The load planned, W; the level at the far end, dB; the loudspeakers that can be lost.
    pub value: f64,
    /// The rating, W; the limit, dB; the loudspeakers of the line.
    pub against: f64,
    /// The smallest standard cable that would do.
    pub cable: Option<String>,
    /// By how much one dead loudspeaker lowers the load, and from which loss on a reading shows it, as
    /// shares of the load: no part of the JSON.
    #[serde(skip)]
    pub shows: Option<[f64; 2]>,
}

/// A line against an earlier visit.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DriftRow {
    /// Its label.
    pub line: String,
    /// Its label then, where that was another.
    pub renamed_from: Option<String>,
    /// What it read then: ohms, `"open"`, `"short"` or null.
    #[cfg_attr(test, schemars(with = "super::schema_words::Ohms"))]
    pub then: serde_json::Value,
    /// As it reads now.
    #[serde(flatten)]
    pub left: NowRow,
    /// The same of what it read as found on this visit, where it was repaired since.
    pub as_found: Option<NowRow>,
}

/// What a line reads on this visit, against an earlier one.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct NowRow {
    /// What it reads.
    #[cfg_attr(test, schemars(with = "super::schema_words::Ohms"))]
    pub now: serde_json::Value,
    /// Load now over load then, less one, the meters' factors taken out.
    pub drift: Option<f64>,
    /// Standard uncertainty of that.
    pub u: Option<f64>,
    /// Probability that it is no accident of the meters.
    pub probability: Option<f64>,
    /// It is to be looked at.
    pub called: bool,
    /// In words.
    pub text: String,
}

/// An earlier visit as baseline.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BaselineRow {
    /// The older record's name and visit.
    pub of: String,
    /// Probability over which a drift is called.
    pub called_over: f64,
    /// Lines that stand on both.
    pub lines: Vec<DriftRow>,
    /// Lines that were not there.
    pub new: Vec<String>,
    /// Lines that are not there any more.
    pub gone: Vec<String>,
}

/// A fault's rate, and what confirmed causes made of it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RateRow {
    /// The fault's name.
    pub fault: &'static str,
    /// As set for the site, else the default.
    pub set: f64,
    /// Causes that repairs confirmed.
    pub confirmed: usize,
    /// Loudspeakers, runs, controls or lines whose state is settled.
    pub looked_at: usize,
    /// The rate that suspects are weighed by.
    pub rate: f64,
}

/// What two engineers said differently, until an entry answers.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct QuestionRow {
    /// Kind of the item it is told of; `entry` for corrections.
    pub kind: String,
    /// Its id.
    pub of: String,
    /// How many designs stand for that item.
    pub designs: usize,
    /// `designs`, `ring`, `label`, `retired`, `other-line`, `read-when-retired` or `corrections`.
    pub why: &'static str,
    /// Every item or entry that it is about, as kind and id.
    pub items: Vec<String>,
    /// Between what to choose; empty where no single item is.
    pub choices: Vec<ChoiceRow>,
    /// In words.
    pub text: String,
}

/// One of the things between which to choose.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ChoiceRow {
    /// The stamp of a design, the id of an entry.
    pub stamp: String,
    /// Who set it, where that is known.
    pub by: Option<String>,
    /// When, RFC 3339.
    pub at: Option<String>,
    /// What it says: all of it.
    pub design: serde_json::Value,
}
