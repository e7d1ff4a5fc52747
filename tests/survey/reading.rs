//! Readings typed: what is taken, what is refused with its reason, where Enter leads.

use crate::desk::{Desk, hall};
use linewright::session::{Key, Mode};
use linewright::site::Do;
#[test]
fn a_plain_survey_takes_the_digits_and_one_key_a_line() {
    let mut desk = Desk::at(hall());
    let readings = ["336", "410", "561", "548", "275", "498"];
    for (label, text) in ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"]
        .iter()
        .zip(readings)
    {
        assert_eq!(desk.on(), *label);
        desk.keys(text).press(Key::Enter);
        assert!(
            desk.message().starts_with("recorded 14:"),
            "{}",
            desk.message()
        );
    }
    assert_eq!(
        desk.readings(),
        [
            "H-1 336", "H-2 410", "L-1 561", "L-2 548", "B-1 275", "C-1 498"
        ]
    );
}

#[test]
fn a_double_enter_records_once() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert_eq!((desk.on().as_str(), desk.typed()), ("H-2", None));
}

#[test]
fn enter_with_nothing_typed_does_nothing_on_a_line() {
    let mut desk = Desk::at(hall());
    let before = (desk.screen(), desk.session.resume());
    desk.keys("\n\n\n");
    assert_eq!((desk.screen(), desk.session.resume()), before);
    assert!(desk.sent.is_empty());
}

#[test]
fn the_next_line_after_enter_is_the_next_unread_one_round_the_end() {
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n").keys("498\n");
    assert_eq!(desk.on(), "H-1");
    desk.keys("336\n");
    desk.press(Key::Down).press(Key::Down);
    desk.keys("561\n");
    assert_eq!(desk.on(), "L-2");
    desk.keys("548\n275\n410\n");
    assert_eq!(
        desk.on(),
        "H-2",
        "all are read: the cursor stays where it was"
    );
    assert_eq!(desk.readings().len(), 6);
}

#[test]
fn a_reading_keeps_what_was_typed_and_the_worth_of_its_last_digit() {
    let mut desk = Desk::at(hall());
    for text in ["0.42k", "41 x10", "0,5k", "4.1k", "open", "0"] {
        desk.keys(text).press(Key::Enter);
    }
    assert_eq!(
        desk.readings(),
        [
            "H-1 0.42k",
            "H-2 41 x10",
            "L-1 0,5k",
            "L-2 4.1k",
            "B-1 open",
            "C-1 0"
        ]
    );
    let steps: Vec<f64> = desk
        .sent
        .iter()
        .flatten()
        .filter_map(|entry| match &entry.what {
            Do::Read(read) => Some(read.step_ohm.get()),
            _ => None,
        })
        .collect();
    assert_eq!(steps, [10.0, 10.0, 100.0, 100.0, 0.0, 0.0]);
}

