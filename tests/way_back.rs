//! The way back: from every place one went to, however one went, `g g` leads back to the place, the line
//! and the row that one came from; what was said of one line is not said over another.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/places.rs"]
mod places;

use desk::{Desk, demo, hall};
use linewright::session::{Key, Place};
use places::PLACES;

/// Where one stands: place, line, and the row that the cursor is on as it is drawn.
fn stands(desk: &Desk) -> (Place, String, String) {
    let view = desk.session.view();
    let own = view.tree.into_iter().filter(|row| row.cursor);
    let row: String = own.map(|row| row.line.text()).collect();
    (desk.session.resume().place, desk.on(), row)
}

#[test]
fn from_every_place_to_every_other_g_g_leads_back_to_the_same_place_line_and_row() {
    for (from, there) in PLACES {
        for (to, keys) in PLACES {
            let mut desk = Desk::at(demo());
            desk.rest().keys("/th-1\n");
            if from != Place::Survey {
                desk.keys(there);
            }
            // Not where one comes in: a row further down.
            if matches!(from, Place::Rack | Place::Kit | Place::Review | Place::Walk) {
                desk.press(Key::Down).press(Key::Down);
            }
            let was = stands(&desk);
            assert_eq!(was.0, from);
            desk.keys(keys);
            // From the same place to itself is no step.
            if desk.session.resume().place == from {
                continue;
            }
            assert_eq!(desk.session.resume().place, to, "{from:?} {keys}");
            desk.press(Key::Down);
            desk.keys("gg");
            assert_eq!(stands(&desk), was, "{from:?} {keys}\n{}", desk.screen());
            desk.keys("gf");
            assert_eq!(desk.session.resume().place, to, "{from:?} {keys} forward");
        }
    }
}

#[test]
fn esc_is_a_step_back_by_itself_so_that_g_g_goes_on_from_there() {
    let mut desk = Desk::at(hall());
    desk.keys("/h-2\n").keys("/b-1\n");
    // Into the walk and out of it again: the way back leads to what was before, not into the walk.
    desk.keys("w\x1b");
    assert_eq!(
        (desk.session.resume().place, desk.on().as_str()),
        (Place::Survey, "B-1")
    );
    desk.keys("gg");
    assert_eq!(
        (desk.session.resume().place, desk.on().as_str()),
        (Place::Survey, "H-2")
    );
}

#[test]
fn several_steps_lead_back_one_by_one_in_their_order() {
    let mut desk = Desk::at(hall());
    desk.keys("/h-2\n");
    let mut was = Vec::new();
    for keys in ["w", "gb", "ga", "gr", "gi", "gv", "/l-1\n", "gs"] {
        was.push(stands(&desk));
        desk.keys(keys);
    }
    for (step, was) in was.iter().enumerate().rev() {
        desk.keys("gg");
        assert_eq!(stands(&desk), *was, "step {step}");
    }
    desk.keys("gggg");
    assert_eq!(desk.message(), "no more places that way");
}

#[test]
fn g_g_opens_a_branch_and_lifts_a_filter_that_hides_where_one_stood() {
    let mut desk = Desk::at(demo());
    desk.keys("/ch-2\n").keys("gn");
    let unread = desk.on();
    assert_ne!(unread, "CH-2");
    // CH-2 is in tolerance: what wants a look does not show it.
    desk.keys("f");
    assert!(!desk.screen().contains(" CH-2 "));
    while desk.on() != "CH-2" {
        desk.keys("gg");
        assert_ne!(desk.message(), "no more places that way");
    }
    assert!(desk.screen().contains("CH-2"), "{}", desk.screen());
}

#[test]
fn a_caution_is_gone_with_the_line_it_was_said_of() {
    // Nothing is read yet: a digit on H-1 asks whether the line was proved dead.
    let mut desk = Desk::at(hall());
    desk.keys("i");
    assert!(
        desk.message().contains("core to core"),
        "{}",
        desk.message()
    );
    desk.keys("\x1b");
    assert_eq!(desk.message(), "", "nothing is typed any more");
    // What is asked of one line is a no as soon as another key is pressed, and is asked no more.
    let mut desk = Desk::at(hall());
    desk.keys("/h-1\n").keys("gr");
    while !desk.screen().contains(" H-1 both cores off") {
        desk.press(Key::Down);
    }
    desk.keys(" gs");
    desk.keys("/h-2\nw").press(Key::Home).press(Key::Down);
    desk.keys("b");
    assert!(
        desk.message().contains("b again opens it"),
        "{}",
        desk.message()
    );
    desk.press(Key::Down);
    assert_eq!(
        desk.message(),
        "",
        "any other key is a no, and is seen to be one"
    );
    // A figure begun on a line that is not ticked OFF, dropped, and on to another line.
    desk.keys("gs").keys("/h-2\n").keys("4");
    assert!(
        desk.message().contains("H-2 is not ticked OFF"),
        "{}",
        desk.message()
    );
    desk.press(Key::Backspace).press(Key::Down);
    assert_ne!(desk.on(), "H-2");
    assert!(!desk.message().contains("H-2"), "{}", desk.message());
    // What was done stands until the next act.
    desk.keys("/h-1\n336\n").press(Key::Down);
    assert!(
        desk.message().contains("H-1 reads 336 ohm"),
        "{}",
        desk.message()
    );
}

#[test]
fn f_pressed_round_to_all_lines_leaves_one_where_it_began() {
    let mut desk = Desk::at(demo());
    desk.keys("/of3\n").rest();
    let began = desk.on();
    for _ in 0..4 {
        desk.keys("f");
    }
    assert!(
        desk.message().starts_with("all lines again"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.on(), began);
    // Whoever moved meanwhile stays where they went.
    desk.keys("f").press(Key::Down);
    let went = desk.on();
    desk.keys("fff");
    assert_eq!(desk.on(), went);
}

#[test]
fn that_a_key_does_nothing_is_said_until_the_next_step() {
    let mut desk = Desk::at(demo());
    desk.keys("@");
    assert!(
        desk.message().contains("does nothing here"),
        "{}",
        desk.message()
    );
    desk.press(Key::Down);
    assert_eq!(desk.message(), "");
}
