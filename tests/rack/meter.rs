//! The known resistor, and readings typed and corrected at the rack.

use super::*;

#[test]
fn the_known_resistor_is_read_from_the_list_or_from_the_entry_line() {
    let mut desk = Desk::at(hall());
    desk.keys("3");
    assert!(
        desk.message().contains("resistor first"),
        "the first reading of a visit is told so: {}",
        desk.message()
    );
    desk.keys("98r\n");
    assert!(desk.message().contains("398r400"), "{}", desk.message());
    desk.keys("400\n");
    assert!(
        desk.message()
            .starts_with("recorded 14:07  meter reads 398 ohm on a known 400 ohm, -0.5 %"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.on(), "H-1", "a resistor is no line: the cursor stays");
    let checks = |desk: &Desk| -> Vec<(Ohm, Ohm, String)> {
        let entries = desk.session.site().log().entries();
        entries
            .iter()
            .filter_map(|entry| match &entry.what {
                Do::Check(it) => Some((it.value, it.known_ohm, it.text.clone())),
                _ => None,
            })
            .collect()
    };
    assert_eq!(checks(&desk), [(Ohm(398.0), Ohm(400.0), "398".into())]);
    assert!(desk.readings().is_empty());
    // From the list, and what the resistor is known from the time before.
    desk.keys("gr39.9x10\n");
    assert_eq!(checks(&desk)[1], (Ohm(399.0), Ohm(400.0), "39.9x10".into()));
    desk.resize(80, 60);
    let screen = desk.screen();
    assert!(screen.contains(" = 14:07 known resistor read"), "{screen}");
    desk.keys("\x1b336");
    assert!(
        !desk.message().contains("resistor first"),
        "{}",
        desk.message()
    );
    desk.keys("\x08\x08\x08u");
    assert_eq!(
        desk.session.site().log().entries().len(),
        3,
        "a strike is an entry"
    );
}

#[test]
fn after_the_last_unread_line_the_meter_goes_off() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n410\n561\n548\n275\n");
    assert_eq!(desk.session.message().hint, "u takes it back");
    desk.keys("498\n");
    assert!(
        desk.session.message().hint.contains("meter off"),
        "{}",
        desk.session.message().hint
    );
}

#[test]
fn x_on_the_rack_list_takes_up_the_last_reading_made_and_once_more_the_lines_own() {
    let mut desk = Desk::at(hall());
    desk.keys("333\n415\n");
    desk.keys("/h1\ngr398r400\nx");
    // The last that was made is the resistor; H-1 is under the cursor.
    assert_eq!(desk.typed().as_deref(), Some("398x"));
    assert!(
        desk.message()
            .starts_with("corrects known resistor 398 ohm of 14:07; x again: H-1 333 ohm"),
        "{}",
        desk.message()
    );
    assert!(desk.message().len() <= 78, "{}", desk.message());
    desk.keys("x");
    assert_eq!(desk.typed().as_deref(), Some("333x"));
    assert!(
        desk.message().starts_with("corrects H-1 333 ohm"),
        "{}",
        desk.message()
    );
    desk.keys("x");
    assert_eq!(desk.typed().as_deref(), Some("398x"));
    desk.keys("\x08\x08").keys("6\n");
    let log = desk.session.site().log();
    let checks: Vec<&str> = log
        .entries()
        .iter()
        .filter(|entry| log.counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            Do::Check(it) => Some(it.text.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(checks, ["396"], "the one takes the place of the other");
    assert_eq!(desk.readings(), ["H-1 333", "H-2 415"]);
}

#[test]
fn x_says_how_a_range_is_put_behind_the_figure_it_takes_up_and_of_a_word_there_is_none_to_put() {
    let hint = "type its range, 10 or 100; Backspace: retype";
    let mut desk = Desk::at(hall());
    desk.keys("33\n/h1\n");
    assert!(!desk.screen().contains(hint), "{}", desk.screen());
    desk.keys("x");
    assert_eq!(desk.typed().as_deref(), Some("33x"));
    assert!(desk.screen().contains(hint), "{}", desk.screen());
    // As it says: ten times.
    desk.keys("10\n");
    assert_eq!(desk.readings(), ["H-1 33x10"]);
    assert!(!desk.screen().contains(hint), "{}", desk.screen());
    // Anew: Backspace takes the letter and the figure.
    desk.keys("/h2\n41\n/h2\nx\x08\x08\x08415\n");
    assert_eq!(desk.readings(), ["H-1 33x10", "H-2 415"]);
    // A short has no range.
    desk.keys("/l1\n0\n/l1\nx");
    assert!(
        desk.message().starts_with("corrects L-1 short"),
        "{}",
        desk.message()
    );
    assert!(!desk.screen().contains(hint), "{}", desk.screen());
}

#[test]
fn words_that_esc_leaves_take_what_was_told_of_them_along() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n/h1\nj\t\x1b");
    assert_eq!(desk.message(), "");
}
