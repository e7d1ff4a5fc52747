//! Acts of designing taken back and done again.

use super::*;

/// Keys that change something, from the survey of the small hall.
const ACTS: [&str; 12] = [
    "gsaA9 2x60w\n",
    "/c1\na",
    "/h1\nyy",
    "/h1\na9m\n",
    "/h1\na3w 4m b:LS-3 t:new\n",
    "/h1\ne ins\n",
    "/h1\ngdaJ-1 5m\n",
    "/h1\ngdD",
    "/h1\nD",
    "/h1\nhdown\n",
    "/h1\nh\n",
    "/c1\na 5w 9m; 10w; 5w\n",
];

#[test]
fn each_act_is_taken_back_by_one_key_to_the_same_bytes_and_done_again_by_one() {
    for keys in ACTS {
        let mut desk = Desk::at(hall());
        let before = desk.json();
        act(&mut desk, keys);
        let acts = desk.sent.len();
        if keys.ends_with('a') {
            desk.keys("\x1b");
            assert_eq!(acts, 0, "{keys:?}");
            continue;
        }
        assert_eq!(acts, 1, "{keys:?}: {} {:?}", desk.message(), desk.typed());
        let after = desk.json();
        let log = desk.log_len();
        assert_ne!(after, before, "{keys:?}");
        desk.keys("u");
        assert_eq!(
            desk.json(),
            before,
            "{keys:?} taken back: {}",
            desk.message()
        );
        assert!(desk.log_len() > log, "the log only grows");
        desk.keys("r");
        assert_eq!(
            desk.json(),
            after,
            "{keys:?} done again: {}",
            desk.message()
        );
        desk.keys("u");
        assert_eq!(desk.json(), before, "{keys:?} taken back again");
        // What was written can be read, and the whole log gives the same building.
        let bytes = format1::write(desk.session.site()).unwrap();
        assert_eq!(json_of(&format1::read("x", &bytes).unwrap().site), before);
    }
}

#[test]
fn edits_carry_what_was_and_what_is_and_one_act_is_marked_as_one() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\na3w 4m b:LS-3 t:new\n");
    let sent = &desk.sent[0];
    let acts: Vec<_> = sent.iter().map(|entry| entry.act.clone()).collect();
    assert_eq!(
        acts,
        vec![Some(sent[0].id.0.clone()); 3],
        "type, loudspeaker, the next re-hung"
    );
    for entry in sent {
        let Do::Edit(edit) = &entry.what else {
            panic!()
        };
        let is_new = edit.of != Ref::Node("H-1/LS-3".into());
        assert_eq!(edit.was.is_empty(), is_new, "{:?}", edit.of);
    }
    desk.keys("u");
    for entry in &desk.sent[1] {
        let Do::Edit(edit) = &entry.what else {
            panic!()
        };
        assert!(edit.undoes.is_some());
    }
}
