//! What the panel says of a reading that is being typed, and after it was recorded.

use crate::desk::{Desk, hall};
use linewright::analysis::Analyst;
use linewright::diagnosis::Posterior;
use linewright::session::{Key, Mode};
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
        let result = self.with_reading(
            site,
            0,
            draft.impedance().unwrap(),
            (&"meter".into(), "engineer A"),
        );
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
            .suspects_of(site, 0, read, (&"meter".into(), "engineer A"), corrects)
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
