//! The shape of an assessment, as `assess --json` prints it and other programs rely on it: fields
//! may be added, those here stay.
//!
//! Numbers are SI unless the name says otherwise, probabilities and shares of one; what does not exist
//! is null; an open line reads `"open"`, a shorted one `"short"`.
//!
//! Never here: how a figure comes about.

use super::also_read::AlsoReadRow;
pub use super::insulation::InsulationRow;
use super::line_done::{LineDoneRow, SaidRow, StoryRow};
use super::moved::MovedRow;
use super::record_rows::{
    BaselineRow, ChangeRow, CheckRow, DesignRow, InstrumentRow, LimitRow, NodeRow, QuestionRow,
    RateRow, ReviewRow, SealRow, TickedRow,
};
pub use super::site_hint::SiteHintRow;
use super::slips::SlipRow;
use crate::diagnosis::{FaultKind, NextKind, SiteFault};
use serde::Serialize;

/// Version of this shape: docs/assess.schema.json says the same in the form that validators read.
pub const SCHEMA: u32 = 1;

/// The whole of it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Assessment {
    /// Version of this shape.
    pub schema: u32,
    /// The building's name.
    pub site: String,
    /// Outputs in rack order.
    pub outputs: Vec<OutputRow>,
    /// Lines in rack order.
    pub lines: Vec<LineRow>,
    /// What only the whole site shows.
    pub site_hints: Vec<SiteHintRow>,
    /// The standing questions.
    pub questions: Vec<QuestionRow>,
    /// Label of the latest visit.
    pub visit: String,
    /// Its id, which tells whether two records are of one visit.
    pub visit_id: String,
    /// The site's id, which copies share.
    pub site_id: String,
    /// What stands in the way of signing, worst first, then what is settled.
    pub review: Vec<ReviewRow>,
    /// Who read, listened, repaired or ticked on this visit.
    pub persons: Vec<String>,
    /// Signatures, and whether they stand.
    pub seals: Vec<SealRow>,
    /// Instruments used on this visit.
    pub instruments: Vec<InstrumentRow>,
    /// Known resistors read on this visit.
    pub checks: Vec<CheckRow>,
    /// Rack list and hand-back list of every amplifier.
    pub ticks: Vec<TickedRow>,
    /// Limits and assumptions in force.
    pub limits: Vec<LimitRow>,
    /// The design held against its limits.
    pub design: Vec<DesignRow>,
    /// Rates of faults, with the causes that were confirmed counted.
    pub rates: Vec<RateRow>,
    /// Repairs, words, edits, strikes, corrections, signatures, in order. For the record, and no part
    /// of the JSON: what was taken back is as if it had not been, to the byte; `log` tells the story.
    #[serde(skip)]
    pub changes: Vec<ChangeRow>,
    /// The first and the last entry of this visit, RFC 3339: no part of the JSON.
    #[serde(skip)]
    pub span: Option<[String; 2]>,
    /// Lines moved to another output on this visit: no part of the JSON.
    #[serde(skip)]
    pub moved: Vec<MovedRow>,
    /// Against an earlier visit: the one that was named, else the one before this on the same site where
    /// anything was read by then.
    pub baseline: Option<BaselineRow>,
}

/// An output.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct OutputRow {
    /// Its amplifier.
    pub amplifier: String,
    /// Its label on the unit.
    pub output: String,
    /// Its amplifier carries voice alarm.
    pub voice_alarm: bool,
    /// Nominal line voltage, V.
    pub line_v: f64,
    /// Rating, W.
    pub rated_w: Option<f64>,
    /// Load as read, unread lines as drawn, W.
    pub load_w: Option<f64>,
    /// The same without the lines that are OFF the amplifier, W.
    pub on_now_w: Option<f64>,
    /// `load_w` once the cores of every line are where they are drawn, W; null where they are.
    pub once_moved_w: Option<f64>,
    /// Which lines count where their cores are and not where they are drawn, in words: no part of the JSON.
    #[serde(skip)]
    pub cores: String,
    /// Every line as drawn, W.
    pub drawn_w: f64,
    /// What leaves the headroom asked for, W.
    pub limit_w: Option<f64>,
    /// Lines that are OFF the amplifier.
    pub off_lines: usize,
    /// Lines counted as drawn.
    pub unmeasured_lines: usize,
    /// Share of the rating left.
    pub headroom: Option<f64>,
    /// The word.
    #[cfg_attr(test, schemars(with = "super::schema_words::OutputWords"))]
    pub verdict: &'static str,
    /// Rating that leaves the headroom asked for, W.
    pub rating_needed_w: Option<f64>,
    /// Lines that must not be connected.
    pub stop: Vec<String>,
    /// Lines that take more than drawn by more than the tolerance, the most first.
    pub grown: Vec<GrownRow>,
    /// What it would carry without readings that are suspected to be a slip, in words, for the record; of
    /// one with a line that must not be connected, what is on it now: no part of the JSON.
    #[serde(skip)]
    pub if_slips: Option<String>,
    /// Every line on, those out of tolerance as drawn, where there is one, W: no part of the JSON.
    #[serde(skip)]
    pub mended_w: Option<f64>,
    /// The same with the lines of `grown` alone as drawn; beside a stop of those that are on it now.
    #[serde(skip)]
    pub grown_as_drawn_w: Option<f64>,
}

