//! A snag of an earlier visit. A word holds for the state it was said in and a new visit begins a new
//! state, yet what was left open stays open: until a word of this visit says what became of it, or the
//! line was repaired and read since; of what was only left for later, until it was done.
//!
//! Never here: who is told, drawing.

use super::word::{Word, word};
use crate::site::{Decide, Decision, Do, Entry, Ref, Site, VisitId, in_order};
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// How the words of such a thing begin.
const LEFT_OPEN: &str = "left open on ";

/// What was left open, and what was said of it since.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOpen {
    /// The visit on which it was.
    pub visit: VisitId,
    /// The snag.
    pub snag: Word,
    /// The latest word of this visit on the same thing.
    pub since: Option<Word>,
    /// Its date is past by the last entry of the site.
    pub overdue: bool,
}

impl LeftOpen {
    /// In words, the visit's label given: `left open on hand-over: driver dead; owner N. N., due
    /// 2026-12-01, OVERDUE`.
    #[must_use]
    pub fn words(&self, visit: &str) -> String {
        let why = self.snag.why.as_deref().unwrap_or("no reason given");
        let (owner, due) = match &self.snag.is {
            Decision::Snag { owner, due } => (owner.as_str(), *due),
            _ => ("", None),
        };
        let due = due.map_or_else(|| "no date".to_owned(), |due| format!("due {due}"));
        let overdue = if self.overdue { ", OVERDUE" } else { "" };
        format!("{LEFT_OPEN}{visit}: {why}; owner {owner}, {due}{overdue}")
    }

    /// This visit did not say yet what became of it.
    #[must_use]
    pub fn is_open(&self) -> bool {
        !self.since.as_ref().is_some_and(Word::is_whole)
    }
}

/// The last word on a thing that is more than left for later, among these entries, on this visit or before it.
fn last_word<'a>(
    site: &Site,
    entries: &[&'a Entry],
    of: &Ref,
    is_of_this: bool,
) -> Option<(&'a Entry, &'a Decide)> {
    let this = site.visit();
    entries.iter().rev().find_map(|entry| match &entry.what {
        Do::Decide(decide) if decide.of == *of && word(entry, decide).is != Decision::Skipped => {
            let now = site.visit_of(&decide.state) == this.as_str();
            (now == is_of_this).then_some((*entry, decide))
        }
        _ => None,
    })
}

/// Whether a line was repaired after an entry and read at the rack after that.
fn is_mended_since(site: &Site, entries: &[&Entry], snag: &Entry) -> bool {
    let mut later = entries.iter().filter(|it| in_order(it, snag).is_gt());
    let is_repair = |it: &&&Entry| matches!(it.what, Do::Repair(_));
    let is_read = |it: &Entry| matches!(&it.what, Do::Read(read) if read.is_rack(site.test_hz()));
    later.by_ref().find(is_repair).is_some() && later.any(|it| is_read(it))
}

/// Whether all is done on this visit that can be left for later: a line is read, each of its loudspeakers
/// listened to, and its insulation read where that is asked for.
fn is_done_since(site: &Site, of: &Ref) -> bool {
    let Ref::Line(id) = of else { return false };
    let Some(at) = site.plan().line(id) else {
        return false;
    };
    let (line, history) = (&site.plan().lines[at], site.history(id));
    let state = history.state();
    let answers = history.answers(site, &state);
    let told = answers.iter().filter(|(_, it)| it.gives.tells()).count();
    history.rack(site, &state).is_some()
        && told >= line.loudspeakers()
        && !(line.insulation_asked && history.insulation(site, &state).is_empty())
}

/// The day of the last entry: whoever looks on a later day sees no other record for it.
fn last_day(site: &Site) -> Option<Date> {
    let last = site.log().entries().iter().map(|entry| entry.at).max()?;
    Some(last.to_zoned_datetime(TimeZone::UTC).date())
}

/// What was left open of a line or an output on an earlier visit; none where nothing was, or where it was
/// repaired and read since.
#[must_use]
pub fn left_open(site: &Site, of: &Ref) -> Option<LeftOpen> {
    if site.visits().len() < 2 {
        return None;
    }
    let entries = match of {
        Ref::Line(id) => site.history(id).entries().to_vec(),
        _ => site.log().of_no_line(),
    };
    let (entry, decide) = last_word(site, &entries, of, false)?;
    let snag = word(entry, decide);
    let Decision::Snag { due, .. } = snag.is else {
        return None;
    };
    // A repair settles what was measured, and not what was left for later.
    let settled = match decide.is {
        Decision::Skipped => is_done_since(site, of),
        _ => is_mended_since(site, &entries, entry),
    };
    if settled {
        return None;
    }
    let since = last_word(site, &entries, of, true);
    let overdue = due.is_some_and(|due| last_day(site).is_some_and(|day| due < day));
    Some(LeftOpen {
        visit: VisitId(site.visit_of(&decide.state).to_owned()),
        snag,
        since: since.map(|(entry, decide)| word(entry, decide)),
        overdue,
    })
}
