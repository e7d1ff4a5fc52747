//! The reading that was taken back in a state of a line in which no other reading stands.
//!
//! Never here: whether another stands.

use crate::site::{Do, Entry, LineId, Site, StateId, in_order};

/// The text of the last reading of a state that was struck.
pub(super) fn struck(site: &Site, line: &LineId, state: &StateId) -> Option<String> {
    let log = site.log();
    let mut struck: Vec<&Entry> = log
        .entries()
        .iter()
        .filter(|entry| {
            matches!(&entry.what, Do::Read(read)
                if read.line == *line && read.state == *state && read.cut.is_none())
                && !log.counts(&entry.id)
        })
        .collect();
    struck.sort_by(|a, b| in_order(a, b));
    struck.last().and_then(|entry| match &entry.what {
        Do::Read(read) => Some(read.text.clone()),
        _ => None,
    })
}
