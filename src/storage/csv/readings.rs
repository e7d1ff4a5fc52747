//! Readings CSV -> entries of the log, all or none.
//!
//! Cells become rows as understood, in their order (`reading_rows.rs`); here rows get their state and their
//! id. Never here: the clock (time comes in), the file on disk.

use super::log::LogRows;
use super::problem::{RowProblem, Warning};
use super::reading_columns::{Row, WhatRow};
use super::reading_rows::read_rows;
use crate::quantity::{Ohm, Value};
use crate::site::{
    Check, Do, Entry, EntryId, Insulate, LineId, Listen, Log, Read, Repair, Site, StateId, VisitId,
    Void, short_hash, whole_second,
};
use jiff::Timestamp;
use std::collections::{HashMap, HashSet};

/// What a file of readings comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// To be recorded, in the order of time, then row.
    pub entries: Vec<Entry>,
    /// Rows that are on the site already.
    pub skipped: usize,
    /// What there is to say beside.
    pub warnings: Vec<Warning>,
}

/// Reads a CSV of readings for a site. `now` and `by` stand in for blank cells of `when` and
/// `person`; `next_id` names entries of rows without `when`. A row with `when` is named by a hash
/// of what it says, so that the same row twice, or on two copies of a site, is one entry. A row without, of
/// the same line, place, value, instrument and visit as one without that another run recorded, is that
/// one: it confirms nothing.
///
/// # Errors
/// Every row that is wrong, by line; then no entry is given.
pub fn read_readings(
    file_name: &str,
    bytes: &[u8],
    site: &Site,
    now: Timestamp,
    by: &str,
    next_id: &mut dyn FnMut() -> EntryId,
) -> Result<Recorded, Vec<RowProblem>> {
    let log = LogRows::of(site);
    let now = whole_second(now);
    let (rows, known, mut warnings) = read_rows(file_name, bytes, (site, now), &log)?;

    let mut act = String::new();
    for row in &rows {
        act.push_str(&row.facts);
        act.push('\n');
    }
    let act = format!("csv-{}", short_hash(act.as_bytes()));

    // Entries are laid over a copy of the log as they come, so that a repair is seen by the rows
    // behind it.
    let mut ahead = Ahead {
        site,
        log: site.log().clone(),
        visit: site.visit(),
    };
    let mut in_file: HashMap<String, EntryId> = HashMap::new();
    let mut out = Vec::new();
    let mut taken: HashSet<EntryId> = HashSet::new();
    let (mut skipped, mut struck) = (known, 0);
    for row in rows {
        let stored = match row.at {
            None => ahead.untimed_again(&row, &act, &mut taken),
            Some(_) => None,
        };
        if let Some(stored) = stored {
            skipped += 1;
            struck += usize::from(!ahead.log.counts(&stored));
            if let Some(own) = &row.own_id {
                in_file.insert(own.clone(), stored);
            }
            continue;
        }
        let id = match row.at {
            Some(_) => EntryId(format!("c-{}", short_hash(row.facts.as_bytes()))),
            None => next_id(),
        };
        if let Some(own) = &row.own_id {
            in_file.insert(own.clone(), id.clone());
        }
        if row.at.is_some() && ahead.log.get(&id).is_some() {
            skipped += 1;
            struck += usize::from(!ahead.log.counts(&id));
            continue;
        }
        let corrects = row.corrects.as_ref().map(|id| {
            in_file
                .get(id.as_str())
                .cloned()
                .unwrap_or_else(|| id.clone())
        });
        let entry = Entry {
            at: row.at.unwrap_or(now),
            id,
            by: row.person.clone().unwrap_or_else(|| by.to_owned()),
            act: Some(act.clone()),
            row: Some(row.number),
            why: match (&row.is, &corrects) {
                (WhatRow::Repair { .. } | WhatRow::Void, _) | (_, Some(_)) => row.note.clone(),
                _ => None,
            },
            what: ahead.what(&row, corrects.as_ref()),
            corrects: match row.is {
                WhatRow::Void => None,
                _ => corrects,
            },
        };
        taken.insert(entry.id.clone());
        ahead.log.add(entry.clone());
        out.push(entry);
    }
    if struck > 0 {
        warnings.push(Warning {
            file: file_name.to_owned(),
            line: None,
            column: None,
            what: format!(
                "{struck} of the rows that are on the site already are struck or corrected there, and stay so"
            ),
        });
    }
    Ok(Recorded {
        entries: out,
        skipped,
        warnings,
    })
}

/// The site with the entries so far.
struct Ahead<'a> {
    site: &'a Site,
    log: Log,
    visit: VisitId,
}

