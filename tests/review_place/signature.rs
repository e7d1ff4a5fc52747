//! The signature: what it wants, what breaks it, what is said while it is made.

use super::*;

#[test]
fn a_signature_taken_back_stays_in_the_record_as_withdrawn_and_the_words_before_it_go_too() {
    let mut desk = reviewing();
    let mut states = vec![desk.json()];
    let acts = [
        "lshort, N. N., 2026-12-01\n",
        " wanted so\n",
        "llocked room\n",
        "N. Engineer, engineer\n",
    ];
    for (nth, act) in acts.into_iter().enumerate() {
        if nth == 3 {
            // The row that is signed is where the last word leads.
            desk.press(Key::Enter);
        }
        desk.keys(act);
        states.push(desk.json());
    }
    states.dedup();
    assert_eq!(states.len(), 5, "each act is seen in what assess says");
    // A signature that was taken back is not as if it had never been: the record keeps it, withdrawn.
    desk.keys("uu");
    let sealed = seals(desk.session.site());
    assert_eq!(sealed[0].breaks[0].how, Break::Withdrawn);
    assert!(rows(&desk)[0].ends_with("nothing stands in the way of sign-off: Enter signs"));
    states.truncate(3);
    while let Some(state) = states.pop() {
        desk.keys("u");
        let mut now: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
        let mut then: serde_json::Value = serde_json::from_str(&state).unwrap();
        for it in [&mut now, &mut then] {
            it["seals"].take();
        }
        assert_eq!(now.to_string(), then.to_string(), "{} acts", states.len());
    }
}

#[test]
fn a_later_reading_is_seen_as_a_change_of_what_was_signed() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n");
    assert!(
        row(&desk).ends_with("nothing changed since"),
        "{}",
        row(&desk)
    );
    // The line is back on: a reading of it is asked about once.
    desk.keys("\x1b/h1\n334\n\ngv").press(Key::Home);
    assert_eq!(
        row(&desk),
        "> BROKEN, 1 change since 2026-11-25 14:07: signed by N. Engineer"
    );
}

#[test]
fn a_name_without_a_role_signs_nothing() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").press(Key::Home).press(Key::Enter);
    for typed in ["", "N. Engineer", ","] {
        desk.keys(typed).keys("\n");
        assert!(desk.message().starts_with("name, comma, role were wanted"));
    }
    assert_eq!(seals(desk.session.site()).len(), 0);
    desk.keys("\x1b");
    assert_eq!(desk.typed(), None);
}

#[test]
fn the_screen_says_signing_before_it_begins_and_what_is_typed_meanwhile_is_no_command() {
    let mut pen = Pen::on(hall());
    for line in ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"] {
        pen.read_as_drawn(line);
        pen.hear_all(line);
    }
    pen.tick_all();
    let mut desk = Desk::at(pen.site);
    desk.keys("gv");
    assert!(desk.screen().contains("Enter sign"), "{}", desk.screen());
    desk.keys("\nN. N., engineer");
    let before = desk.log_len();
    let at = "2026-11-25T15:00:00Z".parse().unwrap();
    desk.event(linewright::session::Event::Key(Key::Enter, at));
    assert!(desk.session.is_signing());
    assert!(
        desk.message().starts_with("signing ..."),
        "{}",
        desk.message()
    );
    assert_eq!(desk.log_len(), before, "nothing is signed yet");
    for key in [Key::Char('u'), Key::Char('q'), Key::Char('9'), Key::Enter] {
        desk.event(linewright::session::Event::Key(key, at));
    }
    assert!(!desk.left);
    assert!(desk.message().starts_with("signing ..."));
    desk.rest();
    assert_eq!(seals(desk.session.site()).len(), 1);
    assert_eq!(desk.typed(), None);
    assert_eq!(desk.log_len(), before + 1);
    // It stands, and that is said before it is broken, and when it was.
    assert!(desk.screen().lines().next().unwrap().contains("signed"));
    desk.keys("gs")
        .press(Key::Down)
        .press(Key::Down)
        .press(Key::Down)
        .press(Key::Down);
    let line = desk.on();
    desk.keys("400");
    let screen = desk.screen();
    assert!(screen.contains("signed: this breaks the seal>"), "{screen}");
    // The line is back on: asked about once.
    desk.press(Key::Enter).press(Key::Enter);
    let words = format!("SEAL BROKEN: {line} changed since");
    assert!(desk.message().starts_with(&words), "{}", desk.message());
    assert!(
        desk.screen()
            .lines()
            .next()
            .unwrap()
            .contains("SEAL BROKEN")
    );
    desk.keys("401");
    assert!(!desk.screen().contains("breaks the seal"));
}
