//! When a thing was done, and when it was told: a tick that comes after the readings it should come before, a
//! figure corrected long after it was read, a tick of another day.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, assessed, hall};
use jiff::SignedDuration;
use linewright::report::{markdown, record};
use linewright::session::Key;
use linewright::site::Do;
use screen::{down_to, panel, row};

#[test]
fn a_tick_that_came_after_the_readings_says_so_at_once_on_the_list_and_in_the_record() {
    let mut desk = Desk::at(hall());
    // One is ticked in time, then three lines are read, from 14:07 on.
    desk.keys("gr \x1b/h1\n336\n410\n561\n");
    desk.now += SignedDuration::from_mins(10);
    desk.keys("gr");
    down_to(&mut desk, "lines proved dead");
    desk.keys(" ");
    assert!(
        desk.message()
            .ends_with("lines proved dead; ticked after 3 readings (first 14:07)"),
        "{}",
        desk.message()
    );
    assert!(desk.session.message().alarm);
    desk.press(Key::Home);
    assert!(
        row(&desk).starts_with(">= 14:07 occupants"),
        "{}",
        row(&desk)
    );
    down_to(&mut desk, "lines proved dead");
    assert!(
        row(&desk).starts_with(">~ late  lines proved"),
        "{}",
        row(&desk)
    );
    assert!(
        panel(&desk).contains("Ticked 14:17 by engineer A, after 3 readings (first 14:07)."),
        "{}",
        desk.screen()
    );
    // Of a line's own row those of that line count, and of a known resistor all.
    down_to(&mut desk, "5 lines: both cores off");
    desk.keys(" ");
    assert!(
        desk.message()
            .contains("ticked after 3 readings (first 14:07)"),
        "{}",
        desk.message()
    );
    desk.press(Key::Home);
    down_to(&mut desk, "H-2 both cores off");
    assert!(row(&desk).starts_with(">~ late"), "{}", row(&desk));
    down_to(&mut desk, "L-2 both cores off");
    assert!(row(&desk).starts_with(">= 14:17"), "{}", row(&desk));
    down_to(&mut desk, "known resistor");
    desk.keys("400r400\n");
    assert!(
        desk.message()
            .contains("read after 3 readings (first 14:07)"),
        "{}",
        desk.message()
    );
    let told = markdown(&record(&assessed(desk.session.site())));
    let day = "2026-11-25";
    assert!(
        told.contains(&format!(
            "A1 (engineer A, {day} 14:17, after 3 readings, the first {day} 14:07)"
        )),
        "{told}"
    );
    assert!(
        told.contains(&format!("A1 (engineer A, {day} 14:07)")),
        "{told}"
    );
    // It may have been done in time: nothing more stands in the way of signing for it.
    let open = |word: &str| {
        let data = assessed(desk.session.site());
        data.review
            .iter()
            .any(|row| row.open && row.text.contains(word))
    };
    assert!(!open("lines proved dead") && open("neighbours"));
}

#[test]
fn a_figure_corrected_two_days_later_was_read_when_it_was_read() {
    let mut desk = Desk::at(hall());
    desk.keys("33.6\n");
    desk.keys("gr");
    down_to(&mut desk, "meter off");
    desk.keys(" ");
    desk.now += SignedDuration::from_hours(48);
    desk.keys("\x1b/h1\nx10\n");
    let reads = desk.session.site().log().entries().iter();
    let reads = reads.filter(|it| matches!(it.what, Do::Read(_)));
    assert_eq!(reads.count(), 2, "the correction is an entry of its own");
    let data = assessed(desk.session.site());
    let measured = data.lines[0].measured.as_ref().unwrap();
    assert_eq!(measured.ohms, 336.0);
    assert!(
        measured
            .when
            .as_ref()
            .unwrap()
            .starts_with("2026-11-25T14:07:"),
        "{measured:?}"
    );
    let told = markdown(&record(&data));
    assert!(
        told.contains("2026-11-25 14:07, corrected 2026-11-27 14:07 by engineer A"),
        "{told}"
    );
    // Nobody was at the rack again: what was ticked after the reading stands, of its own day.
    desk.keys("gr");
    down_to(&mut desk, "meter off");
    assert!(
        row(&desk).starts_with(">= 11-25 meter off"),
        "{}",
        row(&desk)
    );
    // A reading is another matter.
    desk.keys("\x1b/h2\n415\ngr");
    down_to(&mut desk, "meter off");
    assert!(row(&desk).starts_with(">~ again"), "{}", row(&desk));
}

#[test]
fn a_tick_of_another_day_shows_its_day() {
    let mut desk = Desk::at(hall());
    desk.keys("gr ");
    desk.press(Key::Home);
    assert!(
        row(&desk).starts_with(">= 14:07 occupants"),
        "{}",
        row(&desk)
    );
    desk.now += SignedDuration::from_hours(24);
    desk.press(Key::Home);
    assert!(
        row(&desk).starts_with(">= 11-25 occupants"),
        "{}",
        row(&desk)
    );
    assert!(
        panel(&desk).contains("Ticked 11-25 14:07 by engineer A."),
        "{}",
        desk.screen()
    );
    desk.keys(" ");
    assert!(
        desk.message()
            .starts_with("ticked 11-25 14:07 by engineer A"),
        "{}",
        desk.message()
    );
    // Where there is room the time stands beside it.
    desk.resize(160, 48);
    assert!(
        row(&desk).starts_with(">= 11-25 14:07 occupants"),
        "{}",
        row(&desk)
    );
}
