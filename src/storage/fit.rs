//! Which new entries may be recorded: one that the site file could not hold is refused before it
//! reaches the journal, or no later save would succeed.
//!
//! Never here: the disk.

use super::replay::apply;
use crate::site::{Do, Entry, EntryId, Problem, Site, check, entry_problems};

/// The entries that must not be recorded on a site, each with its reason. Edits stand or fall
/// together; a problem that the site has already is not held against them, since an edit is what
/// mends it.
#[must_use]
pub fn unfit_entries(site: &Site, entries: &[Entry]) -> Vec<(EntryId, String)> {
    let (edits, others): (Vec<&Entry>, Vec<&Entry>) = entries
        .iter()
        .partition(|entry| matches!(entry.what, Do::Edit(_)));
    let mut after = site.clone();
    let mut out = Vec::new();
    if !edits.is_empty() {
        apply(&mut after, edits.iter().copied().cloned().collect());
        let known = check(site.elements(), site.log());
        let problems = check(after.elements(), after.log());
        let new: Vec<&Problem> = problems.iter().filter(|it| !known.contains(it)).collect();
        if let Some(first) = new.first() {
            let why = first.to_string();
            out.extend(edits.iter().map(|entry| (entry.id.clone(), why.clone())));
            after = site.clone();
        }
    }
    for entry in others {
        if let Some(what) = entry_problems(after.elements(), entry).first() {
            out.push((entry.id.clone(), what.to_string()));
        }
    }
    out
}
