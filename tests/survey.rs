//! The survey at the keyboard, told as stories: what stands before, the keys, what stands after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, DiskIs, demo, hall, json_of, opening, readings, site_of};
use linewright::analysis::Analyst;
use linewright::diagnosis::Posterior;
use linewright::quantity::Watt;
use linewright::report::Assessment;
use linewright::session::{Access, Event, Key, Mode, Resume, RowId};
use linewright::site::{Design, Do, Ref, Site};
use linewright::tui::Theme;

// ---- typing readings ----

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

// ---- before Enter and after ----

/// The rows of the screen that carry figures of the line and of its output, signs and words off.
fn figures(screen: &str) -> Vec<String> {
    screen
        .lines()
        .filter_map(|row| row.split(['\u{2502}', '|']).nth(1))
        .filter(|row| {
            [
                "typed",
                "read  ",
                "design",
                "carries",
                "left,",
                "over by",
                "tolerance",
                "close",
            ]
            .iter()
            .any(|word| row.contains(word))
        })
        .map(|row| {
            let row = row.split("was ").next().unwrap();
            let row: String = row
                .chars()
                .map(|c| if "*+-~=?".contains(c) { ' ' } else { c })
                .collect();
            row.replace("typed", "")
                .replace("read ", "")
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
        })
        .collect()
}

#[test]
fn what_the_panel_shows_before_enter_it_shows_after() {
    for text in ["336", "205", "300", "33", "4.1k", "41x10", "200", "150"] {
        let mut desk = Desk::at(hall());
        desk.keys(text);
        let before = figures(&desk.screen());
        assert!(before.len() >= 5, "{before:?}");
        let as_typed = desk.session.analyst().clone_of(&desk);
        desk.press(Key::Enter).press(Key::Home).keys("/h1\n");
        assert_eq!(figures(&desk.screen()), before, "{text}");
        assert_eq!(as_typed, desk.session.analyst().recorded(&desk), "{text}");
    }
}

/// Figures of H-1 and of its output as the analysis has them, for the draft and for the record.
trait Figures {
    fn clone_of(&self, desk: &Desk) -> String;
    fn recorded(&self, desk: &Desk) -> String;
}

impl Figures for Analyst {
    fn clone_of(&self, desk: &Desk) -> String {
        let Mode::Reading(draft) = desk.session.mode() else {
            panic!()
        };
        let site = desk.session.site();
        let result = self.with_reading(site, 0, draft.impedance().unwrap(), &"meter".into());
        let output = self.output(site, 0, Some((0, &result)));
        format!(
            "{:?} {:?} {output:?}",
            result.verdict,
            result.taken.unwrap().load
        )
    }

    fn recorded(&self, desk: &Desk) -> String {
        let result = self.line(0);
        let output = self.output(desk.session.site(), 0, None);
        format!(
            "{:?} {:?} {output:?}",
            result.verdict,
            result.taken.as_ref().unwrap().load
        )
    }
}

#[test]
fn suspects_before_enter_are_those_after() {
    let mut desk = Desk::at(hall());
    desk.keys("205");
    let why = |screen: &str| {
        let rows: Vec<String> = screen
            .lines()
            .skip_while(|row| !row.contains("why, likeliest first"))
            .filter_map(|row| {
                row.split('\u{2502}')
                    .nth(1)
                    .map(|row| row.trim_end().to_owned())
            })
            .collect();
        let ends = [" next ", "all else", " more, Tab"];
        let suspect = |row: &String| !ends.iter().any(|end| row.contains(end));
        rows.into_iter().take_while(suspect).collect::<Vec<_>>()
    };
    let before = why(&desk.screen());
    desk.keys("\n/h1\n").rest();
    let after = why(&desk.screen());
    // What to do next is offered for what is recorded, and takes the room of the last suspects.
    assert!(after.len() > 3, "{after:?}");
    assert!(before.starts_with(&after), "{before:?}\n{after:?}");
}

