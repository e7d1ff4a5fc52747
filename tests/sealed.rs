//! What is signed and stands: whoever is about to change it is told so before the change, not after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, hall};
use linewright::review::seals;
use linewright::session::{Event, Key};
use linewright::site::Ref;
use pen::{Pen, evening};
use screen::prompt;

/// Finished and signed, at the first line.
fn signed() -> Desk {
    let mut pen = Pen::on(hall());
    pen.finish();
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n");
    assert!(intact(&desk));
    desk.keys("\x1b/h1\n");
    desk
}

fn intact(desk: &Desk) -> bool {
    seals(desk.session.site())[0].is_intact()
}

#[test]
fn words_and_edits_of_the_building_say_first_that_they_break_the_seal() {
    for (keys, what) in [
        ("ecount", "a line changed"),
        ("a", "something added"),
        ("h", "another output tried out, which Enter takes"),
        ("jtap", "a repair"),
        ("gdwe", "a loudspeaker changed"),
    ] {
        let mut desk = signed();
        desk.keys(keys);
        assert!(
            prompt(&desk).contains("breaks the seal"),
            "{what}: {:?}",
            prompt(&desk)
        );
        assert!(intact(&desk), "{what}");
    }
    // What is found, and a note that comes later, is no part of what was signed.
    for keys in ["/", "n"] {
        let mut desk = signed();
        desk.keys(keys);
        assert!(!prompt(&desk).contains("seal"), "{}", prompt(&desk));
    }
    let mut desk = signed();
    desk.keys("nlater\n");
    assert!(intact(&desk));
}

#[test]
fn a_word_of_the_review_says_first_that_it_breaks_the_seal() {
    let mut desk = Desk::at(evening());
    desk.keys("gvlshort, N. N., 2026-12-01\n wanted so\nllocked room\n\n");
    desk.keys("N. Engineer, engineer\n");
    assert!(intact(&desk), "{}", desk.screen());
    desk.keys("gv").press(Key::Home).press(Key::Down);
    for (key, left) in [(" ", "\x1b"), ("l", "\x1b")] {
        desk.keys(key);
        assert!(
            prompt(&desk).contains("breaks the seal"),
            "{key}: {:?}",
            prompt(&desk)
        );
        desk.keys(left);
    }
    assert!(intact(&desk));
    desk.keys(" wanted\n");
    assert!(!intact(&desk));
    assert!(
        desk.message().contains("SEAL BROKEN: H-2"),
        "{}",
        desk.message()
    );
}

#[test]
fn at_sixty_columns_the_label_gives_way_and_not_the_warning() {
    let mut desk = signed();
    desk.resize(60, 20);
    desk.keys("jtap");
    assert!(
        prompt(&desk).contains("breaks the seal"),
        "{}",
        prompt(&desk)
    );
}

#[test]
fn a_key_that_changes_something_at_once_says_so_and_does_it_when_pressed_again() {
    let mut desk = signed();
    let count = desk.log_len();
    desk.keys("y");
    assert!(
        desk.message().starts_with("signed: this breaks the seal"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.log_len(), count);
    // Another key in between: it is asked anew.
    desk.press(Key::Down).keys("y");
    assert_eq!(desk.log_len(), count);
    desk.keys("y");
    assert!(desk.log_len() > count && !intact(&desk));
}

#[test]
fn a_signature_and_what_was_signed_are_taken_back_only_after_a_warning() {
    let mut desk = signed();
    let count = desk.log_len();
    desk.keys("u");
    assert_eq!(desk.log_len(), count, "asked first: {}", desk.message());
    desk.keys("u");
    assert_eq!(desk.log_len(), count + 1, "withdrawn: {}", desk.message());
}

#[test]
fn when_one_change_breaks_several_seals_it_is_said_how_many_and_which() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let mut desk = Desk::at(pen.site);
    for part in ["A1", "Hall"] {
        desk.keys("gvv").keys(part).keys("\n").press(Key::Home);
        desk.keys("\nN. Engineer, commissioning engineer\n");
        assert!(desk.message().contains("signed"), "{}", desk.message());
    }
    desk.keys("\x1b/h-1\n330\n\n");
    let said = desk.message().to_owned();
    let start = "2 SEALS BROKEN: H-1 changed since ";
    assert!(said.starts_with(start), "{said}");
    let of = said.trim_start_matches(start);
    assert!(
        of.contains("amplifier A1") && of.contains("zone Hall"),
        "{said}"
    );
    assert!(of.contains(" were signed; recorded "), "{said}");
    for (columns, rows) in [(80, 24), (160, 48)] {
        let screen = desk.resize(columns, rows).screen();
        let first = screen.lines().next().unwrap();
        assert!(first.contains("2 SEALS BROKEN"), "{first}");
    }
}

#[test]
fn a_hammered_u_withdraws_no_signature() {
    let mut desk = signed();
    desk.keys("u");
    assert!(desk.message().contains("withdraws"), "{}", desk.message());
    // The next presses of a hand that has not read that yet.
    for _ in 0..5 {
        desk.event(Event::Key(Key::Char('u'), desk.now));
        desk.wait();
    }
    assert!(
        intact(&desk) && desk.message().contains("withdraws"),
        "{}",
        desk.message()
    );
    desk.keys("u");
    assert!(
        desk.message().starts_with("taken back"),
        "{}",
        desk.message()
    );
}

#[test]
fn y_asks_about_the_seal_only_where_it_would_break_one() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Amplifier("A2".into()));
    let mut desk = Desk::at(pen.site);
    desk.keys("/h1\ny");
    assert!(!desk.message().contains("seal"), "{}", desk.message());
    desk.keys("\x1b/c1\ny");
    assert!(
        desk.message().contains("breaks the seal"),
        "{}",
        desk.message()
    );
}
