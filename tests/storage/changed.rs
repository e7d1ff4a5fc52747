//! The site file changed by another hand while it is open.

use super::bench::*;
use linewright::storage::format1::{read, write};
use std::fs;

#[test]
fn a_file_that_gained_something_meanwhile_is_joined() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    let mut theirs = read("", FROZEN.as_bytes()).unwrap().site;
    theirs.apply(note(3, 1));
    fs::write(bench.path(), write(&theirs).unwrap()).unwrap();
    let joined = ours.checkpoint(&site).unwrap().unwrap();
    assert!(holds(&joined, &note(3, 1)) && holds(&joined, &edit(0, 1, STAIRS, "Back stairs")));
    assert_eq!(linewright_site(&bench), joined);
}

#[test]
fn an_older_or_another_site_put_in_its_place_is_not_overwritten() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    ours.checkpoint(&site).unwrap();
    record(&mut ours, &mut site, note(0, 2));
    fs::write(bench.path(), FROZEN).unwrap();
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("it lacks 1 entry"), "{why}");
    assert_eq!(bench.text(), FROZEN);
    let other = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    fs::write(bench.path(), &other).unwrap();
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("another site"), "{why}");
    fs::write(bench.path(), "(").unwrap();
    assert!(ours.checkpoint(&site).is_err());
    assert_eq!(bench.text(), "(");
}

#[test]
fn a_file_edited_by_hand_is_kept_aside_before_it_is_replaced() {
    let bench = Bench::new();
    let hand = FROZEN.replace("hand-over", "handover");
    fs::write(bench.path(), &hand).unwrap();
    let opened = bench.open(0);
    assert_eq!(
        said(&opened.notices),
        ["S.ron was changed outside linewright since 2026-11-25 15:00"]
    );
    let (mut ours, mut site) = store(opened);
    assert_eq!(bench.text(), hand);
    record(&mut ours, &mut site, note(0, 1));
    ours.checkpoint(&site).unwrap();
    let aside = fs::read_to_string(bench.at(".aside-aaaaaaaaaaaaaaaa-1")).unwrap();
    assert_eq!(aside, hand);
    assert_eq!(linewright_site(&bench), site);
}

#[test]
fn problems_that_the_file_must_not_have_stay_out_of_it() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, edit(0, 1, STAIRS, "rack"));
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("cannot be used"), "{why}");
    assert_eq!(bench.text(), FROZEN);
    drop(ours);
    // It can still be opened, told and put right.
    let opened = bench.open(1);
    let words = said(&opened.notices).join("\n");
    assert!(
        words.contains("1 entry recovered") && words.contains("cannot be used"),
        "{words}"
    );
    let (mut ours, mut site) = store(opened);
    let was = ("aaaaaaaaaaaaaaaa-1", "rack");
    record(&mut ours, &mut site, edit(1, 1, was, "Stairs"));
    ours.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
}
