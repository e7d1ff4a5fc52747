//! What is taken back, done again, corrected, or dropped and brought back.

use crate::desk::{Desk, DiskIs, demo, hall};
use linewright::report::Assessment;
use linewright::session::Key;
use linewright::site::Do;
#[test]
fn u_takes_a_reading_back_and_every_figure_is_what_it_was() {
    for (name, site) in [("hall", hall()), ("demo", demo())] {
        let mut desk = Desk::at(site);
        let (on, json, had) = (desk.on(), desk.json(), desk.readings());
        desk.keys("205\n");
        assert!(desk.json() != json);
        let len = desk.log_len();
        desk.keys("u");
        assert!(desk.json() == json);
        assert_eq!((desk.on(), desk.readings()), (on, had), "{name}");
        assert_eq!(desk.log_len(), len + 1, "the log keeps both");
        let last = desk.sent.last().unwrap();
        assert!(matches!(&last[0].what, Do::Void(void) if void.of == [desk.sent[0][0].id.clone()]));
        assert!(
            desk.message().starts_with("taken back: "),
            "{}",
            desk.message()
        );
    }
}

#[test]
fn r_does_again_what_u_took_back_and_u_takes_it_back_again() {
    let mut desk = Desk::at(hall());
    let none = desk.json();
    desk.keys("205\n");
    let read = desk.json();
    for _ in 0..3 {
        desk.keys("u");
        assert!(desk.json() == none);
        desk.keys("r");
        assert!(desk.json() == read);
    }
    assert_eq!(desk.log_len(), 7, "the log only grows");
    desk.keys("r");
    assert!(
        desk.message().contains("nothing was taken back"),
        "{}",
        desk.message()
    );
}

#[test]
fn each_u_takes_one_act_back_and_none_is_left_after_the_first() {
    let mut desk = Desk::at(hall());
    let mut states = vec![desk.json()];
    for text in ["336", "410", "561"] {
        desk.keys(text).press(Key::Enter);
        states.push(desk.json());
    }
    states.pop();
    while let Some(state) = states.pop() {
        desk.keys("u");
        assert!(desk.json() == state);
    }
    desk.keys("u");
    assert!(
        desk.message().contains("nothing of this sitting"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.log_len(), 6);
}

#[test]
fn a_forgotten_multiplier_is_put_behind_the_last_reading_as_a_correction() {
    let mut desk = Desk::at(hall());
    desk.keys("33\n");
    assert_eq!(desk.on(), "H-2");
    let wrong = desk.json();
    desk.keys("x10");
    assert_eq!(
        (desk.on().as_str(), desk.typed().as_deref()),
        ("H-1", Some("33x10"))
    );
    assert!(
        desk.screen().contains(" H-1 correction> 33x10"),
        "{}",
        desk.screen()
    );
    desk.keys("\n");
    assert_eq!(desk.on(), "H-2", "on to the line that waits");
    assert_eq!(desk.readings(), ["H-1 33x10"]);
    let log = desk.session.site().log();
    assert_eq!(log.entries().len(), 2, "the old entry stays in the log");
    assert_eq!(
        log.entries()[1].corrects.as_ref(),
        Some(&log.entries()[0].id)
    );
    desk.keys("u");
    assert_eq!(
        desk.json(),
        wrong,
        "u takes the correction back: the reading before it counts"
    );
    desk.keys("u");
    assert_eq!(desk.readings(), [""; 0]);
}

#[test]
fn with_no_reading_of_this_sitting_a_multiplier_has_nothing_to_go_behind() {
    let mut desk = Desk::at(demo());
    desk.keys("x");
    assert_eq!(desk.typed(), None);
    assert!(
        desk.message().contains("type digits first"),
        "{}",
        desk.message()
    );
}

#[test]
fn u_typed_ahead_of_the_disk_takes_back_the_reading_just_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.disk = DiskIs::Slow;
    desk.keys("205\nu");
    desk.answer();
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert_eq!(desk.on(), "H-2");
    desk.keys("r");
    desk.answer();
    assert_eq!(desk.readings(), ["H-1 336", "H-2 205"]);
}

#[test]
fn a_multiplier_typed_ahead_of_the_disk_goes_behind_the_reading_just_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.disk = DiskIs::Slow;
    desk.keys("41\nx10\n561\n");
    desk.answer();
    assert_eq!(desk.readings(), ["H-1 336", "H-2 41x10", "L-1 561"]);
}

