//! What the log tells beside readings and answers: a row an entry.
//!
//! Never here: an entry in words, which `review` has.

use super::meters::corrected_from;
use super::record_rows::ChangeRow;
use crate::review::{entry_words, label_of};
use crate::site::{CORES_OFF, CORES_ON, Design, Do, Entry, LineId, Ref, Site, in_order};

/// What the log tells beside readings and answers, in order.
pub(super) fn changes(site: &Site) -> Vec<ChangeRow> {
    let log = site.log();
    let mut entries: Vec<&Entry> = log
        .entries()
        .iter()
        .filter(|entry| {
            entry.corrects.is_some()
                || matches!(&entry.what, Do::Tick(it) if [CORES_OFF, CORES_ON].contains(&&*it.item))
                || matches!(
                    entry.what,
                    Do::Repair(_)
                        | Do::Decide(_)
                        | Do::Edit(_)
                        | Do::Void(_)
                        | Do::Note(_)
                        | Do::Seal(_)
                )
        })
        .collect();
    entries.sort_by(|a, b| in_order(a, b));
    entries
        .into_iter()
        .map(|entry| {
            let corrected = if entry.corrects.is_some() {
                "corrected to "
            } else {
                ""
            };
            let was = corrected_from(site, entry);
            let was = was.map_or_else(String::new, |was| format!(", was {was}"));
            ChangeRow {
                at: entry.at.to_string(),
                by: entry.by.clone(),
                line: log
                    .touched(entry)
                    .first()
                    .map(|line| label_of(site, &Ref::Line(line.clone()))),
                text: format!("{corrected}{}{was}", entry_words(site, entry)),
                counts: log.counts(&entry.id),
                drawn: drawn(site, entry),
            }
        })
        .collect()
}

/// What an entry drew, in a word: something new, on no line that was read before. Whatever changed what stood,
/// or what a reading is held against, is told by itself.
fn drawn(site: &Site, entry: &Entry) -> Option<&'static str> {
    let Do::Edit(edit) = &entry.what else {
        return None;
    };
    let read_before = |line: &LineId| {
        let log = site.log().of_line(line);
        let mut reads = log.iter().filter(|it| matches!(it.what, Do::Read(_)));
        reads.any(|it| in_order(it, entry).is_lt())
    };
    let is_new = edit.was.is_empty() && edit.undoes.is_none() && site.log().counts(&entry.id);
    let line = match &edit.now {
        Design::Loudspeaker(it) => Some(&it.line),
        Design::Junction(it) => Some(&it.line),
        Design::Device(it) => Some(&it.line),
        _ => None,
    };
    if !is_new || line.is_some_and(read_before) {
        return None;
    }
    match &edit.now {
        Design::Amplifier(_) => Some("amplifier"),
        Design::Output(_) => Some("output"),
        Design::Zone(_) => Some("zone"),
        Design::Line(_) => Some("line"),
        Design::Loudspeaker(_) => Some("loudspeaker"),
        Design::Junction(_) => Some("junction"),
        Design::Device(_) => Some("device"),
        Design::Type(_) => Some("type"),
        Design::Cable(_) => Some("cable"),
        _ => None,
    }
}
