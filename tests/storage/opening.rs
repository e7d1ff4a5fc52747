//! Opening, closing, killing.

use super::bench::*;
use jiff::Timestamp;
use linewright::site::WriterId;
use linewright::storage::format1::{read, write};
use linewright::storage::{Access, Disk, StoreError, Who, create, open, read_only, set_aside};
use std::fs;
use std::sync::Arc;

#[test]
fn an_opening_without_an_entry_leaves_the_file_as_it_was() {
    let bench = Bench::new();
    let (store, site) = store(bench.open(0));
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    store.close(&site).unwrap();
    assert_eq!(bench.text(), FROZEN);
    let opened = bench.open(1);
    assert_eq!(opened.notices, []);
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
}

#[test]
fn what_was_recorded_is_there_after_a_kill_and_is_told_once() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    let read = r#"{"Read":{"line":"P-02","state":"visit-1","value":{"Ohm":416.0},"step_ohm":1.0,
        "text":"416","instrument":"meter","hz":1000.0}}"#;
    let mut reading = entry(0, 2, serde_json::from_str(read).unwrap());
    reading.at = "2026-11-25T16:08:00Z".parse().unwrap();
    record(&mut first, &mut site, reading.clone());
    drop(first);
    assert_eq!(bench.text(), FROZEN);
    let opened = bench.open(1);
    assert_eq!(
        said(&opened.notices),
        ["2 entries recovered, the last P-02 416 ohm 16:08"]
    );
    assert!(holds(&opened.site, &reading));
    // Saved before anything else, and the dead journal is gone.
    let (second, _) = store(opened);
    let saved = read_only(&Disk, &bench.path()).unwrap();
    assert!(holds(&saved.site, &note(0, 1)));
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
    assert_eq!(linewright_site(&bench), site);
    drop(second);
    assert_eq!(bench.open(2).notices, []);
}

#[test]
fn who_comes_second_is_told_who_writes_and_sees_what_is_recorded() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    let second = bench.open(1);
    let Access::ReadsOnly { held_by } = &second.access else {
        panic!("two writers")
    };
    assert_eq!(held_by, "engineer A on LAPTOP-2 writes here since 13:58");
    // Once it has stood open for longer, with the day.
    let later = bench.open_at("2026-11-27T08:00:00Z", Arc::new(Disk), 1);
    let Access::ReadsOnly { held_by } = later.unwrap().access else {
        panic!("two writers")
    };
    assert!(
        held_by.ends_with(" writes here since 2026-11-25 13:58"),
        "{held_by}"
    );
    assert_eq!(second.notices, []);
    assert_eq!(second.site.elements(), site.elements());
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    let looked = read_only(&Disk, &bench.path()).unwrap();
    assert_eq!(looked.site.log(), site.log());
    assert_eq!(
        said(&looked.notices),
        [
            "1 entry not in the site file yet is taken from the journal, the last edit of Back stairs 16:07"
        ]
    );
    first.close(&site).unwrap();
    assert!(matches!(bench.open(1).access, Access::Writes(_)));
}

#[test]
fn a_writer_under_whose_name_no_journal_would_be_found_is_refused() {
    let bench = Bench::new();
    let who = Who {
        name: "engineer A".into(),
        machine: String::new(),
    };
    let writer = WriterId::from("../a");
    let now = Timestamp::UNIX_EPOCH;
    let why = open(Arc::new(Disk), &bench.path(), &who, now, &writer).unwrap_err();
    assert!(matches!(why, StoreError::Writer { .. }));
}

#[test]
fn closing_saves_and_the_next_opening_removes_the_journal() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    first.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
    assert_eq!(bench.text().as_bytes(), write(&site).unwrap());
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    assert_eq!(bench.open(1).notices, []);
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
}

#[test]
fn an_older_version_put_back_is_told_and_the_journal_kept() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    first.close(&site).unwrap();
    fs::write(bench.path(), FROZEN).unwrap();
    let opened = bench.open(1);
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("holds 1 entry that S.ron lacks"), "{words}");
    assert!(!holds(&opened.site, &note(0, 1)));
    assert_eq!(bench.beside().len(), 2);
}

#[test]
fn a_missing_site_file_is_told_with_what_its_journals_hold() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    drop(first);
    fs::remove_file(bench.path()).unwrap();
    let why = bench.open_through(Arc::new(Disk), 1).unwrap_err();
    assert!(matches!(
        why,
        StoreError::MissingButJournals { entries: 1, .. }
    ));
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    let why = bench.open_through(Arc::new(Disk), 1).unwrap_err();
    assert!(matches!(why, StoreError::Missing { .. }));
}

#[test]
fn a_refused_file_stays_byte_for_byte_and_so_do_its_journals() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    drop(first);
    let broken = FROZEN.replace("voice_alarm: true,", "voice_alarm: yes,");
    fs::write(bench.path(), &broken).unwrap();
    let why = bench
        .open_through(Arc::new(Disk), 1)
        .unwrap_err()
        .to_string();
    assert!(why.contains("S.ron:12:"), "{why}");
    assert_eq!(bench.text(), broken);
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
}

#[cfg(unix)]
#[test]
fn a_link_is_followed_and_the_mode_kept() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let bench = Bench::new();
    fs::set_permissions(bench.path(), fs::Permissions::from_mode(0o640)).unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let link = elsewhere.path().join("link.ron");
    symlink(bench.path(), &link).unwrap();
    let who = Who {
        name: "engineer A".into(),
        machine: String::new(),
    };
    let writer = WriterId::from(WRITERS[0]);
    let now = Timestamp::UNIX_EPOCH;
    let (mut ours, mut site) = store(open(Arc::new(Disk), &link, &who, now, &writer).unwrap());
    record(&mut ours, &mut site, note(0, 1));
    ours.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    for path in [bench.path(), bench.at(".journal-aaaaaaaaaaaaaaaa-1")] {
        let mode = fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }
}

#[test]
fn a_new_site_file_is_made_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("N.ron");
    let site = read("", FROZEN.as_bytes()).unwrap().site;
    create(&Disk, &path, &site).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), FROZEN);
    fs::write(&path, "mine").unwrap();
    let why = create(&Disk, &path, &site).unwrap_err();
    assert!(matches!(why, StoreError::Exists { .. }));
    assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
}

#[test]
fn a_site_set_aside_takes_its_journals_along() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    let aside = bench.path().with_file_name("T.ron");
    let why = set_aside(&Disk, &bench.path(), &aside).unwrap_err();
    assert!(matches!(why, StoreError::Held { .. }), "{why}");
    assert_eq!(bench.text(), FROZEN);
    // A crash: the note stands in the journal only.
    drop(first);
    set_aside(&Disk, &bench.path(), &aside).unwrap();
    assert_eq!(bench.beside(), [""; 0]);
    assert!(holds(&read_only(&Disk, &aside).unwrap().site, &note(0, 1)));
    // Another copy in the old place does not get it.
    fs::write(bench.path(), FROZEN).unwrap();
    let fresh = bench.open(1);
    assert_eq!(fresh.notices, []);
    assert!(!holds(&fresh.site, &note(0, 1)));
}
