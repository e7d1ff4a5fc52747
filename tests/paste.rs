//! Readings pasted: they begin at the line under the cursor, which lines they are for is said before
//! anything is recorded, and so is what a meter on a line that is not OFF meets.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, DiskIs, hall};
use linewright::session::{Event, Key};

fn paste(desk: &mut Desk, rows: &str) {
    desk.event(Event::Paste(rows.into()));
}

#[test]
fn a_paste_begins_at_the_line_under_the_cursor_read_or_not_and_goes_on_along_the_unread_ones() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n").keys("/h-2\n410\n");
    // Back on H-1, which is read: somebody read it again, and the two after it that are not.
    desk.keys("/h-1\n");
    paste(&mut desk, "340\r561\r548\r");
    assert!(
        desk.message()
            .starts_with("3 readings pasted: H-1, L-1, L-2; read already: H-1."),
        "{}",
        desk.message()
    );
    assert_eq!(desk.on(), "H-1");
    assert_eq!(
        desk.readings(),
        ["H-1 336", "H-2 410"],
        "nothing before Enter"
    );
    desk.press(Key::Enter);
    let readings = desk.readings();
    for reading in ["H-1 340", "L-1 561", "L-2 548"] {
        assert!(readings.contains(&reading.to_owned()), "{readings:?}");
    }
    // On to the next that waits, as behind readings that are typed.
    assert_eq!(desk.on(), "B-1");
}

#[test]
fn the_lines_of_a_paste_are_listed_and_never_look_like_a_range() {
    let mut desk = Desk::at(hall());
    paste(&mut desk, "336\r410\r561\r548\r275\r498\r");
    let said = desk.message();
    assert!(
        said.starts_with("6 readings pasted: H-1, H-2, 3 more, C-1."),
        "{said}"
    );
    assert!(!said.contains(" to "), "{said}");
    for (columns, rows) in [(60, 20), (80, 24)] {
        let screen = desk.resize(columns, rows).screen();
        assert!(screen.contains("H-1, H-2, 3 more, C-1."), "{screen}");
    }
}

#[test]
fn a_paste_keeps_the_caution_of_a_reading_that_is_typed() {
    // Before the first reading of all.
    let mut desk = Desk::at(hall());
    paste(&mut desk, "336\r410\r");
    assert!(
        desk.message().ends_with("lines proved dead?"),
        "{}",
        desk.message()
    );
    // One line is ticked OFF, the others are not: typed or pasted, that is said.
    let mut desk = Desk::at(hall());
    desk.keys("/h-1\n").keys("gr");
    while !desk.screen().contains(" H-1 both cores off") {
        desk.press(Key::Down);
    }
    desk.keys(" gs").keys("/h-2\n").keys("4");
    let typed = desk.message().to_owned();
    assert!(
        typed.contains("H-2 is not ticked OFF: no meter on it"),
        "{typed}"
    );
    desk.keys("\x1b");
    paste(&mut desk, "410\r561\r");
    let said = desk.message();
    assert!(
        said.contains("H-2 and 1 more are not ticked OFF: no meter there before g r"),
        "{said}"
    );
    desk.keys("\x1b").keys("/h-1\n");
    paste(&mut desk, "336\r");
    assert!(!desk.message().contains("not ticked"), "{}", desk.message());
    // What the disk has not answered is typed, shown and kept all the same.
    desk.disk = DiskIs::Slow;
    desk.press(Key::Enter);
    assert_eq!(desk.session.waiting().len(), 1);
}

#[test]
fn on_a_row_of_the_review_a_paste_is_of_its_line() {
    let mut desk = Desk::at(hall());
    desk.keys("gv");
    while !desk.screen().contains(" L-2>") && !desk.screen().contains(" L-2 ") {
        desk.press(Key::Down);
    }
    desk.press(Key::Home);
    let view = |desk: &Desk| {
        let rows = desk.session.view().tree.into_iter();
        rows.filter(|row| row.cursor)
            .map(|row| row.line.text())
            .collect::<String>()
    };
    while !view(&desk).contains("L-2") {
        desk.press(Key::Down);
    }
    paste(&mut desk, "548\r");
    assert_eq!(desk.on(), "L-2");
    desk.keys("\x1bgg");
    assert!(view(&desk).contains("L-2"), "{}", desk.screen());
    assert!(desk.screen().contains("review"));
}