#[test]
fn suspects_of_a_correction_before_enter_are_those_after() {
    let mut desk = Desk::at(hall());
    desk.keys("33\n").rest();
    desk.keys("x10");
    let Mode::Reading(draft) = desk.session.mode().clone() else {
        panic!()
    };
    let (read, site) = (draft.impedance().unwrap(), desk.session.site());
    let analyst = desk.session.analyst();
    // The other lines' share of the factors is a difference of sums: its last digits hang on them.
    let digits = |it: &Posterior| -> Vec<String> {
        let hints = it.hints.iter();
        hints
            .map(|hint| format!("{} {:.9}", hint.text, hint.probability.get()))
            .collect()
    };
    let of = |corrects| {
        analyst
            .suspects_of(site, 0, read, &"meter".into(), corrects)
            .unwrap()
    };
    let before = digits(&of(draft.corrects.as_ref()));
    assert!(
        before != digits(&of(None)),
        "the reading that is corrected no longer counts"
    );
    desk.keys("\n/h1\n").rest();
    assert_eq!(digits(desk.session.analyst().suspects(0).unwrap()), before);
}

#[test]
fn a_slip_of_the_hand_is_named_and_never_mended() {
    let mut desk = Desk::at(hall());
    desk.keys("33");
    let screen = desk.screen();
    assert!(
        screen.contains("look  330 ohm, ten times, would fit"),
        "{screen}"
    );
    desk.keys("\n");
    assert_eq!(desk.readings(), ["H-1 33"]);
    desk.keys("741");
    assert!(!desk.screen().contains("look  "), "nothing near fits 741");
    desk.keys("\x1b147");
    let screen = desk.screen();
    assert!(
        screen.contains("look  417 ohm, digits swapped, would fit"),
        "{screen}"
    );
}

// ---- the disk ----

#[test]
fn nothing_counts_before_the_disk_has_it() {
    let mut desk = Desk::at(hall());
    let before = desk.json();
    desk.disk = DiskIs::Slow;
    desk.keys("336\n");
    assert_eq!((desk.json(), desk.log_len()), (before, 0));
    let screen = desk.screen();
    assert!(screen.contains("0 of 6 read"), "{screen}");
    assert!(screen.contains("^  H-1"), "{screen}");
    assert!(!screen.contains("recorded "), "{screen}");
    assert_eq!(desk.on(), "H-2", "typing goes on meanwhile");
    desk.answer();
    let screen = desk.screen();
    assert!(
        screen.contains("1 of 6 read") && screen.contains("=  H-1"),
        "{screen}"
    );
    assert!(
        desk.message()
            .starts_with("recorded 14:07  H-1 reads 336 ohm")
    );
}

#[test]
fn a_refused_reading_keeps_its_row_marked_and_enter_sends_the_same_entry_again() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("336\n");
    assert!(
        desk.message().starts_with("NOT RECORDED"),
        "{}",
        desk.message()
    );
    assert!(desk.message().contains("no space left"));
    let screen = desk.screen();
    assert!(
        screen.contains("^  H-1") && screen.contains("0 of 6 read"),
        "{screen}"
    );
    desk.keys("/h1\n\n");
    assert_eq!((desk.sent.len(), desk.log_len()), (2, 0));
    desk.disk = DiskIs::Fast;
    desk.keys("\n");
    assert_eq!(desk.sent.len(), 3);
    assert!(
        desk.sent.iter().all(|sent| *sent == desk.sent[0]),
        "same ids, same entries"
    );
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert!(desk.session.waiting().is_empty());
}

#[test]
fn leaving_with_a_refused_reading_takes_a_second_q() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("336\nq");
    assert!(!desk.left);
    assert!(
        desk.message().contains("1 not on the disk"),
        "{}",
        desk.message()
    );
    desk.keys("q");
    assert!(desk.left);
    assert_eq!(
        desk.session.waiting().len(),
        1,
        "whoever leaves can be told what was lost"
    );
}

