//! Who did something on the latest visit, and when the first and the last of it was done.
//!
//! Never here: what was done.

use crate::site::{Do, Entry, Site};

/// Whether an entry belongs to the latest visit.
fn is_of_visit(site: &Site, entry: &Entry) -> bool {
    let visit = site.visit();
    let state = match &entry.what {
        Do::Read(it) => &it.state,
        Do::Insulate(it) => &it.state,
        Do::Listen(it) => &it.state,
        Do::Repair(it) => &it.after,
        Do::Tick(it) => return it.visit == visit,
        Do::Check(it) => return it.visit == visit,
        _ => return false,
    };
    let mut lines = site.log().touched(entry).into_iter();
    lines.any(|line| site.history(&line).states(&visit).contains(state))
}

/// Who read, listened, repaired or ticked on the latest visit, in the order they came in.
pub(super) fn persons(site: &Site) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for entry in site.log().rows() {
        if !out.contains(&entry.by) && site.log().counts(&entry.id) && is_of_visit(site, entry) {
            out.push(entry.by.clone());
        }
    }
    out
}

/// The times of the first and the last entry of the latest visit.
pub(super) fn span(site: &Site) -> Option<[String; 2]> {
    let entries = site.log().entries().iter();
    let times = entries
        .filter(|entry| site.log().counts(&entry.id) && is_of_visit(site, entry))
        .map(|entry| entry.at);
    let (first, last) = (times.clone().min()?, times.max()?);
    Some([first.to_string(), last.to_string()])
}
