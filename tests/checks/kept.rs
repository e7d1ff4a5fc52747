//! Order, filter, counts and messages while facts come in, late or not.

use super::*;

#[test]
fn check_11_with_a_disk_that_answers_late_no_key_is_lost_or_reordered() {
    let mut fast = Desk::at(hall());
    let mut slow = Desk::at(hall());
    slow.disk = DiskIs::Slow;
    for (at, c) in "336\n410\nx10\n561\n548\nu548\n275\n498\n"
        .chars()
        .enumerate()
    {
        fast.press(key(c));
        slow.press(key(c));
        // An answer comes back after every fifth key.
        if at % 5 == 4 {
            slow.answer();
        }
    }
    slow.answer();
    assert_eq!(slow.readings(), fast.readings());
    assert_eq!(slow.readings().len(), 6);
}

#[test]
fn check_11_order_and_filter_stay_while_facts_come_in() {
    let mut desk = Desk::at(hall());
    desk.keys("205\ngogo");
    let labels = |desk: &Desk| -> Vec<String> {
        let view = desk.session.view();
        view.tree
            .iter()
            .map(|row| row.line.text()[3..9].trim().to_owned())
            .collect()
    };
    let before = labels(&desk);
    assert_eq!(before[1], "H-1", "worst first: {before:?}");
    let on = desk.on();
    desk.keys("700\n");
    assert!(
        desk.screen().contains("worst first"),
        "the header says the order"
    );
    assert_eq!(labels(&desk), before, "what was read since moves no row");
    assert_ne!(desk.on(), on, "Enter went on to the next unread");
    desk.event(Event::Replaced(Box::new(desk.session.site().clone())));
    assert_eq!(labels(&desk), before);
}

#[test]
fn check_12_off_is_counted_in_the_first_row_of_every_place_and_overlay() {
    for keys in [
        "", "w", "w?", "wg", "gr", "gr?", "grl", "g", "?", "f", "ff", "fff", "go", "gogo", "41",
        "41n", "n", "/", "j", "l", "398r",
    ] {
        for size in [(60, 20), (80, 24), (160, 48)] {
            let mut desk = Desk::at(demo());
            desk.resize(size.0, size.1).keys(keys);
            let screen = desk.screen();
            let first = screen.lines().next().unwrap();
            assert!(first.ends_with("6 OFF"), "{keys:?} {size:?}: {first}");
        }
    }
}

#[test]
fn check_12_the_last_message_stands_until_the_next_act() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n");
    let before = desk.session.message().clone();
    assert!(before.text.starts_with("recorded"));
    desk.rest();
    desk.resize(160, 48).resize(80, 24);
    for _ in 0..5 {
        desk.event(Event::Idle);
    }
    assert_eq!(desk.session.message(), &before);
}

#[test]
fn check_12_each_factor_of_ten_and_swap_that_would_fit_raises_look_and_alters_nothing() {
    // H-1 should read 333 ohm less its cable; 33.4 and 3340 are ten times out, and 343 fits as it is.
    for (typed, says) in [("33.4", "would"), ("3340", "would")] {
        let mut desk = Desk::at(hall());
        desk.keys(typed);
        let screen = desk.screen();
        assert!(screen.contains("look"), "{typed}: {screen}");
        assert!(screen.contains(says), "{typed}: {screen}");
        desk.press(Key::Enter);
        assert_eq!(desk.readings(), [format!("H-1 {typed}")]);
    }
    // B-1 should read 278 ohm: 728 has its first two digits swapped.
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n728");
    assert!(desk.screen().contains("look"), "{}", desk.screen());
}