/// A line that takes more than drawn.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct GrownRow {
    /// Its label.
    pub line: String,
    /// By how much, W.
    pub by_w: f64,
}

/// A line.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LineRow {
    /// Its label.
    pub line: String,
    /// Its zone.
    pub zone: String,
    /// Its amplifier.
    pub amplifier: String,
    /// Its output.
    pub output: String,
    /// The word; null while a question stands.
    #[cfg_attr(test, schemars(with = "Option<super::schema_words::LineWords>"))]
    pub verdict: Option<&'static str>,
    /// Probability that it is out of tolerance.
    pub p_out: Option<f64>,
    /// Sum of the taps, W; null while a question stands, like all that the drawing decides.
    pub design_w: Option<f64>,
    /// What it should read.
    pub expected: ExpectedRow,
    /// What it reads.
    pub measured: Option<MeasuredRow>,
    /// Loudspeakers that gave any sound, of how many.
    pub heard: [usize; 2],
    /// Loudspeakers whose latest answer tells: those heard and those silent.
    pub asked: usize,
    /// Probability that the reading is simply wrong.
    pub misfit: Option<f64>,
    /// Where other readings than those at the rack are weighed with them, how likely each is simply
    /// wrong, in the order they were taken.
    pub slips: Vec<SlipRow>,
    /// Terminal voltage of the worst served loudspeaker, dB.
    pub far_end_db: Option<f64>,
    /// Suspects, likeliest first.
    pub hints: Vec<HintRow>,
    /// Next tests, best first.
    pub next: Vec<NextRow>,
    /// The last reading of the visit's first state that has one.
    pub as_found: Option<MeasuredRow>,
    /// That of its last state.
    pub as_left: Option<MeasuredRow>,
    /// What else was read at the rack on this visit, line whole, in order.
    pub also_read: Vec<AlsoReadRow>,
    /// Insulation.
    pub insulation: Option<InsulationRow>,
    /// Off the amplifier.
    pub off: bool,
    /// The output that its cores are still on, where it was moved to another on paper; null where they are as
    /// drawn, or OFF.
    pub cores_on: Option<String>,
    /// The word on it.
    pub decision: Option<&'static str>,
    /// Relative standard uncertainty of the reading: meter, last digit, contacts.
    pub u_rel: Option<f64>,
    /// What else a later visit needs to hold the reading against its own; null of an open or short line.
    pub reading: Option<ReadingRow>,
    /// The decision with its reason, owner, date.
    pub word: Option<String>,
    /// Its nodes in cable order, as drawn, and what was heard there.
    pub nodes: Vec<NodeRow>,
    /// Its id, which stays when the label changes.
    pub id: String,
    /// What only the whole site shows and what names this line, likeliest first. Its own suspects in
    /// `hints` hold where it is none of these.
    pub site_wide: Vec<SiteWideRow>,
    /// What is left to do, the first thing first.
    pub to_do: Vec<String>,
    /// It was read before taps were tried out and applied that are still to be set: `measured` is that
    /// reading, counted as load and judged by nothing (`verdict` is `unmeasured`); it is to be read again.
    pub reread: bool,
    /// What was done on it on this visit, in order, for the record: no part of the JSON.
    #[serde(skip)]
    pub story: Vec<StoryRow>,
    /// Of a line repaired on this visit the likeliest why as it was found: no part of the JSON.
    #[serde(skip)]
    pub found_cause: Option<String>,
    /// Insulation that was read before a repair and does not count since: no part of the JSON.
    #[serde(skip)]
    pub insulation_before: Option<InsulationRow>,
    /// Insulation as it was before the last repair, where it was read again since: no part of the JSON.
    #[serde(skip)]
    pub insulation_found: Option<InsulationRow>,
    /// Which of `slips` is likelier wrong than not, where, and what to do: no part of the JSON.
    #[serde(skip)]
    pub doubt: Option<String>,
    /// Its two readings that do not agree: no part of the JSON.
    #[serde(skip)]
    pub in_doubt: Option<String>,
    /// Nobody said a word on that since: no part of the JSON.
    #[serde(skip)]
    pub doubted: bool,
    /// What else was done on it on this visit, for the record: no part of the JSON.
    #[serde(skip)]
    pub done: LineDoneRow,
}

