//! Readings of one thing that do not agree, or fit nothing.

use super::*;

#[test]
fn a_figure_corrected_twice_is_the_last_one_and_the_first_does_not_come_back() {
    let mut desk = Desk::at(hall());
    let first = desk.on();
    let standing = |desk: &Desk| {
        let site = desk.session.site();
        let id = &site.plan().lines[site.plan().line_labelled(&first).unwrap()].id;
        let log = site.log();
        let own = log.of_line(id).into_iter();
        let ohms: Vec<f64> = own
            .filter(|it| log.counts(&it.id))
            .filter_map(|it| match &it.what {
                linewright::site::Do::Read(read) => match read.value {
                    linewright::quantity::Value::Ohm(ohm) => Some(ohm.get()),
                    _ => None,
                },
                _ => None,
            })
            .collect();
        ohms
    };
    desk.keys("33\nx10\n");
    assert_eq!(standing(&desk), [330.0], "{}", desk.message());
    desk.keys(&format!("/{first}\nx"));
    let typed = desk.typed().unwrap_or_default().chars().count();
    desk.keys(&"\x08".repeat(typed)).keys("340\n");
    assert_eq!(standing(&desk), [340.0], "{}", desk.message());
    // Taken back one by one, and done again: each time one figure stands.
    desk.keys("u");
    assert_eq!(standing(&desk), [330.0], "{}", desk.message());
    desk.keys("u");
    assert_eq!(standing(&desk), [33.0], "{}", desk.message());
    desk.keys("rr");
    assert_eq!(standing(&desk), [340.0], "{}", desk.message());
}

#[test]
fn two_readings_of_one_place_that_do_not_agree_are_told_until_a_third_agrees_with_one() {
    let mut desk = Desk::at(hall());
    desk.keys("/h2\n").keys("417\n").rest();
    desk.keys("/h2\n").keys("w");
    while desk.session.view().entry.text().trim() != "H-2 LS-3>"
        && !desk.message().contains("no such")
    {
        desk.press(Key::Down);
        if desk.screen().contains(">  LS-3") || desk.screen().contains("> LS-3") {
            break;
        }
    }
    desk.keys("b")
        .keys("834\n")
        .keys("20000\n")
        .keys("b")
        .rest();
    assert!(
        !panel(&desk).contains("read it again; x corrects"),
        "{}",
        panel(&desk)
    );
    // Opened once more: 850 is within 5 % of 834, 840 is no 20000.
    desk.keys("b").keys("850\n").keys("840\n").rest();
    assert!(
        desk.message()
            .contains("does not agree with 20.0 kohm of 14:0"),
        "{}",
        desk.message()
    );
    desk.keys("b").rest();
    let told = panel(&desk);
    assert!(
        told.contains("from LS-") && told.contains(", then 840 ohm"),
        "{told}"
    );
    assert!(!told.contains("from the rack to LS-"), "{told}");
    // A third that agrees with one of them tells which was the slip.
    desk.keys("b").keys("845\n").keys("838\n").keys("b").rest();
    assert!(!panel(&desk).contains("x corrects one"), "{}", panel(&desk));
}

#[test]
fn a_reading_that_fits_nothing_says_so_after_enter_on_the_message_and_on_the_panel() {
    let mut desk = Desk::at(demo());
    // 136 ohm was read; a line that now reads open beside it is a slip, or another line.
    desk.keys("/ch1\n").keys("o\n").rest();
    assert!(!desk.message().contains("open  open"), "{}", desk.message());
    assert!(
        desk.message()
            .contains("CH-1 reads open; does not agree with 136 ohm of 10:05: read it again"),
        "{}",
        desk.message()
    );
    desk.keys("/ch1\n").rest();
    let told = panel(&desk);
    assert!(told.contains("fits nothing"), "{told}");
    assert!(
        told.contains("zero the leads; is this the right pair?"),
        "{told}"
    );
    assert!(
        told.contains("the line whole: 136 ohm at 10:05, then open"),
        "{told}"
    );
    // What is suspected is so of the reading before: this one is not believed.
    let mut all = String::new();
    for _ in 0..desk.session.view().pages {
        all.push_str(&panel(&desk));
        desk.keys("\t");
    }
    assert!(all.contains("if the one before is right"), "{all}");
}

#[test]
fn a_line_read_open_the_first_time_is_open_at_its_first_run() {
    use linewright::diagnosis::FaultKind;
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("o\n").rest();
    let at = desk.session.site().plan().line_labelled("H-1").unwrap();
    desk.keys("/h1\n").rest();
    let suspects = desk.session.analyst().suspects(at).unwrap();
    // A slip is 0.01 x 0.3, a break in the first run 0.004: nothing else reads open alone.
    let first = &suspects.hints[0];
    assert_eq!(first.fault, FaultKind::LineOpen, "{:?}", first.text);
    assert_eq!(first.places[0].1.to_string(), "LS-1");
}
