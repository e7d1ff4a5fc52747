//! What corrections do to a log: one keeps the time of the reading that it corrects, and two of one reading
//! that differ are rivals.

use super::entry::{Do, Entry};
use super::id::EntryId;
use super::log::{Log, in_order};
use std::collections::BTreeMap;
use std::mem::discriminant;

/// No figure is corrected so often: a ring of corrections (a hostile file) comes to an end.
const MOST_CORRECTIONS: usize = 1000;

impl Log {
    /// The entry that was made when a thing was read: of a correction that which it goes back to, else the
    /// entry itself. A correction at the desk is no second look at the rack.
    #[must_use]
    pub fn measured<'a>(&'a self, entry: &'a Entry) -> &'a Entry {
        let mut first = entry;
        for _ in 0..MOST_CORRECTIONS {
            let before = first.corrects.as_ref().and_then(|id| self.get(id));
            match before {
                Some(before) if kind(before) == kind(first) => first = before,
                _ => break,
            }
        }
        first
    }

    /// Corrections of one entry that count and do not say the same: by the entry corrected, those
    /// that correct it. Two engineers corrected it apart; one of them must be struck.
    #[must_use]
    pub fn rivals(&self) -> Vec<(&EntryId, Vec<&Entry>)> {
        let mut of: BTreeMap<&EntryId, Vec<&Entry>> = BTreeMap::new();
        for entry in self.entries() {
            if let Some(id) = &entry.corrects {
                of.entry(id).or_default().push(entry);
            }
        }
        of.retain(|_, entries| {
            entries.len() > 1 && {
                entries.retain(|entry| self.counts(&entry.id));
                entries.sort_by(|a, b| in_order(a, b));
                entries.iter().any(|entry| entry.what != entries[0].what)
            }
        });
        of.into_iter().collect()
    }
}

fn kind(entry: &Entry) -> std::mem::Discriminant<Do> {
    discriminant(&entry.what)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::{Note, Ref, Void};

    fn note(id: &str, second: i64, corrects: Option<&str>) -> Entry {
        Entry {
            at: jiff::Timestamp::from_second(second).unwrap(),
            id: id.into(),
            by: "engineer A".into(),
            what: Do::Note(Note {
                of: Ref::Site,
                text: id.into(),
            }),
            act: None,
            row: None,
            corrects: corrects.map(Into::into),
            why: None,
        }
    }

    #[test]
    fn a_correction_of_a_correction_goes_back_to_the_first_and_a_ring_comes_to_an_end() {
        let mut log = Log::default();
        let entries = [
            note("w-1", 1, None),
            note("w-2", 2, Some("w-1")),
            note("w-3", 3, Some("w-2")),
            note("r-1", 4, Some("r-2")),
            note("r-2", 5, Some("r-1")),
        ];
        for entry in &entries {
            log.add(entry.clone());
        }
        assert_eq!(log.measured(&entries[2]).id.as_str(), "w-1");
        assert_eq!(log.measured(&entries[0]).id.as_str(), "w-1");
        assert!(log.measured(&entries[3]).id.as_str().starts_with("r-"));
    }

    #[test]
    fn two_corrections_of_one_reading_that_differ_are_rivals_until_one_is_struck() {
        let mut log = Log::default();
        log.add(note("w-1", 1, None));
        log.add(note("a-1", 2, Some("w-1")));
        log.add(note("b-1", 3, Some("w-1")));
        let rivals = log.rivals();
        assert_eq!(rivals.len(), 1);
        assert_eq!(rivals[0].0, &EntryId::from("w-1"));
        assert_eq!(rivals[0].1.len(), 2);
        log.add(Entry {
            what: Do::Void(Void {
                of: vec!["a-1".into()],
            }),
            ..note("a-2", 4, None)
        });
        assert!(log.rivals().is_empty());
    }
}
