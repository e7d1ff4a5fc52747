//! Which new entries may be recorded: one that the site file could not hold is refused before it
//! reaches the journal, or no later save would succeed.
//!
//! Never here: the disk.

use super::journal::json;
use super::replay::apply;
use crate::site::{Do, Entry, EntryId, Problem, Site, check, entry_problems};
use std::borrow::Cow;

/// The entries that must not be recorded on a site, each with its reason. Edits stand or fall
/// together; a problem that the site has already is not held against them, since an edit is what
/// mends it.
#[must_use]
pub fn unfit_entries(site: &Site, entries: &[Entry]) -> Vec<(EntryId, String)> {
    let (edits, others): (Vec<&Entry>, Vec<&Entry>) = entries
        .iter()
        .partition(|entry| matches!(entry.what, Do::Edit(_)));
    let mut out = Vec::new();
    // A reading does not change the drawing: it costs the same on a large site as on a small one.
    let mut after = Cow::Borrowed(site);
    if !edits.is_empty() {
        let mut edited = site.clone();
        apply(&mut edited, edits.iter().copied().cloned().collect());
        let known = check(site.elements(), site.log());
        let problems = check(edited.elements(), edited.log());
        let new: Vec<&Problem> = problems.iter().filter(|it| !known.contains(it)).collect();
        match new.first() {
            Some(first) => {
                let why = first.to_string();
                out.extend(edits.iter().map(|entry| (entry.id.clone(), why.clone())));
            }
            None => after = Cow::Owned(edited),
        }
    }
    // What could not be written down at all: a number that is none, a text too long to be read again.
    for entry in entries {
        if let Err(why) = json(entry) {
            out.push((entry.id.clone(), why.to_string()));
        }
    }
    for entry in others {
        if let Some(what) = entry_problems(after.elements(), entry).first() {
            out.push((entry.id.clone(), what.to_string()));
        }
    }
    out
}
