//! Power comes back: what is asked and said before it, and before a line is taken off an amplifier that has
//! it again. Told at the keyboard; the commands keep the same rule.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, hall};
use linewright::session::Key;
use linewright::site::{Do, LISTS, ListWhen};

fn row(desk: &Desk) -> String {
    let screen = desk.screen();
    screen
        .lines()
        .find(|line| line.starts_with('>'))
        .unwrap_or_default()
        .to_owned()
}

fn go_to(desk: &mut Desk, words: &str) {
    desk.keys("gr").press(Key::Home);
    for _ in 0..90 {
        if row(desk).contains(words) {
            return;
        }
        desk.press(Key::Down);
    }
    panic!("{words}: {}", desk.screen());
}

/// The panel, its rows joined.
fn panel_of(desk: &Desk) -> String {
    let screen = desk.screen();
    let rows = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
    let words: Vec<&str> = rows.flat_map(|row| row.1.split_whitespace()).collect();
    words.join(" ")
}

fn ticked(desk: &Desk, item: &str) -> usize {
    let sent = desk.sent.iter().flatten();
    sent.filter(|entry| matches!(&entry.what, Do::Tick(it) if it.item == item))
        .count()
}

#[test]
fn first_power_onto_an_output_past_its_rating_is_asked_about_once() {
    let mut desk = Desk::at(hall());
    // A1 out 1 has 120 W for lines of 30, 24, 18 and 18 W: H-1 read as 60 ohm alone makes it 167 W.
    desk.keys("/h1\n60\n").rest();
    go_to(&mut desk, "first power");
    desk.keys(" ");
    assert_eq!(ticked(&desk, "low-power"), 0);
    let said = desk.message();
    assert!(
        said.contains("A1 out 1 is past its rating with the lines that are on"),
        "{said}"
    );
    desk.keys(" ");
    assert_eq!(ticked(&desk, "low-power"), 1, "{}", desk.message());
    // OFF it loads nothing.
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n60\n").rest();
    go_to(&mut desk, "H-1     both cores off");
    desk.keys(" ");
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert_eq!(ticked(&desk, "low-power"), 1, "{}", desk.message());
}

#[test]
fn before_first_power_people_are_named_first_and_asked_about_once() {
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "first power");
    let panel = panel_of(&desk);
    let people = panel.find("everybody off, locks taken off is not ticked");
    let meter = panel.find("the meter is not ticked off");
    assert!(people.is_some() && people < meter, "{panel}");
    desk.keys(" ");
    assert_eq!(ticked(&desk, "low-power"), 0);
    assert!(
        desk.message()
            .starts_with("everybody off, locks taken off is not ticked: power all the same?"),
        "{}",
        desk.message()
    );
    desk.keys(" ");
    assert_eq!(ticked(&desk, "low-power"), 1, "{}", desk.message());
    // Beside too much load it is asked in the same breath, people first.
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n60\n").rest();
    go_to(&mut desk, "first power");
    desk.keys(" ");
    let said = desk.message();
    let (people, load) = (said.find("everybody off"), said.find("past its rating"));
    assert!(people.is_some() && people < load, "{said}");
    // Ticked, nobody asks.
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "everybody off");
    desk.keys(" ");
    go_to(&mut desk, "first power");
    assert!(!panel_of(&desk).contains("everybody off, locks"));
    desk.keys(" ");
    assert_eq!(ticked(&desk, "low-power"), 1, "{}", desk.message());
}

#[test]
fn a_line_taken_off_an_amplifier_that_was_powered_again_is_asked_about_until_it_is_isolated() {
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "isolated, locked");
    desk.keys(" ");
    go_to(&mut desk, "H-1     both cores off");
    desk.keys(" ");
    assert_eq!(ticked(&desk, "cores-off"), 1, "{}", desk.message());
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert_eq!(ticked(&desk, "low-power"), 1, "{}", desk.message());
    go_to(&mut desk, "H-2     both cores off");
    desk.keys(" ");
    assert_eq!(ticked(&desk, "cores-off"), 1);
    let said = desk.message();
    assert!(
        said.contains(
            "A1 was powered since it was ticked isolated: off, locked, proved dead first"
        ),
        "{said}"
    );
    desk.keys(" ");
    assert_eq!(ticked(&desk, "cores-off"), 2, "{}", desk.message());
}

#[test]
fn before_first_power_the_panel_names_the_meter_that_is_not_away_and_cores_not_discharged() {
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "L-1     both cores off");
    desk.keys(" ").keys("\x1b/l1\n200Miv500\n").rest();
    go_to(&mut desk, "first power");
    let said = panel_of(&desk);
    assert!(said.contains("the meter is not ticked off"), "{said}");
    let charged = "cores not ticked discharged after the insulation test: L-1";
    assert!(said.contains(charged), "{said}");
    go_to(&mut desk, "meter off");
    desk.keys(" ");
    go_to(&mut desk, "first power");
    assert!(
        !desk.screen().contains("the meter is not"),
        "{}",
        desk.screen()
    );
}

#[test]
fn an_insulation_reading_says_that_devices_were_not_ticked_off_the_line() {
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "L-1     both cores off");
    desk.keys(" ").keys("\x1b/l1\n200Miv500\n").rest();
    // Read once, its insulation has rows of its own.
    desk.keys("/l1\n0.8Mi");
    let words = "devices off is not ticked";
    assert!(desk.screen().contains(words), "{}", desk.screen());
    desk.press(Key::Esc);
    go_to(&mut desk, "devices off at both");
    desk.keys(" ").keys("\x1b/l1\n0.8Mi");
    assert!(!desk.screen().contains(words), "{}", desk.screen());
}

#[test]
fn all_that_is_taken_away_before_a_line_is_touched_is_given_back() {
    // Common practice, no source: each has its row, and power comes before what needs it.
    let back: Vec<&str> = LISTS
        .iter()
        .filter(|it| it.when == ListWhen::Back)
        .map(|it| it.item)
        .collect();
    let at = |item: &str| back.iter().position(|it| *it == item).unwrap();
    for (taken, given) in [
        ("cores-off", "cores-on"),
        ("devices-off", "devices-on"),
        ("locked", "locks-off"),
        ("amplifier-off", "inhibits-lifted"),
        ("cover", "cover-down"),
        ("told", "signed"),
    ] {
        assert!(
            LISTS
                .iter()
                .any(|it| it.item == taken && it.when != ListWhen::Back)
        );
        let _ = at(given);
    }
    for (first, then) in [
        ("devices-on", "cores-on"),
        ("cores-on", "meter-off"),
        ("meter-off", "locks-off"),
        ("locks-off", "low-power"),
        ("low-power", "inhibits-lifted"),
        ("inhibits-lifted", "faults-clear"),
        ("low-power", "supervision"),
    ] {
        assert!(at(first) < at(then), "{first}, {then}");
    }
}