impl Ahead<'_> {
    fn what(&self, row: &Row, corrects: Option<&EntryId>) -> Do {
        let old = corrects.and_then(|id| self.log.get(id)).map(|e| &e.what);
        // A correction stays in the state of what it corrects, unless it says another visit.
        let state = || match (old, &row.visit) {
            (Some(old), None) => state_of(old)
                .filter(|_| old.line() == Some(&row.line))
                .cloned(),
            _ => None,
        };
        let visit = row.visit.clone().unwrap_or_else(|| self.visit.clone());
        let state = || state().unwrap_or_else(|| self.state_at(&row.line, &visit, row.at));
        let note = row.note.clone().filter(|_| corrects.is_none());
        let line = row.line.clone();
        match &row.is {
            WhatRow::Read {
                value,
                hz,
                phase,
                cut,
            } => Do::Read(Read {
                line,
                state: state(),
                value: value.value,
                step_ohm: self.coarser(row, value),
                text: row.text.clone(),
                instrument: row.instrument.clone(),
                hz: hz.unwrap_or_else(|| self.site.test_hz()),
                phase_deg: *phase,
                cut: cut.clone(),
                note,
            }),
            WhatRow::Insulate { value, leg, test_v } => Do::Insulate(Insulate {
                line,
                state: state(),
                value: *value,
                text: row.text.clone(),
                instrument: row.instrument.clone(),
                test_v: *test_v,
                leg: *leg,
                after_s: None,
                note,
            }),
            WhatRow::Check { known, value } => Do::Check(Check {
                visit: match (old, &row.visit) {
                    (Some(Do::Check(old)), None) => old.visit.clone(),
                    _ => visit,
                },
                instrument: row.instrument.clone(),
                known_ohm: *known,
                value: match value.value {
                    Value::Ohm(ohm) => ohm,
                    _ => Ohm(0.0),
                },
                step_ohm: self.coarser(row, value),
                text: row.text.clone(),
                note,
            }),
            WhatRow::Listen { at, gives, tone } => Do::Listen(Listen {
                line,
                state: state(),
                at: at.clone(),
                gives: *gives,
                tone: tone.clone(),
                note,
            }),
            WhatRow::Repair { place } => Do::Repair(Repair {
                after: match (old, &row.visit) {
                    (Some(Do::Repair(old)), None) if old.line == line => old.after.clone(),
                    _ => self.state_at(&line, &visit, row.at),
                },
                line,
                what: row.text.clone(),
                place: place.clone(),
                cause: None,
            }),
            WhatRow::Void => Do::Void(Void {
                of: corrects.into_iter().cloned().collect(),
            }),
        }
    }

    /// The entry that a row without a time is once more: one that an earlier run made of this row of this
    /// very file, or of one that says the same of the line as it is now. Each stands for one row (`taken`).
    fn untimed_again(&self, row: &Row, act: &str, taken: &mut HashSet<EntryId>) -> Option<EntryId> {
        let own_visit = row.visit.as_ref().unwrap_or(&self.visit);
        let untimed = |entry: &&Entry| {
            let of_csv = entry
                .act
                .as_deref()
                .is_some_and(|it| it.starts_with("csv-"));
            of_csv
                && entry.row.is_some()
                && !entry.id.as_str().starts_with("c-")
                && !taken.contains(&entry.id)
        };
        let same_row = |entry: &&Entry| {
            entry.act.as_deref() == Some(act)
                && entry.row == Some(row.number)
                && self
                    .visit_of(&entry.what)
                    .is_none_or(|visit| visit == *own_visit)
        };
        let known = self.log.entries().iter().filter(untimed).find(same_row);
        let known = known.or_else(|| {
            if row.corrects.is_some() || matches!(row.is, WhatRow::Void | WhatRow::Repair { .. }) {
                return None;
            }
            let what = self.what(row, None);
            let mut same = self.log.entries().iter().filter(untimed);
            same.find(|entry| {
                entry.what == what && entry.corrects.is_none() && self.log.counts(&entry.id)
            })
        });
        let id = known?.id.clone();
        taken.insert(id.clone());
        Some(id)
    }

    /// The visit that something was done on; none where it belongs to no visit.
    fn visit_of(&self, what: &Do) -> Option<VisitId> {
        let mut state = match what {
            Do::Check(it) => return Some(it.visit.clone()),
            Do::Repair(it) => &it.after,
            other => state_of(other)?,
        };
        for _ in 0..self.log.entries().len() {
            match self.log.get(&state.as_str().into()).map(|it| &it.what) {
                Some(Do::Repair(repair)) => state = &repair.after,
                _ => break,
            }
        }
        Some(VisitId(state.0.clone()))
    }

    /// The larger of the last digit and the instrument's own step; an open or a short has none.
    fn coarser(&self, row: &Row, value: &crate::quantity::TypedReading) -> Ohm {
        let own = self
            .site
            .plan()
            .instrument(&row.instrument)
            .and_then(|instrument| instrument.step_ohm)
            .map_or(0.0, Ohm::get);
        match value.value {
            Value::Ohm(_) => Ohm(value.step.get().max(own)),
            _ => Ohm(0.0),
        }
    }

    /// The state of a line in a visit at a time: repairs that were made later have not begun theirs.
    fn state_at(&self, line: &LineId, visit: &VisitId, at: Option<Timestamp>) -> StateId {
        let mut states = vec![StateId(visit.0.clone())];
        for entry in self.log.of_line(line) {
            if let Do::Repair(repair) = &entry.what
                && at.is_none_or(|at| entry.at <= at)
                && states.contains(&repair.after)
            {
                states.push(StateId(entry.id.0.clone()));
            }
        }
        states.pop().unwrap_or_default()
    }
}

fn state_of(what: &Do) -> Option<&StateId> {
    match what {
        Do::Read(it) => Some(&it.state),
        Do::Insulate(it) => Some(&it.state),
        Do::Listen(it) => Some(&it.state),
        _ => None,
    }
}