#[test]
fn a_session_that_may_only_read_records_nothing() {
    let mut opening = opening("otherotherothero");
    opening.access = Access::ReadsOnly("engineer B on rack-2 writes here since 13:50".into());
    let mut desk = Desk::with(demo(), opening, None);
    let before = desk.log_len();
    assert!(desk.screen().lines().next().unwrap().contains("READ ONLY"));
    for keys in [
        "41", "\n", "x", "open", "\n", "d2\n", "i5M\n", "jjob\n", "u", "r",
    ] {
        desk.keys(keys);
    }
    assert!(desk.sent.is_empty());
    assert_eq!(desk.log_len(), before);
    desk.keys("\x1b\x1b4");
    assert!(
        desk.message().contains("engineer B on rack-2"),
        "{}",
        desk.message()
    );
}

// ---- undo ----

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

// ---- where one stands ----

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

// ---- getting about ----

#[test]
fn a_line_is_found_by_part_of_its_label_and_esc_leads_back() {
    let mut desk = Desk::at(demo());
    desk.keys("/gp");
    assert_eq!(desk.on(), "GP-1");
    assert!(desk.message().starts_with("3 lines"), "{}", desk.message());
    desk.press(Key::Down);
    assert_eq!(desk.on(), "GP-2");
    desk.press(Key::Down).press(Key::Down);
    assert_eq!(desk.on(), "GP-1", "round the end");
    desk.press(Key::Esc);
    assert_eq!(desk.on(), "CF-3", "Esc leads back to where it began");
    desk.keys("/OH2\n");
    assert_eq!((desk.on().as_str(), desk.typed()), ("OH-2", None));
    desk.keys("/nowhere");
    assert!(
        desk.message().contains("no line or amplifier with nowhere"),
        "{}",
        desk.message()
    );
    desk.press(Key::Esc);
    assert_eq!(desk.on(), "OH-2");
}

#[test]
fn what_is_looked_for_is_never_taken_for_a_reading() {
    let mut desk = Desk::at(hall());
    desk.keys("/2\n");
    assert_eq!(desk.on(), "H-2");
    assert!(desk.sent.is_empty());
}

#[test]
fn the_go_list_leads_to_the_next_unread_line_the_site_and_back() {
    let mut desk = Desk::at(demo());
    desk.press(Key::Home).press(Key::Down);
    let from = desk.session.cursor().clone();
    desk.keys("gn");
    assert_eq!(desk.on(), "CF-3");
    desk.keys("gg");
    assert_eq!(desk.session.cursor(), &from);
    desk.keys("gf");
    assert_eq!(desk.on(), "CF-3");
    desk.keys("gs");
    assert_eq!(desk.session.cursor(), &RowId::Site);
    desk.keys("gz");
    assert_eq!(desk.session.mode(), &Mode::Key);
    assert!(
        desk.message().contains("z does nothing here"),
        "{}",
        desk.message()
    );
}

#[test]
fn f_shows_only_what_wants_a_look_then_what_is_unread_then_off_then_all() {
    let mut desk = Desk::at(demo());
    let lines = |desk: &mut Desk| {
        desk.press(Key::Home);
        let mut out: Vec<String> = Vec::new();
        for _ in 0..80 {
            desk.press(Key::Down);
            let on = desk.on();
            if !on.is_empty() && !out.contains(&on) {
                out.push(on);
            }
        }
        out
    };
    desk.press(Key::Home);
    desk.keys("f");
    assert_eq!(desk.on(), "PH-4", "on to the first that wants a look");
    // Short, open, then by how far they are out: 887, 85, 75, 69, 42.3, 42.1 and 22 %.
    let look = [
        "PH-4", "OH-2", "PH-5", "CH-1", "CF-1", "FH-3", "FH-1", "TH-1", "LH-1",
    ];
    assert_eq!(lines(&mut desk), look);
    // The demo: 42 lines, 24 read, 6 OFF.
    desk.keys("f");
    assert_eq!(lines(&mut desk).len(), 18);
    desk.keys("f");
    assert_eq!(lines(&mut desk).len(), 6);
    desk.keys("f");
    assert_eq!(lines(&mut desk).len(), 42);
    desk.keys("f\x1b");
    assert_eq!(desk.message(), "all lines again");
}