/// The reading that counts, with what its meter shares.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ReadingRow {
    /// What one step of the last digit is worth, ohm.
    pub step_ohm: f64,
    /// ln of read over true of the meter, as learned from the whole site.
    pub ln_factor: f64,
    /// Its standard uncertainty.
    pub u_ln_factor: f64,
}

/// A cause of the whole site, told of a line that it names.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SiteWideRow {
    /// As in `site_hints`.
    pub fault: &'static str,
    /// The same, for words: no part of the JSON.
    #[serde(skip)]
    pub kind: SiteFault,
    /// How likely.
    pub probability: f64,
    /// In words, with what confirms or clears it.
    pub text: String,
    /// What it would be: its sentence without the test at its end. No part of the JSON.
    #[serde(skip)]
    pub claim: String,
    /// The test at its end: no part of the JSON.
    #[serde(skip)]
    pub test: String,
    /// Read over true, where it is a factor; `site_hints` has it for scripts.
    #[serde(skip)]
    pub factor: Option<f64>,
}

/// What a line should read.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ExpectedRow {
    /// Ohms, or `"open"`; null while a question stands.
    #[cfg_attr(test, schemars(with = "super::schema_words::Ohms"))]
    pub ohms: serde_json::Value,
    /// Watts.
    pub watts: Option<f64>,
    /// Relative standard uncertainty.
    pub u_rel: Option<f64>,
}

/// What a line reads.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MeasuredRow {
    /// Ohms, `"open"` or `"short"`.
    #[cfg_attr(test, schemars(with = "super::schema_words::Ohms"))]
    pub ohms: serde_json::Value,
    /// Watts.
    pub watts: Option<f64>,
    /// Load over expected load, less one.
    pub deviation: Option<f64>,
    /// When, RFC 3339.
    pub when: Option<String>,
    /// Label of the instrument.
    pub instrument: Option<String>,
    /// In whose hands, where each perhaps had one of his own.
    #[serde(rename = "by", skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
    /// Who corrected the figure, and when; none for one that stands as it was read. No part of the JSON.
    #[serde(skip)]
    pub corrected: Option<SaidRow>,
    /// Of a correction what stood before it, as it was typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub corrected_from: Option<String>,
}

/// A suspect.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HintRow {
    /// The fault's name.
    #[cfg_attr(test, schemars(with = "super::schema_words::Faults"))]
    pub fault: &'static str,
    /// The same, for words: no part of the JSON.
    #[serde(skip)]
    pub kind: FaultKind,
    /// Its probability.
    pub probability: f64,
    /// Its sentence.
    pub text: String,
    /// Where.
    pub places: Vec<PlaceRow>,
}

/// A place.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PlaceRow {
    /// Label of the node.
    #[serde(serialize_with = "shared")]
    pub at: std::sync::Arc<str>,
    /// Probability that a fault sits there.
    pub probability: f64,
}

/// A text that many rows have in common.
fn shared<S: serde::Serializer>(text: &str, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(text)
}

/// A next test.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct NextRow {
    /// `reread`, `listen`, `split` or `dc`.
    #[cfg_attr(test, schemars(with = "super::schema_words::Tests"))]
    pub test: &'static str,
    /// The same, for words: no part of the JSON.
    #[serde(skip)]
    pub kind: NextKind,
    /// Label of the node; null at the rack.
    pub at: Option<String>,
    /// What it would tell, bits; null where that was not reckoned.
    pub gain_bits: Option<f64>,
    /// What it takes, minutes.
    pub minutes: f64,
    /// In words.
    pub text: String,
    /// What it may show, likeliest first; empty where that was not reckoned.
    pub answers: Vec<AnswerRow>,
}

/// What a test may show.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct AnswerRow {
    /// What would be read or heard.
    pub words: String,
    /// How likely that is.
    pub probability: f64,
    /// What it would say.
    pub then: String,
}

impl ExpectedRow {
    /// Of a line whose drawing is in question.
    pub(super) const UNKNOWN: Self = Self {
        ohms: serde_json::Value::Null,
        watts: None,
        u_rel: None,
    };
}
