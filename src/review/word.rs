//! A word on a flagged thing, and whether it says enough to settle it.
//!
//! Never here: what wants one.

use crate::site::{Decide, Decision, Do, Entry, LineId, Ref, Site, StateId};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use thiserror::Error;

/// A word on a thing: who said it, when, why.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// The decision.
    pub is: Decision,
    /// Who.
    pub by: String,
    /// When.
    pub at: Timestamp,
    /// The reason.
    pub why: Option<String>,
}

impl Word {
    /// In words: `accepted: wanted so`, `snag, owner N. N., by 2026-12-01: joint wet`.
    #[must_use]
    pub fn words(&self) -> String {
        let why = self
            .why
            .as_deref()
            .map_or_else(String::new, |why| format!(": {why}"));
        match &self.is {
            Decision::Repaired { .. } => format!("repaired{why}"),
            Decision::Accepted => format!("accepted{why}"),
            Decision::Snag { owner, due } => {
                let due = due.map_or_else(|| "no date".to_owned(), |due| format!("by {due}"));
                format!("snag, owner {owner}, {due}{why}")
            }
            Decision::Skipped => format!("skipped{why}"),
        }
    }

    /// Whether it says all that it must: a reason, and of a snag an owner and a date.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        let reason = self
            .why
            .as_deref()
            .is_some_and(|why| !why.trim().is_empty());
        match &self.is {
            Decision::Snag { owner, due } => !owner.trim().is_empty() && due.is_some(),
            Decision::Accepted | Decision::Skipped => reason,
            Decision::Repaired { .. } => true,
        }
    }
}

/// Why a sentence does not say a reason, who sees to it and by when.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum NotOwed<'a> {
    /// It has fewer than three parts.
    #[error("three parts are wanted: why, who sees to it, by when (2026-12-01)")]
    Parts,
    /// The reason or the name is empty.
    #[error("why, and who sees to it, want a word each before the date")]
    Words,
    /// It ends with this, which is no day.
    #[error("found {0:?} at the end, a date such as 2026-12-01 was wanted")]
    Day(&'a str),
}

/// A reason, who sees to it and by when, said in one sentence such as `locked room, N. N., 2026-12-01`: commas
/// may stand in the reason.
///
/// # Errors
/// Where the end is no day with a name before it.
pub fn owed(text: &str) -> Result<(&str, &str, Date), NotOwed<'_>> {
    let mut parts = text.rsplitn(3, ',').map(str::trim);
    let (Some(due), Some(owner), Some(why)) = (parts.next(), parts.next(), parts.next()) else {
        return Err(NotOwed::Parts);
    };
    if owner.is_empty() || why.is_empty() {
        return Err(NotOwed::Words);
    }
    let due: Date = due.parse().map_err(|_| NotOwed::Day(due))?;
    Ok((why, owner, due))
}

/// What a word on a line is about. One that skips is on what was not done, any other on what was
/// measured: neither takes the other's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum About {
    /// The load, or that the line is off; where there is no such word, one that skips is shown.
    Load,
    /// What was not listened to, or insulation that was not read.
    NotDone,
    /// A line of which nothing was read: the last word, whatever it is.
    Any,
}

/// The latest word on a thing in a state, of this sort.
pub(super) fn word_about<'a>(
    entries: &[&'a Entry],
    of: &Ref,
    state: &StateId,
    about: About,
) -> Option<(&'a Entry, &'a Decide)> {
    let latest = |fits: fn(&Decision) -> bool| {
        entries.iter().rev().find_map(|entry| match &entry.what {
            Do::Decide(decide)
                if decide.of == *of && decide.state == *state && fits(&decide.is) =>
            {
                Some((*entry, decide))
            }
            _ => None,
        })
    };
    match about {
        About::Load => latest(|is| !matches!(is, Decision::Skipped)).or_else(|| latest(|_| true)),
        About::NotDone => latest(|is| matches!(is, Decision::Skipped)),
        About::Any => latest(|_| true),
    }
}

/// The word of an entry. What was left for later in words that name who sees to it and a day that was not
/// past is on the snag list, whichever key it was said with.
#[must_use]
pub fn word(entry: &Entry, decide: &Decide) -> Word {
    let today = entry.at.to_zoned_datetime(TimeZone::UTC).date();
    let why = entry.why.as_deref();
    let owed = why.and_then(|why| owed(why).ok());
    let owed = owed.filter(|it| it.2 >= today);
    match owed.filter(|_| decide.is == Decision::Skipped) {
        Some((why, owner, due)) => {
            let is = Decision::Snag {
                owner: owner.to_owned(),
                due: Some(due),
            };
            Word {
                is,
                why: Some(why.to_owned()),
                ..as_said(entry, decide)
            }
        }
        None => as_said(entry, decide),
    }
}

/// The word of an entry, by the key it was said with.
pub(super) fn as_said(entry: &Entry, decide: &Decide) -> Word {
    Word {
        is: decide.is.clone(),
        by: entry.by.clone(),
        at: entry.at,
        why: entry.why.clone(),
    }
}

/// The latest word on a line in a state: on its load, else on what was not done.
#[must_use]
pub fn word_of_line(site: &Site, line: &LineId, state: &StateId) -> Option<Word> {
    let history = site.history(line);
    let (entry, decide) = word_about(
        history.entries(),
        &Ref::Line(line.clone()),
        state,
        About::Load,
    )?;
    Some(word(entry, decide))
}
