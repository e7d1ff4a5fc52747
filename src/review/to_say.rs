//! A word that is about to be said on a flagged thing: what it is of, and why it cannot be said.
//!
//! Never here: what a word means once it was said.

use super::left_open::left_open;
use crate::analysis::Analyst;
use crate::site::{Decide, Decision, Ref, Site, StateId};
use jiff::civil::Date;

/// A word on a thing as it stands: of a line in its latest state, of anything else on the latest
/// visit.
#[must_use]
pub fn decide(site: &Site, of: Ref, is: Decision) -> Decide {
    let state = match &of {
        Ref::Line(id) => site.history(id).state(),
        _ => StateId(site.visit().0),
    };
    Decide { of, state, is }
}

/// Why a snag cannot be due on a day; none where it can: who sees to it does so from today on.
#[must_use]
pub fn past_due(due: Date, today: Date) -> Option<String> {
    (due < today).then(|| format!("{due} is past: a date from {today} on was wanted"))
}

/// Why a word cannot be said on a thing as it stands; none where it can. What was not read is not accepted:
/// it is read, or left for later with a reason.
#[must_use]
pub fn unfit_word(site: &Site, analyst: &Analyst, of: &Ref, is: &Decision) -> Option<String> {
    let Ref::Line(id) = of else { return None };
    let at = site.plan().line(id)?;
    let result = analyst.line(at);
    let measured = result.is_flagged() && !result.is_unproven();
    let left = left_open(site, of).is_some();
    let unread = !result.is_read() && !result.question && !measured && !result.off && !left;
    (unread && *is == Decision::Accepted).then(|| {
        format!(
            "{} is not read: what was not done is not accepted; read it, or leave it for later with a \
             reason",
            site.plan().lines[at].label
        )
    })
}
