//! What else was read at the rack on this visit, line whole: readings that a later one of the same state took
//! the place of, and those that stood until a repair after which others count.
//!
//! Never here: which reading counts.

use super::line_done::SaidRow;
use super::values::ohms;
use crate::analysis::{Analyst, Taken, agree};
use crate::quantity::show;
use crate::review::label_of;
use crate::site::{Entry, EntryId, Read, Ref, Site};
use serde::Serialize;

/// A reading at the rack that is neither as found nor as left.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct AlsoReadRow {
    /// Ohms, `"open"` or `"short"`.
    #[cfg_attr(test, schemars(with = "super::schema_words::Ohms"))]
    pub ohms: serde_json::Value,
    /// When, RFC 3339.
    pub when: String,
    /// Who.
    pub by: String,
    /// Label of the instrument.
    pub instrument: String,
    /// Whether meters and last digits explain how far it is from the last reading of its state.
    pub agrees: bool,
    /// A repair came after it.
    pub before_repair: bool,
    /// Why it is not the one that counts, in words.
    pub text: String,
}

/// Those of a line, in order.
pub(super) fn also_read(site: &Site, analyst: &Analyst, at: usize) -> Vec<AlsoReadRow> {
    let (line, result) = (&site.plan().lines[at], analyst.line(at));
    let history = site.history(&line.id);
    let told = |taken: &Option<Taken>| taken.as_ref().and_then(|it| it.entry.clone());
    let told: [Option<EntryId>; 3] = [&result.as_found, &result.as_left, &result.taken].map(told);
    let states = history.states(&site.visit());
    let mut out = Vec::new();
    for state in &states {
        let reads = history.reads(site, state);
        let reads: Vec<(&Entry, &Read)> = reads
            .filter(|(_, read)| read.is_rack(site.test_hz()))
            .collect();
        let Some(last) = reads.last().copied() else {
            continue;
        };
        for (entry, read) in reads {
            if told.iter().flatten().any(|it| *it == entry.id) {
                continue;
            }
            let agrees = agree(site, (entry, read), last);
            let before_repair = states.last() != Some(state);
            let stood = show::value(last.1.value);
            let text = match (entry.id == last.0.id, agrees) {
                (true, _) => "it stood until the next repair".to_owned(),
                (_, true) => format!("agrees with {stood}, which was read later"),
                (_, false) => {
                    format!("not believed: does not agree with {stood}, which was read later")
                }
            };
            let said = site.log().measured(entry);
            out.push(AlsoReadRow {
                ohms: ohms(read.value),
                when: said.at.to_string(),
                by: SaidRow::of(said).by,
                instrument: label_of(site, &Ref::Instrument(read.instrument.clone())),
                agrees,
                before_repair,
                text,
            });
        }
    }
    out
}