#[test]
fn a_filter_stands_as_it_was_asked_for_while_lines_are_read() {
    let mut desk = Desk::at(hall());
    desk.keys("336\nff");
    // One line reads in tolerance: nothing wants a look, so the filter is the unread one, then none.
    desk.keys("f");
    let before = desk
        .screen()
        .lines()
        .filter(|row| row.contains("unread"))
        .count();
    assert!(before >= 5, "{}", desk.screen());
    desk.keys("410\n");
    assert!(desk.screen().contains("H-2"), "{}", desk.screen());
    assert!(!desk.screen().contains(" H-1 "), "{}", desk.screen());
    assert_eq!(desk.on(), "L-1");
    desk.keys("/h1\n");
    assert_eq!(
        desk.on(),
        "H-1",
        "whoever looks for a line by name finds it"
    );
}

#[test]
fn a_branch_folds_and_names_what_is_out_inside() {
    let mut desk = Desk::at(demo());
    desk.press(Key::Home).press(Key::Down);
    assert_eq!(desk.session.cursor(), &RowId::Amplifier("A1".into()));
    desk.press(Key::Left);
    let screen = desk.screen();
    assert!(!screen.contains("PH-1"), "{screen}");
    assert!(
        screen.contains("look PH-4") && screen.contains("..."),
        "{screen}"
    );
    desk.press(Key::Right);
    assert!(desk.screen().contains("PH-1"));
    desk.press(Key::Enter).press(Key::Enter);
    assert!(desk.screen().contains("PH-1"), "Enter folds and opens");
    // Left on a line goes to the row it hangs on; a find opens what is folded.
    desk.keys("/ph1\n").press(Key::Left).press(Key::Left);
    assert_eq!(desk.on(), "");
    desk.keys("/ph1\n");
    assert_eq!(desk.on(), "PH-1");
    assert!(desk.screen().contains("PH-1"));
}

#[test]
fn enter_goes_to_the_next_unread_line_inside_a_folded_branch_and_opens_it() {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n").press(Key::Left).press(Key::Left);
    desk.keys("/l2\n548\n");
    assert_eq!(desk.on(), "B-1");
    assert!(desk.screen().contains(">. B-1"), "{}", desk.screen());
}

#[test]
fn tab_goes_through_the_pages_of_the_panel_and_round() {
    let mut desk = Desk::at(demo());
    desk.keys("/ch1\n");
    let first = desk.screen();
    assert!(first.contains("Tab 1/"), "{first}");
    let pages: usize = first.split("Tab 1/").nth(1).unwrap()[..1].parse().unwrap();
    let mut seen = vec![first.clone()];
    for page in 2..=pages {
        desk.press(Key::Tab);
        let screen = desk.screen();
        assert!(screen.contains(&format!("Tab {page}/{pages}")), "{screen}");
        assert!(!seen.contains(&screen));
        seen.push(screen);
    }
    desk.press(Key::Tab);
    assert_eq!(desk.screen(), first);
    desk.press(Key::BackTab);
    assert_eq!(&desk.screen(), seen.last().unwrap());
}

// ---- repairs ----

#[test]
fn a_repair_and_then_a_reading_make_as_found_and_as_left() {
    let mut desk = Desk::at(hall());
    desk.keys("417\n").keys("/h1\n");
    assert!(desk.screen().lines().next().unwrap().contains("as found"));
    desk.keys("jtap of LS-2 set to 6 W\n");
    assert_eq!(desk.on(), "H-1");
    let screen = desk.screen();
    assert!(
        screen.contains("unread"),
        "what was read before no longer counts: {screen}"
    );
    assert!(screen.contains("0 of 6 read"), "{screen}");
    desk.keys("335\n/h1\n");
    let screen = desk.screen();
    assert!(
        screen.lines().next().unwrap().contains("as left"),
        "{screen}"
    );
    assert!(screen.contains("as found 417 ohm"), "{screen}");
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    let line = &json["lines"][0];
    assert_eq!(line["as_found"]["ohms"], 417.0);
    assert_eq!(line["as_left"]["ohms"], 335.0);
    assert_eq!(line["measured"]["ohms"], 335.0);
    desk.keys("u");
    desk.keys("u");
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    assert_eq!(
        json["lines"][0]["measured"]["ohms"], 417.0,
        "the repair taken back: as found counts"
    );
}

