//! What stands again after a kill.

use super::*;

/// A morning's keys, through every place.
const MORNING: &str = "gr  lnone\n\x1b398r400\n336nfirst\n41x10\nllocked\ngo48\nfu\x1b\
                       /h1\n205\n/h1\nw s\x1b/h1\njtap reset\n334\ngo?\x1b27";

#[test]
fn check_10_killed_at_any_key_one_stands_there_again_with_what_was_half_typed() {
    let mut desk = Desk::at(hall());
    for (at, c) in MORNING.chars().enumerate() {
        desk.press(key(c));
        let kept = desk.remembered.clone().unwrap();
        let again = Session::new(
            desk.session.site().clone(),
            opening("nextnextnextnext"),
            Resume::from_text(&kept),
        );
        let (is, was) = (again.resume(), desk.session.resume());
        assert_eq!(is, was, "key {at}, {c:?}");
        match desk.session.mode() {
            Mode::Reading(_) => assert_eq!(again.mode(), desk.session.mode(), "key {at}"),
            Mode::Text(words) if words.purpose != linewright::session::Purpose::Find => {
                assert_eq!(again.mode(), desk.session.mode(), "key {at}");
            }
            _ => assert_eq!(again.mode(), &Mode::Key, "key {at}"),
        }
        let rows = |session: &Session| {
            let view = session.view();
            let tree: Vec<String> = view.tree.iter().map(|row| row.line.text()).collect();
            (view.header.text(), tree.len())
        };
        let mut again = again;
        linewright::session::update(&mut again, Event::Resize(80, 24));
        if !matches!(desk.session.mode(), Mode::GoList) && !desk.screen().contains("   keys ") {
            assert_eq!(rows(&again), rows(&desk.session), "key {at}, {c:?}");
        }
    }
    assert!(desk.readings().len() >= 4, "{:?}", desk.readings());
}

#[test]
fn check_10_no_key_more_is_needed_to_the_next_reading_after_a_kill() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n4");
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
    let site = desk.session.site().clone();
    let mut next = Desk::with(site, opening("nextnextnextnext"), resume);
    next.keys("10\n561\n");
    let mut readings = next.readings();
    readings.sort();
    assert_eq!(readings, ["H-1 336", "H-2 410", "L-1 561"]);
}
