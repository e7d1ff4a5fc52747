//! Slips at the keyboard, told as stories: a key that is held down, a path that cannot be written, several
//! rows pasted where one is typed, a figure typed as a word.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, demo, hall};
use jiff::SignedDuration;
use linewright::session::{Event, Key, Mode, Printed};
use linewright::site::{Cut, Do, Entry};

/// Space held down for so many repeats: half a second until it comes again, then thirty times a second, as
/// keyboards are set when they are bought (from memory).
fn hold_space(desk: &mut Desk, repeats: usize) {
    desk.press(Key::Char(' '));
    desk.now += SignedDuration::from_millis(500);
    for _ in 0..repeats {
        desk.event(Event::Key(Key::Char(' '), desk.now));
        desk.now += SignedDuration::from_millis(33);
    }
}

fn count(desk: &Desk, is: fn(&Do) -> bool) -> usize {
    let log = desk.session.site().log();
    let counts = log.entries().iter().filter(|it| log.counts(&it.id));
    counts.filter(|it| is(&it.what)).count()
}

/// So many entries strike another.
fn struck(desk: &Desk) -> usize {
    let log = desk.session.site().log();
    let strikes = |it: &&Entry| matches!(it.what, Do::Void(_)) || it.corrects.is_some();
    log.entries().iter().filter(strikes).count()
}

const TICK: fn(&Do) -> bool = |it| matches!(it, Do::Tick(_));
const HEARD: fn(&Do) -> bool = |it| matches!(it, Do::Listen(_));

#[test]
fn space_held_down_goes_from_the_survey_to_the_list_and_ticks_nothing_there() {
    let mut desk = Desk::at(hall());
    hold_space(&mut desk, 12);
    // The first that came again looked like a finger's: it waited, and those behind it told.
    assert_eq!(count(&desk, TICK), 0);
    assert_eq!(desk.log_len(), 0);
    assert_eq!(desk.message(), "Space held: one tick a press");
    // Let go and pressed again each press ticks one row, and so it does when it is held there.
    desk.keys("  ");
    assert_eq!(count(&desk, TICK), 2);
    hold_space(&mut desk, 12);
    assert_eq!(count(&desk, TICK), 3, "{}", desk.screen());
    // One that bounces is one press.
    desk.press(Key::Char(' '));
    desk.now += SignedDuration::from_millis(60);
    desk.event(Event::Key(Key::Char(' '), desk.now));
    assert_eq!(count(&desk, TICK), 4);
    assert_eq!(struck(&desk), 0);
}

#[test]
fn nothing_is_recorded_and_struck_that_nobody_did() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    hold_space(&mut desk, 12);
    desk.keys("\x1b/h1\nw");
    hold_space(&mut desk, 12);
    assert_eq!((count(&desk, TICK), count(&desk, HEARD)), (1, 1));
    assert_eq!((desk.log_len(), struck(&desk)), (2, 0));
}

#[test]
fn fast_presses_each_tick_with_their_own_time() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    for _ in 0..4 {
        desk.event(Event::Key(Key::Char(' '), desk.now));
        desk.now += SignedDuration::from_millis(150);
    }
    desk.event(Event::Waited(desk.now));
    assert_eq!(count(&desk, TICK), 4);
    assert_eq!(struck(&desk), 0);
    // One that waits is carried out before the next key, and not before its time is up.
    desk.event(Event::Key(Key::Char(' '), desk.now));
    assert_eq!(count(&desk, TICK), 4);
    desk.event(Event::Waited(desk.now + SignedDuration::from_millis(50)));
    assert_eq!(count(&desk, TICK), 4);
    desk.event(Event::Key(
        Key::Esc,
        desk.now + SignedDuration::from_millis(60),
    ));
    assert_eq!(count(&desk, TICK), 5);
    // The log has whole seconds: pressed in one and carried out in the next it is of the first.
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    let first = desk.now;
    for after in [0, 950] {
        let at = first + SignedDuration::from_millis(after);
        desk.event(Event::Key(Key::Char(' '), at));
    }
    desk.event(Event::Waited(first + SignedDuration::from_millis(1050)));
    let log = desk.session.site().log();
    let times: Vec<_> = log.entries().iter().map(|it| it.at).collect();
    assert_eq!(times, [first, first]);
}

#[test]
fn a_fast_finger_ticks_a_row_a_press_and_the_slowest_keyboard_held_down_does_not() {
    // Nine presses a second.
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    for _ in 0..4 {
        desk.event(Event::Key(Key::Char(' '), desk.now));
        desk.now += SignedDuration::from_millis(110);
    }
    desk.event(Event::Waited(desk.now));
    assert_eq!(count(&desk, TICK), 4, "{}", desk.message());
    // Held on a bare console: after a quarter of a second every 92 ms.
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    desk.event(Event::Key(Key::Char(' '), desk.now));
    desk.now += SignedDuration::from_millis(250);
    for _ in 0..8 {
        desk.event(Event::Key(Key::Char(' '), desk.now));
        desk.now += SignedDuration::from_millis(92);
    }
    assert_eq!(count(&desk, TICK), 1, "{}", desk.message());
}

