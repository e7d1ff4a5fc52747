//! Two copies joined that say different things of one item or of one reading: the review lists what was said by
//! number, and a number answers.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, hall};
use linewright::quantity::{DecimalSign, Watt, reading};
use linewright::session::{Event, Key};
use linewright::site::{Design, Do, Edit, EntryId, Read, Ref, Site};
use linewright::storage::{format1, merge};
use pen::Pen;
use screen::{down_to, has};

fn joined(base: &Site, ours: &Site, theirs: &Site) -> Site {
    let bytes = |site: &Site| format1::write(site).unwrap();
    let (base, ours, theirs) = (bytes(base), bytes(ours), bytes(theirs));
    let merged = merge(("base", &base), ("ours", &ours), ("theirs", &theirs));
    merged.unwrap().site
}

fn tap(site: &Site, watts: f64, writer: &str) -> Site {
    let mut pen = Pen::by(site.clone(), writer, 100);
    let of = Ref::Node("H-1/LS-2".into());
    let was = site.elements().standing(&of).to_vec();
    let mut now = was[0].1.clone();
    if let Design::Loudspeaker(it) = &mut now {
        it.tap_w = Watt(watts);
    }
    pen.write(Do::Edit(Edit {
        of,
        was,
        now,
        undoes: None,
    }));
    pen.site
}

fn tap_of(desk: &Desk) -> Option<f64> {
    let of = Ref::Node("H-1/LS-2".into());
    match desk.session.site().elements().settled(&of) {
        Some(Design::Loudspeaker(it)) => Some(it.tap_w.get()),
        _ => None,
    }
}

#[test]
fn of_two_designs_the_one_whose_number_is_typed_stands() {
    let base = hall();
    let ours = tap(&base, 3.0, "aaaaaaaaaaaaaaaa");
    let theirs = tap(&base, 12.0, "bbbbbbbbbbbbbbbb");
    let mut desk = Desk::at(joined(&base, &ours, &theirs));
    assert_eq!(tap_of(&desk), None);
    desk.keys("/h2\n417\n").rest();
    desk.keys("gv").rest();
    for words in [
        "1 tap_w 3.0, engineer A 14:01",
        "2 tap_w 12.0, engineer A 14:01",
        "settled by: one of them is chosen",
    ] {
        assert!(has(&desk, words), "{words}: {}", desk.screen());
    }
    desk.press(Key::Enter);
    assert!(desk.message().starts_with("which of them stands, 1 to 2"));
    assert!(
        has(&desk, "1 tap_w 3.0, engineer A 14:01"),
        "in sight while typed: {}",
        desk.screen()
    );
    // No number of one of them: it says which, and records nothing.
    let before = desk.log_len();
    desk.keys("3\n");
    assert_eq!(
        desk.message(),
        "found \"3\", the number of one of them was wanted, 1 to 2"
    );
    assert_eq!(desk.log_len(), before);
    desk.keys("\x082\n").rest();
    assert_eq!(tap_of(&desk), Some(12.0));
    assert_eq!(desk.session.site().elements().question_count(), 0);
    // It is no act that u takes back: the other design would stand, and no question.
    desk.keys("u").rest();
    assert_eq!(tap_of(&desk), Some(12.0));
    // Nor is what was done before it taken back instead.
    assert_eq!(desk.readings().len(), 1, "{:?}", desk.readings());
}

fn correct(site: &Site, of: &EntryId, text: &str, writer: &str) -> Site {
    let mut pen = Pen::by(site.clone(), writer, 200);
    let typed = reading(text, DecimalSign::Either).unwrap();
    let read = Read {
        line: "H-1".into(),
        state: pen.site.history(&"H-1".into()).state(),
        value: typed.value,
        step_ohm: typed.step,
        text: text.to_owned(),
        instrument: "meter".into(),
        hz: linewright::quantity::Hertz(1000.0),
        phase_deg: None,
        cut: None,
        note: None,
    };
    pen.write_with(Do::Read(read), None, Some(of.clone()));
    pen.site
}

#[test]
fn two_corrections_of_one_reading_stand_in_the_way_until_one_is_chosen() {
    let mut pen = Pen::on(hall());
    let first = pen.read("H-1", "344");
    let base = pen.site;
    let ours = correct(&base, &first, "334", "aaaaaaaaaaaaaaaa");
    let theirs = correct(&base, &first, "434", "bbbbbbbbbbbbbbbb");
    let mut desk = Desk::at(joined(&base, &ours, &theirs));
    assert_eq!(desk.session.site().log().rivals().len(), 1);
    desk.keys("gv").rest();
    assert!(
        has(&desk, "2 corrections of one entry differ"),
        "{}",
        desk.screen()
    );
    down_to(&mut desk, "2 corrections of one entry differ");
    desk.keys("\n1\n").rest();
    let log = desk.session.site().log();
    assert_eq!(log.rivals().len(), 0, "{}", desk.screen());
    let log = desk.session.site().log();
    let counts: Vec<&str> = log
        .entries()
        .iter()
        .filter(|entry| log.counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            Do::Read(it) => Some(it.text.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(counts, ["334"]);
}

#[test]
fn a_number_answers_the_list_that_was_shown_and_no_later_one() {
    let base = hall();
    let ours = tap(&base, 3.0, "aaaaaaaaaaaaaaaa");
    let theirs = tap(&base, 12.0, "bbbbbbbbbbbbbbbb");
    let both = joined(&base, &ours, &theirs);
    let mut desk = Desk::at(both.clone());
    desk.keys("gv").rest();
    desk.press(Key::Enter);
    // While the number is thought of, a third version comes in with the file.
    let mut third = Pen::by(base.clone(), "0000000000000000", 100);
    third.edit_run("H-1/LS-2", 9.0);
    let all = joined(&base, &both, &third.site);
    desk.event(Event::Replaced(Box::new(all)));
    desk.rest();
    desk.keys("1\n");
    assert_eq!(
        desk.message(),
        "the list has changed since it was shown: read it again, then its number, 1 to 3"
    );
    assert_eq!(tap_of(&desk), None);
    let listed = desk.screen();
    let longer = (1..=3).find(|n| has(&desk, &format!("{n} run_m 9.0")));
    desk.keys(&format!("{}\n", longer.expect(&listed))).rest();
    assert_eq!(tap_of(&desk), Some(6.0), "{}", desk.screen());
}