#[test]
fn esc_drops_the_entry_and_u_brings_it_back() {
    let mut desk = Desk::at(hall());
    desk.keys("33\x1b");
    assert_eq!(desk.typed(), None);
    assert_eq!(desk.message(), "dropped, not recorded: 33");
    desk.keys("u");
    assert_eq!(
        (desk.on().as_str(), desk.typed().as_deref()),
        ("H-1", Some("33"))
    );
    desk.keys("6\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
}

#[test]
fn backspace_takes_the_last_character_and_with_none_left_the_entry_is_gone() {
    let mut desk = Desk::at(hall());
    desk.keys("337\x086\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
    desk.keys("4\x08");
    assert_eq!(desk.typed(), None);
    desk.keys("\x08");
    assert_eq!((desk.on().as_str(), desk.readings().len()), ("H-2", 1));
}

#[test]
fn bad_input_stays_in_the_entry_with_the_reason_on_the_message_line() {
    for (typed, reason) in [
        ("1,200", "1200"),
        ("4x7", "x10"),
        ("0.0", "a short is typed 0"),
        ("4.1.2", "4.1.2"),
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(typed).press(Key::Enter);
        assert_eq!(desk.typed().as_deref(), Some(typed));
        assert!(
            desk.message().contains(reason),
            "{typed}: {}",
            desk.message()
        );
        assert!(
            desk.screen().contains(desk.message()),
            "{typed}: cut off at 80 columns"
        );
        assert!(desk.sent.is_empty());
        desk.keys("\x08");
        assert!(
            !desk.message().contains(reason),
            "{typed}: the reason outlives the text"
        );
    }
}

#[test]
fn a_letter_that_is_no_part_of_a_reading_changes_nothing_and_says_so() {
    let mut desk = Desk::at(hall());
    desk.keys("41q");
    assert_eq!(desk.typed().as_deref(), Some("41"));
    assert!(desk.message().starts_with("q does not belong in a reading"));
    assert!(!desk.left);
}

#[test]
fn arrows_do_not_carry_an_entry_to_another_line() {
    let mut desk = Desk::at(hall());
    desk.keys("41")
        .press(Key::Down)
        .press(Key::Up)
        .press(Key::PageDown);
    assert_eq!(
        (desk.on().as_str(), desk.typed().as_deref()),
        ("H-1", Some("41"))
    );
}

#[test]
fn on_a_branch_a_digit_starts_nothing() {
    let mut desk = Desk::at(hall());
    desk.press(Key::Home).keys("4");
    assert_eq!(desk.session.mode(), &Mode::Key);
    assert!(desk.message().contains("a reading belongs to a line"));
}

#[test]
fn an_ohmmeter_reading_makes_the_line_no_read_one() {
    let mut desk = Desk::at(hall());
    desk.keys("d2.3\n");
    let Do::Read(read) = &desk.sent[0][0].what else {
        panic!()
    };
    assert!(read.is_dc());
    assert_eq!(read.instrument.as_str(), "ohmmeter");
    assert_eq!(desk.on(), "H-1", "its impedance is still to be read");
    assert!(desk.screen().contains("0 of 6 read"));
    desk.keys("2.4d\n");
    assert!(matches!(&desk.sent[1][0].what, Do::Read(read) if read.is_dc()));
}

#[test]
fn an_insulation_reading_takes_its_leg_and_its_test_voltage() {
    let mut desk = Desk::at(hall());
    desk.keys("i200Ma v250\n").keys(">999M\n");
    let taken: Vec<(String, f64, String)> = desk
        .sent
        .iter()
        .flatten()
        .filter_map(|entry| match &entry.what {
            Do::Insulate(it) => Some((it.text.clone(), it.test_v.get(), format!("{:?}", it.leg))),
            _ => None,
        })
        .collect();
    assert_eq!(
        taken,
        [
            ("200M".to_owned(), 250.0, "A".to_owned()),
            (">999M".to_owned(), 500.0, "Both".to_owned())
        ]
    );
}

#[test]
fn digits_read_wherever_the_footer_offers_them() {
    for place in ["", "gb", "ga", "gd"] {
        let mut desk = Desk::at(hall());
        desk.keys(place);
        let footer = desk.screen().lines().last().unwrap().to_owned();
        let offered = footer.contains("digits read");
        let before = desk.on();
        desk.keys("336");
        assert!(desk.screen().contains("Enter record"), "{place}");
        desk.press(Key::Enter);
        assert_eq!(desk.readings(), [format!("{before} 336")], "{place}");
        assert!(offered, "{place}: {footer}");
        if !place.is_empty() {
            assert_eq!(desk.on(), before, "{place}: it stays");
        }
    }
}

#[test]
fn a_reading_is_typed_on_the_first_page_whatever_page_was_looked_at() {
    let mut desk = Desk::at(hall());
    desk.keys("\t\t");
    let looked_at = desk.screen();
    desk.keys("336");
    assert!(desk.screen().contains("29.8 W"), "{}", desk.screen());
    desk.press(Key::Esc);
    let panel = |screen: &str| {
        let rows = screen.lines().skip(2).take(16);
        rows.map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(panel(&desk.screen()), panel(&looked_at));
}

#[test]
fn ctrl_u_stands_in_the_help_and_two_people_on_a_split_are_told_what_to_say() {
    for typed in ["4?", "/?"] {
        let mut desk = Desk::at(hall());
        desk.resize(80, 140).keys(typed);
        let shown = desk.screen();
        assert!(shown.contains("Ctrl-U"), "{typed}: {shown}");
    }
    let mut desk = Desk::at(hall());
    desk.keys("w").press(Key::Down).press(Key::Down).keys("b");
    let said = desk.message();
    assert!(said.contains("say aloud: opened, hands clear"), "{said}");
}
