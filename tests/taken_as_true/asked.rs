//! What is asked about before it counts.

use super::*;

#[test]
fn a_line_that_stands_opened_is_not_taken_as_read_whole_without_a_question() {
    let mut desk = Desk::at(demo());
    desk.keys("/cf1\n")
        .keys("w")
        .keys("b")
        .keys("\x1b\x1b")
        .rest();
    let before = desk.log_len();
    desk.keys("700\n");
    assert_eq!(
        desk.message(),
        "CF-1 stands opened for a split: read whole all the same? w, then b once it is closed. Enter \
         once more records it"
    );
    assert_eq!(desk.log_len(), before, "nothing counts yet");
    assert_eq!(desk.typed().as_deref(), Some("700"));
    desk.keys("\n").rest();
    assert_eq!(desk.log_len(), before + 1);
}

#[test]
fn a_known_resistor_beyond_what_the_meter_is_good_for_is_asked_about_calmly() {
    let mut desk = Desk::at(hall());
    let before = desk.log_len();
    desk.keys("398r440\n");
    assert_eq!(
        desk.message(),
        "398 ohm on 440 ohm, -9.5 %: the meter is good for 5.0 %. A slip? Enter once more records it"
    );
    assert_eq!(desk.log_len(), before);
    // A meter may read so: the same key takes it.
    desk.keys("\n");
    assert_eq!(desk.log_len(), before + 1);
    desk.keys("398r400\n");
    assert_eq!(
        desk.log_len(),
        before + 2,
        "half a percent is asked of nobody"
    );
}

#[test]
fn a_copy_of_a_line_is_asked_about_and_taken_back_one_stands_where_it_was_added() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("y");
    assert!(desk.sent.is_empty());
    assert_eq!(
        desk.message(),
        "y adds a copy of H-1 with 5 places: y once more does it"
    );
    desk.keys("y").rest();
    assert_eq!(desk.sent.len(), 1);
    desk.keys("u").rest();
    assert_eq!(desk.on(), "H-1");
}

#[test]
fn a_reading_taken_up_and_dropped_leaves_the_cursor_where_the_key_was_pressed() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("333\n").rest();
    let stood = desk.on();
    assert_ne!(stood, "H-1");
    desk.keys("x");
    assert_eq!(desk.on(), "H-1");
    desk.keys("\x1b");
    assert_eq!(desk.on(), stood);
}

#[test]
fn first_power_is_asked_about_while_a_line_that_is_not_off_reads_open_and_refused_onto_a_short() {
    use linewright::site::Do;
    let ticked = |desk: &Desk| {
        let mut sent = desk.sent.iter().flatten();
        sent.any(|entry| matches!(&entry.what, Do::Tick(it) if it.item == "low-power"))
    };
    let go_to = |desk: &mut Desk, words: &str| {
        desk.keys("gr").press(Key::Home);
        while !row(desk).contains(words) {
            desk.press(Key::Down);
        }
    };
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("o\n").rest();
    go_to(&mut desk, "first power");
    desk.keys(" ");
    assert!(!ticked(&desk), "{}", desk.message());
    let said = desk.message();
    assert!(
        said.contains("L-1 reads short or open and is not ticked OFF"),
        "{said}"
    );
    desk.keys(" ");
    assert!(ticked(&desk), "{}", desk.message());
    // A line that is OFF is in nobody's way; back ON and read short, power is refused.
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "L-1");
    desk.keys(" ").keys("\x1b/l1\n").keys("o\n").rest();
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert!(ticked(&desk), "{}", desk.message());
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "L-1");
    desk.keys(" ");
    go_to(&mut desk, "L-1     cores back on");
    desk.keys(" ").keys("\x1b/l1\n").keys("0\n\n").rest();
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert!(!ticked(&desk), "{}", desk.message());
    let said = desk.message();
    assert!(said.contains("L-1 reads short"), "{said}");
}

#[test]
fn a_half_typed_reading_taken_up_says_its_caution_and_a_line_back_on_both_of_insulation() {
    use desk::opening;
    use linewright::session::Resume;
    let again = |desk: &Desk| {
        let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
        let site = desk.session.site().clone();
        Desk::with(site, opening("nextnextnextnext"), resume)
    };
    let mut desk = one_is_off();
    desk.keys("101");
    let next = again(&desk);
    let said = next.message();
    assert!(said.contains("half typed for L-1: 101"), "{said}");
    assert!(
        said.contains("L-1 is not ticked OFF: no meter on it"),
        "{said}"
    );
    desk.keys("\x1b").keys("50Mi");
    let next = again(&desk);
    let said = next.message();
    assert!(said.contains("never core to core"), "{said}");
    let shown = panel(&next);
    assert!(shown.contains("not ticked OFF: no tester on it"), "{shown}");
    assert!(shown.contains("250 to 500 V on it; discharge"), "{shown}");
    // H-2 is back ON: what is asked names the volts, and the panel both.
    let mut desk = one_is_off();
    desk.keys("gr").press(Key::Home);
    while !row(&desk).contains("H-2     cores back on") {
        desk.press(Key::Down);
    }
    desk.keys(" ").keys("\x1b/h2\n").keys("50Mi");
    let shown = panel(&desk);
    assert!(shown.contains("back ON the amplifier"), "{shown}");
    assert!(shown.contains("250 to 500 V on it; discharge"), "{shown}");
    desk.keys("\n");
    let said = desk.message();
    assert!(said.contains("250-500 V"), "{said}");
    assert_eq!(insulations(&desk), 0);
}

#[test]
fn a_tab_in_a_paste_that_is_not_taken_is_a_blank_and_ctrl_u_clears_what_is_typed() {
    let mut desk = Desk::at(hall());
    desk.event(Event::Paste("L-1\t4OO\n".into()));
    let said = desk.message();
    assert!(said.contains("L-1 4OO, is no reading"), "{said}");
    desk.keys("\x1b412").press(Key::Clear);
    assert_eq!(desk.typed().as_deref(), Some(""));
    desk.keys("33").press(Key::Enter);
    assert!(desk.readings()[0].ends_with("33"), "{:?}", desk.readings());
    desk.keys("/l1").press(Key::Clear).keys("b1\n");
    assert_eq!(desk.on(), "B-1");
}
