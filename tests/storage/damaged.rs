//! Journals that came to harm.

use super::bench::*;
use std::fs;

#[test]
fn a_torn_end_is_dropped_and_told() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let bytes = fs::read(&journal).unwrap();
    fs::write(&journal, &bytes[..bytes.len() - 5]).unwrap();
    let opened = bench.open(1);
    assert!(holds(&opened.site, &note(0, 2)) && !holds(&opened.site, &note(0, 3)));
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("the last line of S.ron.journal"), "{words}");
    assert!(words.contains("2 entries recovered"), "{words}");
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
}

#[test]
fn a_damaged_line_costs_itself_alone_and_the_journal_is_put_aside() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(&journal, text.replace("note 2", "note 7")).unwrap();
    let opened = bench.open(1);
    assert!(holds(&opened.site, &note(0, 1)) && holds(&opened.site, &note(0, 3)));
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("is damaged: line 3 is lost"), "{words}");
    let names = ["aside-aaaaaaaaaaaaaaaa-1", "journal-bbbbbbbbbbbbbbbb-1"];
    assert_eq!(bench.beside(), names);
    drop(opened);
    let words = said(&bench.open(2).notices).join("\n");
    assert!(
        words.contains("aside-aaaaaaaaaaaaaaaa-1 was put aside"),
        "{words}"
    );
}

#[test]
fn a_journal_of_another_site_or_moved_from_another_opening_adds_nothing() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let text = fs::read(&journal).unwrap();
    fs::rename(&journal, bench.at(".journal-cccccccccccccccc-1")).unwrap();
    let opened = bench.open(1);
    assert!(!holds(&opened.site, &note(0, 1)));
    assert!(bench.at(".aside-cccccccccccccccc-1").exists());
    drop(opened);
    fs::write(&journal, text).unwrap();
    let other = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    fs::write(bench.path(), other).unwrap();
    let opened = bench.open(2);
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("belongs to another site"), "{words}");
    assert!(journal.exists());
    assert!(!holds(&opened.site, &note(0, 1)));
}