/// The states of the readings and repairs sent, with the ids of the entries.
fn states(desk: &Desk) -> Vec<(String, String)> {
    desk.sent
        .iter()
        .flatten()
        .filter_map(|entry| match &entry.what {
            Do::Read(read) => Some((entry.id.to_string(), read.state.to_string())),
            Do::Repair(repair) => Some((entry.id.to_string(), repair.after.to_string())),
            _ => None,
        })
        .collect()
}

#[test]
fn a_reading_typed_ahead_of_the_disk_after_a_repair_is_one_after_the_repair() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Slow;
    desk.keys("417\n/h1\n").keys("jtap changed\n335\n");
    let states = states(&desk);
    assert_eq!(states[1].1, "visit-1");
    assert_eq!(
        states[2].1, states[1].0,
        "in the state that the repair began"
    );
    desk.answer();
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    assert_eq!(json["lines"][0]["as_found"]["ohms"], 417.0);
    assert_eq!(json["lines"][0]["as_left"]["ohms"], 335.0);
}

#[test]
fn a_repair_taken_back_ahead_of_the_disk_begins_no_state() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Slow;
    desk.keys("jtap changed\nu417\n");
    assert_eq!(states(&desk)[1].1, "visit-1");
}

#[test]
fn a_repair_that_the_disk_refused_goes_before_the_reading_after_it() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("jtap changed\n");
    desk.disk = DiskIs::Fast;
    desk.keys("335\n");
    let last: Vec<&str> = desk
        .sent
        .last()
        .unwrap()
        .iter()
        .map(|it| it.id.as_str())
        .collect();
    assert_eq!(last, ["deskdeskdeskdesk-1", "deskdeskdeskdesk-2"]);
    assert!(desk.session.waiting().is_empty());
}

#[test]
fn a_repair_wants_a_word() {
    let mut desk = Desk::at(hall());
    desk.keys("j  \n");
    assert!(desk.sent.is_empty());
    assert!(
        desk.message().contains("say in a word what was done"),
        "{}",
        desk.message()
    );
    assert!(matches!(desk.session.mode(), Mode::Text(_)));
}

// ---- the site changes under one's hands ----

#[test]
fn the_cursor_stays_on_its_label_and_the_entry_in_hand_when_the_site_is_replaced() {
    let more = format!(
        "{}\n{}",
        desk::HALL.lines().next().unwrap(),
        "A0,1,60,100,Attic,T-1,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,20,1.5 mm2\n"
    ) + &desk::HALL
        .lines()
        .skip(1)
        .map(|row| format!("{row}\n"))
        .collect::<String>();
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n27");
    desk.event(Event::Replaced(Box::new(site_of(&more, "Old seed hall"))));
    assert_eq!(
        (desk.on().as_str(), desk.typed().as_deref()),
        ("B-1", Some("27"))
    );
    assert!(
        desk.screen().contains(" B-1 reading> 27"),
        "{}",
        desk.screen()
    );
    assert!(
        desk.message().contains("another hand"),
        "{}",
        desk.message()
    );
    desk.keys("5\n");
    assert_eq!(desk.readings(), ["B-1 275"]);
}

#[test]
fn an_entry_on_its_way_counts_once_when_the_joined_site_holds_it_already() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Slow;
    desk.keys("336\n");
    let mut joined = hall();
    joined.apply(desk.sent[0][0].clone());
    desk.event(Event::Replaced(Box::new(joined)));
    desk.answer();
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert_eq!(desk.log_len(), 1);
}

#[test]
fn an_entry_in_hand_for_a_line_that_another_hand_removed_is_not_lost_without_a_word() {
    let without: String = desk::HALL
        .lines()
        .filter(|row| !row.contains(",B-1,"))
        .map(|row| format!("{row}\n"))
        .collect();
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n275");
    desk.event(Event::Replaced(Box::new(site_of(
        &without,
        "Old seed hall",
    ))));
    desk.screen();
    desk.event(Event::Say(String::new()));
    desk.keys("\n");
    desk.screen();
    assert!(desk.sent.is_empty());
    assert!(
        desk.typed().as_deref() == Some("275") && !desk.message().is_empty(),
        "{:?} {:?}",
        desk.typed(),
        desk.message()
    );
}

