//! Where one stands after a sitting that was cut off, a resize, a paste, many an Esc.

use crate::desk::{Desk, demo, hall, opening};
use linewright::quantity::Watt;
use linewright::session::{Event, Key, Mode, Resume, RowId};
use linewright::site::{Design, Ref, Site};
#[test]
fn a_sitting_that_was_cut_off_goes_on_where_it_stood() {
    let mut desk = Desk::at(demo());
    desk.keys("/sd5\n").press(Key::Tab);
    desk.keys("/ch1\n").press(Key::Left).press(Key::Left);
    desk.keys("/gp2\n22");
    let text = desk.remembered.clone().unwrap();
    let resume = Resume::from_text(&text).unwrap();
    let mut again = Desk::with(demo(), opening("seconddesksecond"), Some(resume));
    assert_eq!(
        (again.on().as_str(), again.typed().as_deref()),
        ("GP-2", Some("22"))
    );
    assert_eq!(again.session.resume(), desk.session.resume());
    let rows = |screen: String| {
        screen
            .lines()
            .skip(1)
            .take(19)
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        again.session.resume().folded,
        [RowId::Zone("A2/1".into(), "CH-1".into())].into()
    );
    assert_eq!(rows(again.screen()), rows(desk.screen()));
    again.keys("4\n");
    assert_eq!(again.readings().last().unwrap(), "GP-2 224");
    assert_eq!(again.on(), "GP-3");
}

#[test]
fn words_of_a_repair_that_were_cut_off_are_there_again() {
    let mut desk = Desk::at(hall());
    desk.keys("jtap chan");
    let text = desk.remembered.clone().unwrap();
    // Even where a damaged text says that the caret stands beyond the words.
    assert!(text.contains("caret:8"), "{text}");
    let text = text.replace("caret:8", "caret:99");
    let resume = Resume::from_text(&text);
    assert!(resume.is_some(), "{text}");
    let mut again = Desk::with(hall(), opening("seconddesksecond"), resume);
    assert_eq!(again.typed().as_deref(), Some("tap chan"));
    again.keys("\x08nged\n");
    assert!(
        again.message().ends_with("H-1  repaired: tap changed"),
        "{}",
        again.message()
    );
}

#[test]
fn a_line_in_question_is_not_called_unread() {
    let mut site = hall();
    let of = Ref::Node("H-1/LS-1".into());
    let Design::Loudspeaker(mut other) = site.elements().settled(&of).unwrap().clone() else {
        panic!()
    };
    let mut desk = Desk::at(site.clone());
    desk.keys("336\n");
    other.tap_w = Watt(3.0);
    let mut elements = site.elements().clone();
    elements.add(of, "w-1".into(), Design::Loudspeaker(other));
    site = Site::new(
        site.id().clone(),
        elements,
        desk.session.site().log().clone(),
    );
    desk.event(Event::Replaced(Box::new(site)));
    let screen = desk.screen();
    let row = screen.lines().find(|row| row.contains("H-1")).unwrap();
    assert!(row.contains("?  H-1") && row.contains("query"), "{row}");
}

#[test]
fn the_place_to_stand_is_told_after_every_key_that_changes_it() {
    let mut desk = Desk::at(hall());
    for key in [
        Key::Down,
        Key::Char('4'),
        Key::Char('1'),
        Key::Enter,
        Key::Up,
        Key::Tab,
    ] {
        desk.press(key);
        let told = Resume::from_text(desk.remembered.as_ref().unwrap()).unwrap();
        assert_eq!(told, desk.session.resume(), "{key:?}");
    }
}

#[test]
fn a_place_on_a_line_that_is_gone_begins_at_the_first_unread_one() {
    let resume = Resume {
        version: Resume::VERSION,
        cursor: RowId::Line("no such line".into()),
        ..Resume::default()
    };
    let desk = Desk::with(hall(), opening("seconddesksecond"), Some(resume));
    assert_eq!(desk.on(), "H-1");
}

#[test]
fn whoever_comes_back_is_told_what_was_last_and_what_is_next() {
    let desk = Desk::at(demo());
    assert!(
        desk.message().starts_with("24 of 42 lines read, last SD-4"),
        "{}",
        desk.message()
    );
    assert!(
        desk.message().ends_with("next unread CF-3"),
        "{}",
        desk.message()
    );
}

#[test]
fn a_resize_keeps_the_entry_whole_and_the_cursor_on_its_line() {
    let mut desk = Desk::at(demo());
    desk.keys("41x1");
    for (columns, rows) in [
        (160, 48),
        (60, 20),
        (41, 11),
        (10, 3),
        (1, 1),
        (0, 0),
        (80, 24),
    ] {
        desk.resize(columns, rows);
        assert_eq!(
            (desk.on().as_str(), desk.typed().as_deref()),
            ("CF-3", Some("41x1"))
        );
        if columns >= 60 {
            assert!(
                desk.screen().contains(" CF-3 reading> 41x1"),
                "{}",
                desk.screen()
            );
            assert!(desk.screen().contains(">*"), "the cursor's row is in sight");
        }
    }
    desk.keys("0\n");
    assert_eq!(desk.readings().last().unwrap(), "CF-3 41x10");
}

#[test]
fn ten_esc_anywhere_lose_nothing_and_never_leave() {
    let esc = "\x1b".repeat(10);
    for keys in [
        "", "41", "d4", "i5M", ">9", "o", "/h", "jremade", "g", "?", "41?", "g?", "gl", "33\nx1",
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(keys);
        let (typed, reading) = (
            desk.typed(),
            matches!(desk.session.mode(), Mode::Reading(_)),
        );
        let before = (desk.log_len(), desk.readings());
        desk.keys(&esc);
        assert!(!desk.left, "{keys:?}");
        assert_eq!((desk.log_len(), desk.readings()), before, "{keys:?}");
        assert_eq!(desk.session.mode(), &Mode::Key, "{keys:?}");
        assert!(desk.screen().contains("survey"), "{keys:?}");
        if reading {
            desk.keys("u");
            assert_eq!(desk.typed(), typed, "{keys:?}: u brings the entry back");
        }
    }
}

#[test]
fn words_of_a_repair_that_esc_dropped_come_back_with_u() {
    let mut desk = Desk::at(hall());
    desk.keys("jjoint before LS-3 remade\x1bu");
    assert_eq!(desk.typed().as_deref(), Some("joint before LS-3 remade"));
}

#[test]
fn a_paste_never_runs_as_commands() {
    let mut desk = Desk::at(hall());
    let hostile = "412\n205\nqq\nu\x1b[A";
    desk.event(Event::Paste(hostile.into()));
    assert!(!desk.left && desk.sent.is_empty());
    assert_eq!(
        (desk.on().as_str(), desk.session.mode()),
        ("H-1", &Mode::Key)
    );
    desk.keys("3");
    desk.event(Event::Paste("\r36\rq\n".into()));
    assert_eq!(desk.typed().as_deref(), Some("336"));
    assert!(!desk.left && desk.sent.is_empty());
    desk.keys("\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
    desk.keys("/");
    desk.event(Event::Paste("b1\nq".into()));
    assert!(!desk.left);
    desk.keys("\n");
    assert_eq!(
        desk.on(),
        "B-1",
        "pasted words are looked for as typed ones are"
    );
}
