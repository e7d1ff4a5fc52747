//! Tests: how a journal goes on in the next part.

use super::write::MOST_OF_A_HEAD;
use super::{From, JournalName, Journalist, parse_journal};
use crate::site::{Do, Entry, Note, Ref, WriterId};
use crate::storage::{Disk, Files};
use jiff::Timestamp;
use std::path::Path;
use std::sync::Arc;

fn made(path: &Path) {
    drop(Disk.create_new(path, None).unwrap());
}

fn note(n: usize) -> Entry {
    Entry {
        at: Timestamp::UNIX_EPOCH,
        id: format!("aaaaaaaaaaaaaaaa-{n}").as_str().into(),
        by: "engineer A".into(),
        what: Do::Note(Note {
            of: Ref::Site,
            text: "x".repeat(1_000),
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

fn begun(site: &Path) -> Journalist {
    let from = From {
        len: 0,
        sum: "00000000".into(),
    };
    let writer = WriterId::from("aaaaaaaaaaaaaaaa");
    let (mut journal, begun) = Journalist::begin(
        Arc::new(Disk),
        site,
        &"s-a".into(),
        &writer,
        ("engineer A", "desk"),
        Timestamp::UNIX_EPOCH,
        from,
    );
    begun.unwrap();
    journal.largest = MOST_OF_A_HEAD + 5_000;
    journal
}

/// Every entry of every part, and the longest part.
fn parts(site: &Path) -> (Vec<String>, u64) {
    let (mut ids, mut longest) = (Vec::new(), 0);
    for part in 1..100 {
        let name = JournalName {
            writer: "aaaaaaaaaaaaaaaa".into(),
            part,
        };
        let Ok(bytes) = Disk.read(&name.path(site, "journal"), u64::MAX) else {
            continue;
        };
        longest = longest.max(u64::try_from(bytes.len()).unwrap());
        let journal = parse_journal(&name, &bytes);
        assert!(journal.is_sound() && !journal.torn, "{name}");
        ids.extend(journal.entries.iter().map(|entry| entry.id.to_string()));
    }
    ids.sort();
    ids.dedup();
    (ids, longest)
}

#[test]
fn no_part_grows_past_what_is_read_even_when_everything_is_written_anew() {
    let folder = tempfile::tempdir().unwrap();
    let site = folder.path().join("S.ron");
    made(&site);
    let mut journal = begun(&site);
    for n in 0..200 {
        journal.record(&[note(n)]).unwrap();
    }
    let (ids, longest) = parts(&site);
    assert_eq!(ids.len(), 200);
    assert!(longest <= journal.largest, "{longest}");
    // Someone removes all of them: all is written anew.
    for name in Disk.list(folder.path()).unwrap() {
        if name != "S.ron" {
            Disk.remove(&folder.path().join(name)).unwrap();
        }
    }
    journal.look().unwrap();
    let (ids, longest) = parts(&site);
    assert_eq!(ids.len(), 200);
    assert!(longest <= journal.largest, "{longest}");
}

#[test]
fn a_full_part_that_cannot_be_followed_keeps_what_it_holds_in_mind() {
    let folder = tempfile::tempdir().unwrap();
    let site = folder.path().join("S.ron");
    made(&site);
    let mut journal = begun(&site);
    let mut n = 0;
    while journal.name().part == 1 {
        // What the next part would be called is taken: it cannot be made.
        let next = JournalName {
            part: 2,
            ..journal.name()
        };
        let in_the_way = next.path(&site, "journal");
        let _ = Disk.create_new(&in_the_way, None);
        if journal.record(&[note(n)]).is_err() {
            Disk.remove(&in_the_way).unwrap();
            break;
        }
        n += 1;
    }
    assert!(n > 10, "{n}");
    let first = JournalName {
        part: 1,
        ..journal.name()
    };
    Disk.remove(&first.path(&site, "journal")).unwrap();
    journal.record(&[note(n)]).unwrap();
    assert_eq!(parts(&site).0.len(), n + 1);
}