// ---- any key whatever ----

/// Numbers from a seed: xorshift, Marsaglia 2003.
struct Dice(u64);

impl Dice {
    fn throw(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % sides
    }

    fn key(&mut self) -> Key {
        const SPECIAL: [Key; 16] = [
            Key::Enter,
            Key::Esc,
            Key::Tab,
            Key::BackTab,
            Key::Backspace,
            Key::Delete,
            Key::Up,
            Key::Down,
            Key::Left,
            Key::Right,
            Key::Home,
            Key::End,
            Key::PageUp,
            Key::PageDown,
            Key::F1,
            Key::Char(' '),
        ];
        const OFTEN: &[u8] = b"0123456789.,kmxdiuraofgj/?n";
        match self.throw(10) {
            0..4 => Key::Char(char::from(OFTEN[self.throw(OFTEN.len())])),
            4 => Key::Char(char::from(b' ' + self.throw(95) as u8)),
            5 => Key::Char(['\u{e4}', '\u{5927}', '\u{301}', '\u{7f}', '\u{202e}'][self.throw(5)]),
            6 | 7 => Key::Enter,
            _ => SPECIAL[self.throw(SPECIAL.len())],
        }
    }
}

fn moves(key: Key) -> bool {
    !matches!(key, Key::Tab | Key::BackTab | Key::Delete | Key::F1)
}

#[test]
fn twenty_thousand_keys_at_any_size_break_nothing() {
    let mut dice = Dice(0x5eed_1e55_c0de_2026);
    let mut desk = Desk::at(hall());
    let mut len = 0;
    for step in 0..20_000 {
        let cursor = desk.session.cursor().clone();
        // A row that an Enter has brought, or taken out, comes or goes when the disk has it.
        let designed = desk.session.waiting();
        let designed = designed.iter().any(|it| matches!(it.what, Do::Edit(_)));
        let still = match dice.throw(60) {
            0 => {
                let size = (dice.throw(200), dice.throw(60));
                desk.resize(size.0, size.1);
                true
            }
            1 => {
                desk.event(Event::Paste("41\nx10\nq\u{7}".into()));
                desk.session.mode() == &Mode::Key
            }
            2 => {
                desk.event(Event::Idle);
                true
            }
            3 => {
                desk.disk = [DiskIs::Fast, DiskIs::Slow, DiskIs::Full][dice.throw(3)];
                desk.event(Event::Say("said".into()));
                true
            }
            _ => {
                let key = dice.key();
                desk.press(key);
                !moves(key)
            }
        };
        if still && !designed {
            assert_eq!(
                desk.session.cursor(),
                &cursor,
                "key {step}: the cursor moved by itself"
            );
        }
        assert!(desk.log_len() >= len, "key {step}: the log shrank");
        len = desk.log_len();
        if step % 16 == 0 {
            let text = desk.screen();
            for bad in ["NaN", " inf", "-inf"] {
                assert!(!text.contains(bad), "key {step}: {bad} in\n{text}");
            }
        }
    }
    desk.disk = DiskIs::Fast;
    desk.answer();
    assert!(len > 100, "{len}");
    assert_eq!(
        desk.session.resume(),
        Resume::from_text(&desk.session.resume().to_text()).unwrap()
    );
    // What a sitting of keys made is what its log makes.
    let mut again = hall();
    for entry in desk.session.site().log().entries() {
        again.apply(entry.clone());
    }
    assert_eq!(json_of(&again), desk.json());
    assert_eq!(readings(&again), desk.readings());
    desk.resize(80, 24);
    desk.buffer(Theme::Plain);
}

// ---- what Esc dropped ----

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
    assert!(
        said.contains("say aloud to each other: opened, hands clear"),
        "{said}"
    );
}
