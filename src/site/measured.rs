//! When the figure of an entry was measured: a correction keeps the time of the reading that it corrects.

use super::entry::{Do, Entry};
use super::log::Log;
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
}

fn kind(entry: &Entry) -> std::mem::Discriminant<Do> {
    discriminant(&entry.what)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::{Note, Ref};

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
}
