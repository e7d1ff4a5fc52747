//! Entries and designs for the tests of this layer and of storage.

use super::{Design, Do, Entry, Note, Ref, Zone};
use jiff::Timestamp;

/// A note on line L-1, so many seconds after 1970 began; its text is its id.
pub fn note(id: &str, second: i64) -> Entry {
    Entry {
        at: Timestamp::from_second(second).unwrap(),
        id: id.into(),
        by: "engineer A".into(),
        what: Do::Note(Note {
            of: Ref::Line("L-1".into()),
            text: id.into(),
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

/// A zone of this name.
pub fn zone(label: &str) -> Design {
    Design::Zone(Zone {
        label: label.into(),
        order: 1.0,
    })
}
