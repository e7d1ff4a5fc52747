//! What is not ticked, since it cannot be so.

use super::*;

#[test]
fn a_line_that_stands_opened_is_not_ticked_back_on() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        ");
    assert!(header(&desk).ends_with("5 OFF"));
    desk.press(Key::Esc);
    desk.keys("/h1\nw");
    desk.press(Key::Down);
    desk.keys("b30\n40\n");
    assert!(
        desk.screen().contains("OPEN: b when closed"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Esc);
    desk.keys("gr");
    down_to(&mut desk, "lines: cores back on");
    let before = ticks(&desk);
    desk.keys(" ");
    assert!(
        desk.message().contains("stands opened"),
        "{}",
        desk.message()
    );
    assert_eq!(ticks(&desk), before);
}

#[test]
fn a_line_that_reads_short_is_not_ticked_back_on() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        \x1b/h1\n0\n");
    desk.keys("gr");
    down_to(&mut desk, "H-1 cores back on");
    desk.keys(" ");
    assert!(
        desk.message().contains("must not be connected"),
        "{}",
        desk.message()
    );
    assert_eq!(ticks(&desk).len(), 8);
}

#[test]
fn leads_zeroed_is_not_ticked_before_a_known_resistor_was_read() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    go_to(&mut desk, "known resistor");
    // Before: nothing was read. Space is refused with what to do, and the row waits.
    desk.keys(" ");
    assert!(ticks(&desk).is_empty());
    assert!(desk.message().contains("398r400"), "{}", desk.message());
    assert!(row(&desk).starts_with(">."), "{}", row(&desk));
    // After: the resistor itself ticks it, and says nothing of the leads; Space does.
    desk.keys("398r400\n");
    go_to(&mut desk, "known resistor");
    assert!(row(&desk).starts_with(">="), "{}", row(&desk));
    let nobody = "Nobody ticked that its leads were zeroed: Space does.";
    assert!(panel(&desk).contains(nobody), "{}", panel(&desk));
    desk.keys(" ");
    assert_eq!(ticks(&desk), ["leads-zeroed visit-1"]);
    go_to(&mut desk, "known resistor");
    assert!(!panel(&desk).contains(nobody), "{}", panel(&desk));
    // It is said once, and read again it stays said.
    desk.keys(" ");
    assert_eq!(ticks(&desk).len(), 1);
    assert!(desk.message().starts_with("ticked "), "{}", desk.message());
    desk.keys("399r400\n");
    go_to(&mut desk, "known resistor");
    assert!(!panel(&desk).contains(nobody), "{}", panel(&desk));
    // Without a resistor it is left out with the reason, as before.
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    go_to(&mut desk, "known resistor");
    desk.keys("lno known resistor in the bag\n");
    assert_eq!(
        ticks(&desk),
        ["leads-zeroed visit-1 not here: no known resistor in the bag"]
    );
}

#[test]
fn what_cannot_be_so_while_a_line_is_opened_or_off_is_not_ticked_and_names_the_lines() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        \x1b/h1\nw");
    desk.press(Key::Down);
    desk.keys("b30\n40\n\x1b");
    // H-1 stands opened, all five lines of A1 are OFF.
    let before = ticks(&desk);
    for (words, says) in [
        ("lines: joints closed", "H-1 stands opened: w there"),
        ("H-1     joints closed", "H-1 stands opened: w there"),
        ("supervision", "H-1 stands opened"),
        ("first power", "H-1 stands opened"),
    ] {
        desk.keys("gr");
        go_to(&mut desk, words);
        desk.keys(" ");
        assert_eq!(ticks(&desk), before, "{words}");
        assert!(desk.message().contains(says), "{words}: {}", desk.message());
    }
    // Another line of the same amplifier has its own joints.
    go_to(&mut desk, "H-2     joints closed");
    desk.keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "joints-closed H-2");
    // Closed again, the lines are still OFF.
    desk.keys("\x1b/h1\nwb\x1bgr");
    go_to(&mut desk, "fault lamps");
    desk.keys(" ");
    assert_eq!(
        desk.message(),
        "H-1, H-2, L-1, L-2 and 1 more are OFF: put them back, or say in g v why not"
    );
    assert!(desk.message().len() <= 78);
    // First power at low level is how they come back: with some of them OFF.
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert_eq!(ticks(&desk).last().unwrap(), "low-power A1");
    go_to(&mut desk, "lines: cores back on");
    desk.keys(" ");
    go_to(&mut desk, "fault lamps");
    desk.keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "faults-clear A1");
}
