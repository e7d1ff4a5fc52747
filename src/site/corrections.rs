//! What corrections do to a log: one keeps the time of the reading that it corrects, and two of one reading
//! that differ are rivals.

use super::clock::in_order;
use super::entry::{Do, Entry};
use super::id::EntryId;
use super::log::Log;
use std::collections::{BTreeMap, BTreeSet};
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

    /// Corrections that count of one entry that do not say the same: by the entry they go back to. Two
    /// engineers corrected it apart; what all but one say must be struck.
    #[must_use]
    pub fn rivals(&self) -> Vec<(&EntryId, Vec<&Entry>)> {
        self.rivals_among(self.entries().iter())
    }

    /// The same among some entries.
    #[must_use]
    pub fn rivals_among<'a>(
        &'a self,
        entries: impl IntoIterator<Item = &'a Entry>,
    ) -> Vec<(&'a EntryId, Vec<&'a Entry>)> {
        let mut of: BTreeMap<&EntryId, Vec<&Entry>> = BTreeMap::new();
        for entry in entries {
            if entry.corrects.is_some() && self.counts(&entry.id) {
                of.entry(&self.measured(entry).id).or_default().push(entry);
            }
        }
        of.retain(|_, entries| {
            entries.sort_by(|a, b| in_order(a, b));
            entries.iter().any(|entry| entry.what != entries[0].what)
        });
        of.into_iter().collect()
    }

    /// What must be struck for a correction to stand alone: all others of what it goes back to, but for those
    /// that it takes the place of itself. A correction that was corrected would count again.
    #[must_use]
    pub fn beside(&self, chosen: &Entry) -> Vec<EntryId> {
        let measured = &self.measured(chosen).id;
        let mut own: BTreeSet<&EntryId> = BTreeSet::new();
        let mut at = Some(&chosen.id);
        while let Some(id) = at.filter(|id| own.insert(id)) {
            at = self.get(id).and_then(|entry| entry.corrects.as_ref());
        }
        let others = self.entries().iter().filter(|it| {
            it.corrects.is_some() && !own.contains(&it.id) && self.measured(it).id == *measured
        });
        others.map(|it| it.id.clone()).collect()
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

    #[test]
    fn a_chain_of_corrections_is_the_rival_of_another_and_goes_whole() {
        let mut log = Log::default();
        for entry in [
            note("w-1", 1, None),
            note("a-1", 2, Some("w-1")),
            note("a-2", 3, Some("a-1")),
            note("b-1", 4, Some("w-1")),
        ] {
            log.add(entry);
        }
        let rivals = log.rivals();
        let told: Vec<&str> = rivals[0].1.iter().map(|it| it.id.as_str()).collect();
        assert_eq!((rivals.len(), told), (1, vec!["a-2", "b-1"]));
        let beside = |id: &str| log.beside(log.get(&id.into()).unwrap());
        assert_eq!(beside("a-2"), ["b-1".into()]);
        assert_eq!(beside("b-1"), ["a-1".into(), "a-2".into()]);
    }
}
