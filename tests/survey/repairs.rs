//! Repairs, and readings as found and as left.

use crate::desk::{Desk, DiskIs, hall};
use linewright::session::Mode;
use linewright::site::Do;
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