#[test]
fn space_held_down_on_the_walk_calls_one_loudspeaker_heard() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n/h1\nw");
    hold_space(&mut desk, 12);
    assert_eq!(count(&desk, HEARD), 1);
    assert_eq!(desk.message(), "Space held: one answer a press");
    desk.keys("  ");
    assert!(count(&desk, HEARD) >= 2, "{}", desk.screen());
}

#[test]
fn ctrl_u_on_the_words_of_a_repair_clears_what_was_picked_as_found_too() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n/h1\n").rest();
    desk.keys("jtap reset\t");
    let prompt = |desk: &Desk| desk.session.view().entry.text();
    assert!(prompt(&desk).contains("found: "), "{}", prompt(&desk));
    desk.press(Key::Clear);
    assert_eq!(desk.typed().as_deref(), Some(""));
    assert!(!prompt(&desk).contains("found"), "{}", prompt(&desk));
    desk.keys("joint made anew\n");
    let log = desk.session.site().log();
    let cause = log.entries().iter().find_map(|it| match &it.what {
        Do::Repair(it) => Some(it.cause.clone()),
        _ => None,
    });
    assert_eq!(cause, Some(None));
}

#[test]
fn an_output_that_feeds_two_zones_names_both() {
    let mut desk = Desk::at(hall());
    desk.resize(160, 48);
    desk.keys("gb");
    let screen = desk.screen();
    let row = screen.lines().find(|row| row.contains("Hall, Lobby"));
    assert!(row.is_some_and(|row| row.contains("A1 out 1")), "{screen}");
}

#[test]
fn a_figure_typed_at_a_loudspeaker_says_that_it_is_kept_there_and_where_the_lines_own_is_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\nw");
    desk.press(Key::Home);
    desk.press(Key::Down);
    desk.keys("630\n");
    assert!(
        desk.message().ends_with(
            "at LS-1 reads 630 ohm: kept there, not the line's reading; Home for the rack"
        ),
        "{}",
        desk.message()
    );
    let line = desk.session.analyst().line(0);
    assert!(!line.is_read());
    // As it says: from the rack it is the line's.
    desk.press(Key::Home);
    desk.keys("336\n");
    assert!(desk.session.analyst().line(0).is_read());
    let cuts = desk
        .session
        .site()
        .log()
        .entries()
        .iter()
        .filter_map(|it| match &it.what {
            Do::Read(read) => Some(matches!(read.cut, Some(Cut::Whole(_)))),
            _ => None,
        });
    assert_eq!(cuts.collect::<Vec<_>>(), [true, false]);
    // The keys say so too.
    desk.keys("w?");
    desk.resize(100, 60);
    assert!(
        desk.screen()
            .contains("a reading taken at this place, kept"),
        "{}",
        desk.screen()
    );
}

#[test]
fn a_record_that_cannot_be_written_leaves_its_name_open_to_be_put_right() {
    let mut desk = Desk::at(hall());
    desk.keys("gp");
    desk.press(Key::Clear);
    desk.keys("/nowhere/hall.pdf\n");
    assert_eq!(desk.typed(), None);
    let why = "/nowhere/hall.pdf cannot be written: no such folder";
    desk.event(Event::Printed(Printed::Failed(why.into())));
    assert!(
        desk.message().starts_with("not written: "),
        "{}",
        desk.message()
    );
    assert_eq!(desk.typed().as_deref(), Some("/nowhere/hall.pdf"));
    // Whoever has gone on meanwhile is not put back into it.
    desk.keys("\n");
    desk.press(Key::Down);
    desk.keys("4");
    desk.event(Event::Printed(Printed::Failed(why.into())));
    assert_eq!(desk.typed().as_deref(), Some("4"));
    assert!(desk.message().starts_with("not written: "));
}

#[test]
fn several_rows_pasted_where_something_is_added_are_several_and_no_row_goes_unsaid() {
    let mut desk = Desk::at(hall());
    let nodes = |desk: &Desk| desk.session.site().plan().lines[0].nodes.len();
    let before = nodes(&desk);
    desk.keys("/h1\na");
    desk.event(Event::Paste(
        "LS-6 6w 9m\r\nLS-7 6w 9m\r\nLS-8 3w 9m\r\n".into(),
    ));
    assert_eq!(
        desk.typed().as_deref(),
        Some("LS-6 6w 9m; LS-7 6w 9m; LS-8 3w 9m")
    );
    desk.press(Key::Enter);
    assert_eq!(nodes(&desk), before + 3, "{}", desk.message());
    // Words that are one row say that the others were not taken.
    desk.keys("n");
    desk.event(Event::Paste("key at the desk\nopens at eight\n".into()));
    assert_eq!(desk.typed().as_deref(), Some("key at the desk"));
    assert_eq!(
        desk.message(),
        "one row fits here: only the first row was taken"
    );
}

