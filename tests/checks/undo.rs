//! Each act taken back by one key; nothing lost by Esc.

use super::*;

/// Every act there is: where it is done, and its keys. The last key records it.
const ACTS: [(&str, &str); 22] = [
    ("", "336\n"),
    ("", "open\n"),
    ("", "0\n"),
    ("336\n", "x10\n"),
    ("", "d212\n"),
    ("", "i200M a v250\n"),
    ("", ">999M\n"),
    ("", "205p-23\n"),
    ("", "205nleads dirty\n"),
    ("", "398r400\n"),
    ("205\n/h1\n", "jtap reset\n"),
    ("205\n/h1\n", "jtap reset\t\n"),
    ("", "llocked room\n"),
    ("", "ndusty\n"),
    ("gr", " "),
    ("gr       ", " "),
    ("gr", "lnone here\n"),
    ("w", " "),
    ("w", "s"),
    ("w", "b"),
    ("wb", "479\n"),
    ("wb479\n1200\n", "b"),
];

#[test]
fn check_9_each_act_is_undone_by_one_u_to_the_same_facts_and_the_same_bytes() {
    for (before, act) in ACTS {
        let mut desk = Desk::at(hall());
        desk.keys(before);
        let was = (facts(&desk), desk.json());
        let len = desk.log_len();
        desk.keys(act);
        assert!(desk.log_len() > len, "{act:?} records something");
        let is = (facts(&desk), desk.json());
        assert_ne!(is.0, was.0, "{act:?}");
        if matches!(desk.session.mode(), Mode::Reading(_)) {
            // The flow of a split asks for the next figure: one step back, then `u`.
            desk.keys("\x1b");
        }
        let grown = desk.log_len();
        desk.keys("u");
        same(&(facts(&desk), desk.json()), &was, act);
        assert_eq!(desk.log_len(), grown + 1, "the log only grows");
        desk.keys("\x1br");
        same(&(facts(&desk), desk.json()), &is, act);
    }
}

#[test]
fn check_9_ten_pasted_readings_are_shown_first_recorded_as_one_and_undone_by_one_u() {
    let mut desk = Desk::at(demo());
    let first = desk.on();
    let was = (facts(&desk), desk.json());
    desk.event(Event::Paste(
        "1001\r250\r251\r252\r253\r254\r255\r256\r257\r258\r".into(),
    ));
    assert_eq!(facts(&desk), was.0, "nothing is recorded before Enter");
    let screen = desk.screen();
    assert!(screen.contains("10 readings pasted"), "{screen}");
    assert!(screen.contains("typed"), "{screen}");
    assert!(
        desk.screen().contains("Enter records, Esc drops"),
        "{screen}"
    );
    desk.keys("7");
    assert!(
        desk.message().contains("Enter records"),
        "{}",
        desk.message()
    );
    desk.keys("\x1bu");
    assert!(desk.screen().contains("and 9 more"), "Esc lost nothing");
    desk.press(Key::Enter);
    assert_eq!(desk.sent.last().unwrap().len(), 10);
    assert_eq!(facts(&desk).len(), was.0.len() + 10);
    let readings = desk.readings();
    assert!(readings.contains(&format!("{first} 1001")), "{readings:?}");
    assert!(desk.message().contains("10 readings"), "{}", desk.message());
    let acts: BTreeSet<_> = desk.sent.last().unwrap().iter().map(|it| &it.act).collect();
    assert_eq!(acts.len(), 1);
    desk.keys("u");
    same(&(facts(&desk), desk.json()), &was, "a paste");
}

#[test]
fn check_9_a_paste_with_one_bad_row_or_a_row_too_many_is_not_taken_and_says_which() {
    for (paste, why) in [
        ("336\n4x7\n", "row 2, 4x7"),
        ("1\n2\n3\n4\n5\n6\n7\n", "row 7, 7: no unread line is left"),
        ("H-1 336\nH-1 410\n", "row 2: a second figure for H-1"),
        ("q\nu\n", "row 1, q"),
    ] {
        let mut desk = Desk::at(hall());
        desk.event(Event::Paste(paste.into()));
        assert!(desk.message().contains(why), "{}", desk.message());
        assert!(desk.sent.is_empty() && !desk.left);
        assert_eq!(desk.session.mode(), &Mode::Key);
    }
    let mut desk = Desk::at(hall());
    desk.event(Event::Paste("C-1\t498\nL-2 548\n".into()));
    desk.press(Key::Enter);
    assert_eq!(desk.readings(), ["C-1 498", "L-2 548"]);
}

#[test]
fn check_9_ten_esc_from_every_place_and_mode_lose_nothing_and_never_leave() {
    for keys in [
        "w", "ws", "wb", "wb4", "gr", "gr ", "gr lno", "gr39", "gr?", "w?", "wg", "grg", "f", "go",
        "ljust", "nso", "41nleads", "41n", "jdone\t", "41t",
    ] {
        let mut desk = Desk::at(hall());
        desk.keys("336\n").keys(keys);
        let (typed, facts_before) = (desk.typed(), facts(&desk));
        for _ in 0..10 {
            desk.press(Key::Esc);
        }
        assert!(!desk.left, "{keys}");
        assert_eq!(facts(&desk), facts_before, "{keys}");
        assert!(desk.screen().contains("survey"), "{keys}");
        if let Some(text) = typed.filter(|text| !text.is_empty()) {
            desk.keys("u");
            let screen = desk.screen();
            assert!(
                screen.contains(&text),
                "{keys}: {text} is brought back: {screen}"
            );
        }
    }
}

#[test]
fn check_9_the_last_act_before_a_kill_is_taken_back_by_the_next_sitting_and_no_other() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n410\n");
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
    let site = desk.session.site().clone();
    let mut next = Desk::with(site, opening("nextnextnextnext"), resume);
    next.keys("u");
    assert_eq!(next.readings(), ["H-1 336"]);
    next.keys("u");
    assert_eq!(next.readings(), ["H-1 336"], "only the last act");
    assert!(next.message().contains("nothing"), "{}", next.message());
    // Nobody takes back what another did, nor does who may only look.
    let resume = || Resume::from_text(desk.remembered.as_ref().unwrap());
    let mut other = opening("otherotherothero");
    other.by = "engineer B".into();
    let mut looks = opening("lookslookslooksl");
    looks.access = linewright::session::Access::ReadsOnly("engineer A writes here".into());
    for opening in [other, looks] {
        let mut next = Desk::with(desk.session.site().clone(), opening, resume());
        next.keys("u");
        assert_eq!(next.readings().len(), 2, "{}", next.message());
        assert!(next.sent.is_empty());
    }
}
