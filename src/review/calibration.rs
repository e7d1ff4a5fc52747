//! Whether an instrument was in date when it was used, and whether it is one. Nothing is refused for it; it
//! is flagged on every reading and in the record.
//!
//! Never here: what its readings are worth.

use super::scope::lines_in;
use crate::site::{Do, InstrumentId, Ref, Site};
use jiff::{Timestamp, tz::TimeZone};
use std::collections::BTreeMap;

/// Instruments that readings of a scope were taken with on the latest visit, with the latest of them.
#[must_use]
pub fn used(site: &Site, scope: &Ref) -> BTreeMap<InstrumentId, Timestamp> {
    let visit = site.visit();
    let mut used: BTreeMap<InstrumentId, Timestamp> = BTreeMap::new();
    for at in lines_in(site, scope) {
        let history = site.history(&site.plan().lines[at].id);
        for state in history.states(&visit) {
            for entry in history.in_state(site, &state) {
                let instrument = match &entry.what {
                    Do::Read(it) => &it.instrument,
                    Do::Insulate(it) => &it.instrument,
                    _ => continue,
                };
                let last = used.entry(instrument.clone()).or_insert(entry.at);
                *last = (*last).max(entry.at);
            }
        }
    }
    used
}

/// What is to be said of an instrument that several persons read with on the latest visit, each perhaps with
/// one of his own; nothing where a serial number says that it is one.
#[must_use]
pub fn one_or_two(site: &Site, instrument: &InstrumentId) -> Option<String> {
    let visit = site.visit();
    let persons = site.hands().persons(instrument, &visit);
    if persons.is_empty() {
        return None;
    }
    let many = match persons.len() {
        2 => "two meters".to_owned(),
        n => format!("{n} meters"),
    };
    Some(format!(
        "taken for {many}, read with by {}; no serial number says that it is one",
        all_of(&persons)
    ))
}

/// Names in a row, the last behind an "and".
fn all_of(names: &[&str]) -> String {
    match names.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// What is to be said of an instrument's calibration at a time; nothing when it is in date.
#[must_use]
pub fn calibration(site: &Site, instrument: &InstrumentId, at: Timestamp) -> Option<String> {
    let known = site.plan().instrument(instrument);
    let due = known.and_then(|it| it.due);
    let day = TimeZone::UTC.to_datetime(at).date();
    match due {
        None => Some(match known.and_then(|it| it.calibrated) {
            None => "calibration date not given".to_owned(),
            Some(on) => format!("calibrated {on}, until when not given"),
        }),
        Some(due) if due < day => Some(format!("calibration was due {due}, read on {day}")),
        Some(_) => None,
    }
}