#[test]
fn what_was_picked_as_found_stays_in_view_and_a_figure_is_no_word_for_a_repair() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n/h1\n").rest();
    desk.keys("j\t");
    let found = desk.message().strip_prefix("found: ").unwrap().to_owned();
    let found = found.split("   ").next().unwrap().to_owned();
    let prompt = |desk: &Desk| {
        let screen = desk.screen();
        let row = screen.lines().rev().find(|row| row.contains("repaired"));
        row.unwrap().to_owned()
    };
    desk.resize(120, 40);
    assert!(
        prompt(&desk).contains(&format!("found: {found}> ")[..12]),
        "{}",
        prompt(&desk)
    );
    desk.keys("\n");
    assert!(prompt(&desk).contains(", found: "), "{}", prompt(&desk));
    assert!(
        desk.message().starts_with("what was found is kept; "),
        "{}",
        desk.message()
    );
    let entries = desk.log_len();
    desk.keys("1.11k\n");
    assert!(
        desk.message().starts_with("1.11k: is that a reading?"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.log_len(), entries);
    assert!(matches!(desk.session.mode(), Mode::Text(_)));
    // Meant so it is recorded so, with what was found.
    desk.keys("\n");
    assert!(
        desk.message().contains("repaired: 1.11k, found "),
        "{}",
        desk.message()
    );
    // A word with a figure in it is a word.
    desk.keys("j2 joints remade\n");
    assert!(
        desk.message().contains("repaired: 2 joints remade"),
        "{}",
        desk.message()
    );
}

#[test]
fn behind_a_known_resistor_the_rack_list_goes_on_as_behind_a_tick() {
    let mut desk = Desk::at(hall());
    let on = |desk: &Desk| {
        let screen = desk.screen();
        let row = screen.lines().find(|row| row.starts_with('>')).unwrap();
        row.split('\u{2502}').next().unwrap().trim_end().to_owned()
    };
    desk.keys("gr");
    while !on(&desk).contains("resistor read") {
        desk.press(Key::Down);
    }
    desk.keys("400r400\n");
    assert!(
        desk.message().contains("400 ohm on a known 400 ohm"),
        "{}",
        desk.message()
    );
    // The last of its part: on to the first of them that waits.
    assert_eq!(on(&desk), ">.       occupants, monitoring told");
    // With all of them ticked there is nothing to go on to, and it does not go on into handing back.
    desk.keys("        ");
    while !on(&desk).contains("resistor read") {
        desk.press(Key::Down);
    }
    desk.keys("400r400\n");
    assert!(on(&desk).contains("resistor read"), "{}", on(&desk));
}

#[test]
fn x_goes_through_the_readings_of_the_line_before_it_takes_up_another_lines() {
    let mut desk = Desk::at(hall());
    // H-1 with a digit too many, then read again; H-2 after it.
    desk.keys("3330\n/h1\n333\n/h2\n417\n").rest();
    desk.keys("/h1\nx");
    let said = desk.message();
    assert!(said.starts_with("corrects H-1 333 ohm"), "{said}");
    assert!(said.contains("x again: H-1 3330 ohm"), "{said}");
    desk.keys("x");
    let said = desk.message();
    assert!(said.starts_with("corrects H-1 3330 ohm"), "{said}");
    assert!(said.contains("x again: H-2 417 ohm"), "{said}");
    // Once more the last that was made anywhere, then round to the first.
    desk.keys("xx");
    assert!(
        desk.message().starts_with("corrects H-1 333 ohm"),
        "{}",
        desk.message()
    );
    // The wrong one is put right, and the two agree.
    desk.keys("x").press(Key::Clear);
    desk.keys("333\n").rest();
    assert!(
        !desk.screen().contains("x corrects one"),
        "{}",
        desk.screen()
    );
}

#[test]
fn labels_that_were_swapped_are_offered_as_found_on_both_lines_and_recorded_so() {
    for [first, other] in [["fh-1", "fh-3"], ["fh-3", "fh-1"]] {
        let mut desk = Desk::at(demo());
        desk.rest();
        desk.keys(&format!("/{first}\n")).rest();
        desk.keys("j\t");
        assert!(
            desk.message().starts_with("found: swapped labels   Tab:"),
            "{first}: {}",
            desk.message()
        );
        desk.keys("labels put right\n");
        assert!(
            desk.message()
                .contains("repaired: labels put right, found swapped labels"),
            "{}",
            desk.message()
        );
        // The other of the two reads as before, and what was found on the first is offered on it too.
        desk.rest();
        desk.keys(&format!("/{other}\n")).rest();
        desk.keys("j\t");
        let mut offered = vec![desk.message().to_owned()];
        while offered.len() < 8 {
            desk.keys("\t");
            offered.push(desk.message().to_owned());
        }
        let swapped = |words: &&String| words.starts_with("found: swapped labels   Tab:");
        assert!(offered.iter().any(|it| swapped(&it)), "{offered:#?}");
    }
}
