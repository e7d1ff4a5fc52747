//! What else lies in the folder: journals that cannot be read, copies under other names.

use super::bench::*;
use jiff::Timestamp;
use linewright::storage::format1::write;
use linewright::storage::{Answer, Keeper, clock_behind, read_only};
use std::fs;

/// A journal of the site that holds one entry and was not closed.
fn killed_after(bench: &Bench, n: usize) -> linewright::site::Site {
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, n));
    drop(first);
    site
}

#[test]
fn a_journal_that_cannot_be_read_is_kept_and_said_and_the_site_opens_without_it() {
    let bench = Bench::new();
    killed_after(&bench, 1);
    // Larger than any that is read, and a folder where a journal would be.
    let large = bench.at(".journal-cccccccccccccccc-1");
    let file = fs::File::create(&large).unwrap();
    file.set_len(64 * 1024 * 1024 + 1).unwrap();
    fs::create_dir(bench.at(".journal-dddddddddddddddd-1")).unwrap();
    let opened = bench.open(1);
    assert!(holds(&opened.site, &note(0, 1)), "the other one is read");
    let words = said(&opened.notices).join("\n");
    for journal in ["cccccccccccccccc-1", "dddddddddddddddd-1"] {
        let wanted = format!("S.ron.journal-{journal} CANNOT BE READ (");
        assert!(words.contains(&wanted), "{words}");
    }
    assert!(words.contains("may be MISSING here"), "{words}");
    let (second, site) = store(opened);
    second.close(&site).unwrap();
    let looked = read_only(&linewright::storage::Disk, &bench.path()).unwrap();
    assert!(said(&looked.notices).join("\n").contains("CANNOT BE READ"));
    drop(store(bench.open(2)));
    assert!(large.exists(), "it is never removed");
}

#[test]
fn a_copy_that_a_sync_client_left_is_offered_joined_when_asked_for_and_stays() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    record(&mut first, &mut site, note(0, 2));
    first.close(&site).unwrap();
    // The copy has both notes, the file is as it was before them, and the journal is gone.
    let copy = bench.path().with_file_name("S (conflicted copy).ron");
    let bytes = write(&site).unwrap();
    fs::write(&copy, &bytes).unwrap();
    fs::write(bench.path(), FROZEN).unwrap();
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    // Neither another site nor anything else is a copy.
    let other = String::from_utf8(bytes.clone()).unwrap();
    let id = format!("id: {:?}", site.id().as_str());
    assert!(other.contains(&id));
    fs::write(
        bench.path().with_file_name("T.ron"),
        other.replace(&id, "id: \"s-other\""),
    )
    .unwrap();
    let opened = bench.open(1);
    assert_eq!(
        said(&opened.notices),
        [
            "\"S (conflicted copy).ron\" is a copy of this site and holds 2 entries that S.ron \
             lacks, no reading, by engineer A; the copy stays as it is, g j joins them"
        ]
    );
    assert!(!holds(&opened.site, &note(0, 1)), "never unasked");
    let (mut second, site) = store(opened);
    let (joined, new) = second.take_in(&site).unwrap();
    assert_eq!(new, 2);
    assert!(holds(&joined, &note(0, 2)));
    second.close(&joined).unwrap();
    assert_eq!(fs::read(&copy).unwrap(), bytes);
    assert_eq!(bench.open(2).notices, []);
}

/// The site file as it was before two notes, and a copy that has them, put there while the site is open.
fn copied_while_open(bench: &Bench) -> (linewright::storage::Store, linewright::site::Site) {
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    record(&mut first, &mut site, note(0, 2));
    first.close(&site).unwrap();
    let bytes = write(&site).unwrap();
    fs::write(bench.path(), FROZEN).unwrap();
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    let opened = bench.open(1);
    assert_eq!(opened.notices, []);
    fs::write(bench.path().with_file_name("S (2).ron"), bytes).unwrap();
    store(opened)
}

#[test]
fn a_copy_that_came_while_the_site_was_open_is_offered_before_it_is_joined() {
    let bench = Bench::new();
    let (ours, site) = copied_while_open(&bench);
    let (keeper, answers) = Keeper::spawn(ours, site).unwrap();
    keeper.take_in();
    keeper.take_in();
    keeper.join();
    let answers: Vec<Answer> = answers.iter().collect();
    let [
        Answer::Offered(notices),
        Answer::TakenIn(joined, 2),
        Answer::Saved,
        Answer::Saved,
        Answer::Closed,
    ] = answers.as_slice()
    else {
        panic!("{answers:?}")
    };
    assert_eq!(
        said(notices),
        [
            "\"S (2).ron\" is a copy of this site and holds 2 entries that S.ron lacks, no reading, by \
             engineer A; the copy stays as it is, g j joins them"
        ]
    );
    assert!(holds(joined, &note(0, 1)) && holds(joined, &note(0, 2)));
}

#[test]
fn a_clock_behind_the_newest_entry_is_said() {
    let bench = Bench::new();
    let site = bench.open(0).site;
    let newest = site.log().entries().iter().map(|it| it.at).max().unwrap();
    let after = |seconds| Timestamp::from_second(newest.as_second() + seconds).unwrap();
    assert_eq!(clock_behind(&site, after(0)), None);
    assert_eq!(clock_behind(&site, after(-60)), None);
    let words = clock_behind(&site, after(-3600)).unwrap().to_string();
    let newest = newest.strftime("%Y-%m-%d %H:%M UTC").to_string();
    assert!(
        words.contains(&format!("the newest entry is of {newest}")),
        "{words}"
    );
}