#[test]
fn the_screen_of_a_sitting_shows_what_a_fresh_opening_of_the_same_site_shows() {
    let mut desk = Desk::at(hall());
    // A reading, its correction, an undo, a second reading of the same line, a repair.
    desk.keys("33\nx10\n150\nu410\n")
        .keys("/h1\n150\n")
        .keys("jtap changed\n334\n");
    desk.rest();
    let own = Assessment::of(desk.session.site(), desk.session.analyst(), None)
        .to_json()
        .unwrap();
    assert!(own == desk.json(), "{own}");
}

#[test]
fn what_esc_dropped_comes_back_once_and_then_u_takes_back_the_act_before_it() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n41\x1b");
    assert_eq!(desk.message(), "dropped, not recorded: 41");
    assert_eq!(desk.session.message().hint, "u brings it back");
    // A look at the panel is no act.
    desk.keys("\tu");
    assert_eq!(desk.typed().as_deref(), Some("41"));
    desk.keys("\x1b");
    assert_eq!(desk.message(), "dropped, not recorded: 41");
    assert_eq!(desk.session.message().hint, "", "gone now");
    desk.keys("u");
    assert_eq!(desk.typed(), None);
    assert_eq!(desk.message(), "taken back: H-1 reads 336 ohm, 29.8 W");
    assert!(desk.readings().is_empty());
}

#[test]
fn what_esc_dropped_is_let_go_with_the_next_step_and_never_turns_up_elsewhere() {
    for steps in ["gv", "gr", "gb", "w", "f", "/l\n", "?\x1b"] {
        let mut desk = Desk::at(hall());
        desk.keys("336\n41\x1b").keys(steps);
        assert_ne!(desk.session.message().hint, "u brings it back", "{steps}");
        desk.keys("u");
        assert_eq!(desk.typed(), None, "{steps}");
        assert_eq!(
            desk.message(),
            "taken back: H-1 reads 336 ohm, 29.8 W",
            "{steps}"
        );
    }
    let mut desk = Desk::at(hall());
    desk.keys("336\n41\x1b").press(Key::Down).keys("u");
    assert_eq!(desk.message(), "taken back: H-1 reads 336 ohm, 29.8 W");
    // What was done again is another act than what was dropped before.
    let mut desk = Desk::at(hall());
    desk.keys("336\nnbehind the bar\x1bgbu");
    assert_eq!(desk.message(), "taken back: H-1 reads 336 ohm, 29.8 W");
    desk.keys("r41\x1bu\x1bu");
    assert!(desk.readings().is_empty());
}

#[test]
fn a_draft_of_nothing_is_dropped_without_a_word() {
    let mut desk = Desk::at(hall());
    desk.keys("336\nd\x1b");
    assert!(!desk.message().contains("dropped"), "{}", desk.message());
    desk.keys("u");
    assert_eq!(desk.message(), "taken back: H-1 reads 336 ohm, 29.8 W");
}

#[test]
fn what_was_left_for_later_is_taken_back_where_it_was_said_and_the_next_figure_is_of_that_line() {
    let mut desk = Desk::at(hall());
    desk.keys("/h2\n");
    let on = desk.on();
    desk.keys("llocked\n");
    assert_ne!(desk.on(), on, "on to the next unread line");
    desk.keys("u");
    assert_eq!(desk.on(), on);
    desk.keys("417\n");
    assert_eq!(desk.readings(), ["H-2 417"]);
    // The same where it is done again.
    let mut desk = Desk::at(hall());
    desk.keys("/h2\nllocked\nu/b1\nr");
    assert_eq!(desk.on(), on, "{}", desk.message());
}

#[test]
fn a_lost_multiplier_is_named_when_the_cursor_has_gone_on() {
    let mut desk = Desk::at(hall());
    desk.keys("/h2\n41\n").rest();
    assert!(
        desk.message()
            .contains("410 ohm, ten times, would fit: x corrects"),
        "{}",
        desk.message()
    );
    desk.keys("x").press(Key::Clear);
    desk.keys("41x10\n");
    assert_eq!(desk.readings(), ["H-2 41x10"]);
    assert!(!desk.message().contains("would fit"), "{}", desk.message());
}

#[test]
fn what_a_figure_was_said_to_be_goes_with_it() {
    for said in ["200Mi", "12d"] {
        let mut desk = Desk::at(hall());
        desk.keys(said).press(Key::Clear).keys("205\n");
        assert_eq!(desk.readings(), ["H-1 205"], "{said}");
    }
}
