//! The review in the terminal: what stands in the way of signing, a word on each, the signature; every
//! act taken back; the place as it is drawn.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/scenes.rs"]
mod scenes;

use desk::{Desk, DiskIs, demo, hall, opening};
use linewright::analysis::Analyst;
use linewright::report::{Assessment, Paper, pdf, record};
use linewright::review::{Break, seals};
use linewright::session::{Access, Event, Key, Printed, Resume};
use linewright::site::{Decision, Do, Ref};
use pen::{Pen, evening};

/// The desk in the review of that evening.
fn reviewing() -> Desk {
    let mut desk = Desk::at(evening());
    desk.keys("gv");
    desk
}

/// Sign, label and the rest of each row that an item has.
fn rows(desk: &Desk) -> Vec<String> {
    let screen = desk.screen();
    let list = screen.lines().skip(2).take_while(|row| !row.is_empty());
    list.map(|row| row.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

/// The row under the cursor.
fn row(desk: &Desk) -> String {
    let screen = desk.screen();
    let own = screen.lines().find(|row| row.starts_with('>')).unwrap();
    own.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What was decided in this sitting and counts.
fn decided(desk: &Desk) -> Vec<(Ref, Decision, String)> {
    let log = desk.session.site().log();
    let own = log
        .entries()
        .iter()
        .filter(|entry| entry.id.as_str().starts_with("deskdeskdeskdesk") && log.counts(&entry.id));
    own.filter_map(|entry| match &entry.what {
        Do::Decide(it) => Some((
            it.of.clone(),
            it.is.clone(),
            entry.why.clone().unwrap_or_default(),
        )),
        _ => None,
    })
    .collect()
}

fn line(label: &str) -> Ref {
    Ref::Line(label.into())
}

#[test]
fn the_review_lists_what_stands_in_the_way_worst_first_and_a_word_each_opens_the_signature() {
    // Before: a short, a line a third over its load, one unread, one off the amplifier.
    let mut desk = reviewing();
    let list = rows(&desk);
    assert_eq!(
        list[0],
        "in the way of sign-off: 4, worst first; Enter here signs when 0 are"
    );
    // How often the load as drawn goes into a short is no figure.
    assert_eq!(list[1], ">! H-2 0.60 ohm short no word yet OFF");
    let out = list[2].strip_prefix("+ L-1 417 ohm +33.").unwrap();
    assert!(out.ends_with(" % out no word yet"), "{out}");
    assert_eq!(
        list[3..],
        [
            ". B-1 unread no word yet",
            ". H-2 OFF, not back on no word yet OFF",
        ]
    );
    let before = desk.log_len();

    // Keys: the signature is refused with the count, nothing is recorded.
    desk.press(Key::Home).press(Key::Enter);
    assert_eq!(
        desk.message(),
        "not signed: 4 stand in the way of sign-off, first H-2"
    );
    assert_eq!((desk.typed(), desk.log_len()), (None, before));

    // The short stays off and open, the load is wanted, the room was locked.
    desk.press(Key::Down)
        .keys("lshort near the rack, N. N., 2026-12-01\n");
    // The cursor goes on by itself.
    desk.keys(" 20 W wanted here\n");
    desk.keys("llocked room\n");

    // After: a word each, in the rows where they stood; one word settled both items of H-2.
    let snag = Decision::Snag {
        owner: "N. N.".to_owned(),
        due: Some(pen::day("2026-12-01")),
    };
    assert_eq!(
        decided(&desk),
        [
            (line("H-2"), snag, "short near the rack".to_owned()),
            (
                line("L-1"),
                Decision::Accepted,
                "20 W wanted here".to_owned()
            ),
            (line("B-1"), Decision::Skipped, "locked room".to_owned()),
        ]
    );
    let labels: Vec<String> = rows(&desk)[1..]
        .iter()
        .map(|row| {
            row.trim_start_matches('>')
                .split(' ')
                .nth(1)
                .unwrap()
                .to_owned()
        })
        .collect();
    assert_eq!(labels, ["H-2", "L-1", "B-1", "H-2"]);
    assert!(rows(&desk)[0].starts_with("> nothing stands in the way of sign-off"));

    // A name and a role, and it is sealed.
    desk.press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n");
    let sealed = seals(desk.session.site());
    assert_eq!(sealed.len(), 1);
    assert!(sealed[0].is_intact());
    assert_eq!(sealed[0].seal.name, "N. Engineer");
    assert_eq!(sealed[0].seal.role, "commissioning engineer");
    assert_eq!(sealed[0].seal.scope, Ref::Site);
    assert!(
        row(&desk).contains("by N. Engineer, commissioning engineer: nothing changed since"),
        "{}",
        row(&desk)
    );
}

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
fn every_word_of_the_review_is_taken_back_to_the_same_bytes_and_said_again() {
    for act in [
        "lshort, N. N., 2026-12-01\n",
        "@ wanted so\n",
        "@lwanted so, N. N., 2026-12-01\n",
        "@@llocked room\n",
        "@@@ stays off\n",
    ] {
        let mut desk = reviewing();
        let (before, list) = (desk.json(), rows(&desk)[1..].to_vec());
        for key in act.chars() {
            match key {
                '@' => desk.press(Key::Down),
                key => desk.keys(&key.to_string()),
            };
        }
        let after = desk.json();
        assert!(after != before, "{act}");
        desk.keys("u");
        assert!(desk.json() == before, "{act}");
        let unmarked = |rows: &[String]| -> Vec<String> {
            rows.iter().map(|row| row.replace('>', "")).collect()
        };
        assert_eq!(unmarked(&rows(&desk)[1..]), unmarked(&list), "{act}");
        desk.keys("r");
        assert!(desk.json() == after, "{act}");
    }
}

#[test]
fn what_is_settled_keeps_its_row_until_the_review_is_asked_for_again() {
    let mut desk = reviewing();
    desk.press(Key::Down).keys(" wanted so\n");
    assert!(row(&desk).contains("B-1"), "{}", row(&desk));
    assert!(rows(&desk)[2].ends_with("accepted: wanted so"));
    desk.press(Key::Up);
    desk.keys("gv");
    // The same item under the cursor, now below what still stands in the way.
    assert!(row(&desk).contains("L-1"), "{}", row(&desk));
    let screen = desk.screen();
    let at = |words: &str| screen.lines().position(|row| row.contains(words)).unwrap();
    assert!(at("B-1") < at("settled: 2") && at("settled: 2") < at("accepted: wanted so"));
}

#[test]
fn a_snag_without_owner_and_date_is_refused_and_stays_typed() {
    let mut desk = reviewing();
    let before = desk.log_len();
    for (typed, wanted) in [
        ("", "say in a few words why"),
        ("short", "three parts are wanted"),
        (", soon", "three parts are wanted"),
        (", N. N., soon", "a date such as 2026-12-01 was wanted"),
    ] {
        desk.keys("\x1b")
            .keys("gv")
            .press(Key::Home)
            .press(Key::Down);
        desk.keys("l")
            .keys(if typed.is_empty() { "" } else { "short" });
        desk.keys(if typed == "short" { "" } else { typed })
            .keys("\n");
        assert!(
            desk.message().contains(wanted),
            "{typed}: {}",
            desk.message()
        );
        assert!(desk.typed().is_some(), "{typed}");
    }
    assert_eq!(desk.log_len(), before);
}

#[test]
fn no_word_settles_what_is_done_elsewhere_and_enter_goes_there() {
    let mut pen = Pen::on(hall());
    pen.read("L-1", "417");
    let mut desk = Desk::at(pen.site);
    desk.keys("gv");
    while !row(&desk).contains("not ticked: supervision") && !row(&desk).contains("faults") {
        let before = row(&desk);
        desk.press(Key::Down);
        assert_ne!(row(&desk), before, "{}", desk.screen());
    }
    let (len, wanted) = (desk.log_len(), row(&desk));
    desk.keys(" ");
    assert!(
        desk.message()
            .starts_with("no word settles this: tick it where it is done")
    );
    assert_eq!((desk.typed(), desk.log_len()), (None, len));
    desk.press(Key::Enter);
    let screen = desk.screen();
    assert!(screen.starts_with(" Old seed hall   rack list"), "{screen}");
    let own = screen.lines().find(|row| row.starts_with('>')).unwrap();
    let own = own.split('\u{2502}').next().unwrap().trim_end();
    let words = own.rsplit("  ").next().unwrap().trim();
    assert!(wanted.contains(words), "{wanted}: {words}");
}

#[test]
fn enter_goes_to_the_line_where_it_is_settled() {
    let mut desk = reviewing();
    desk.press(Key::Down).press(Key::Enter);
    assert!(desk.screen().starts_with(" Old seed hall   survey"));
    assert_eq!(desk.on(), "L-1");
    // Repaired and read again it stands in nobody's way.
    // It is back on, so a reading of it is asked about once.
    desk.keys("jtap reset\n").keys("556\n\n").keys("gv");
    let screen = desk.screen();
    assert!(screen.contains("in the way of sign-off: 4"), "{screen}");
    assert!(screen.contains("repaired: tap reset"), "{screen}");
    assert!(screen.contains("review, 4 in the way"), "{screen}");
}

#[test]
fn a_short_counts_as_settled_only_while_it_is_off() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.read("H-2", "0.6");
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").keys(" left so\n");
    assert!(row(&desk).contains("not enough"), "{}", row(&desk));
    assert!(rows(&desk)[0].starts_with("in the way of sign-off: 1"));
}

#[test]
fn what_is_not_on_the_disk_is_marked_and_nothing_is_signed_over_it() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.read("L-1", "417");
    let mut desk = Desk::at(pen.site);
    desk.keys("gv");
    desk.disk = DiskIs::Slow;
    desk.keys(" wanted so\n").press(Key::Down);
    assert!(row(&desk).starts_with(">^ L-1"), "{}", row(&desk));
    assert!(row(&desk).ends_with("sent"), "{}", row(&desk));
    assert!(rows(&desk)[0].starts_with("in the way of sign-off: 1"));
    desk.disk = DiskIs::Fast;
    desk.answer();
    assert!(
        row(&desk).ends_with("accepted: wanted so"),
        "{}",
        row(&desk)
    );
    desk.disk = DiskIs::Full;
    desk.keys("l too, N. N., 2026-12-01\n").press(Key::Down);
    assert!(row(&desk).ends_with("FAILED"), "{}", row(&desk));
    desk.press(Key::Home).press(Key::Enter);
    desk.disk = DiskIs::Fast;
    assert_eq!(seals(desk.session.site()).len(), 0);
}

#[test]
fn who_only_reads_looks_and_says_nothing() {
    let mut reads = opening("deskdeskdeskdesk");
    reads.access = Access::ReadsOnly("engineer B has it open".to_owned());
    let mut desk = Desk::with(evening(), reads, None);
    desk.keys("gv");
    assert!(row(&desk).contains("H-2"));
    for key in [" ", "l"] {
        desk.keys(key);
        assert!(desk.message().starts_with("not recorded, read only"));
        assert_eq!(desk.typed(), None);
    }
    desk.press(Key::Home).press(Key::Enter);
    assert!(desk.message().starts_with("not recorded, read only"));
}

#[test]
fn an_output_over_its_rating_takes_a_word_under_its_whole_name() {
    let mut desk = Desk::at(demo());
    desk.keys("gv").press(Key::Down);
    assert!(row(&desk).starts_with(">+ A2 out 1"), "{}", row(&desk));
    desk.keys(" wanted so\n");
    assert_eq!(
        desk.message(),
        "recorded 14:07  A2 out 1  accepted: wanted so"
    );
    desk.press(Key::Up);
    assert!(
        row(&desk).ends_with("accepted: wanted so"),
        "{}",
        row(&desk)
    );
}

#[test]
fn whoever_left_in_the_review_stands_there_again() {
    let mut desk = reviewing();
    desk.keys("q");
    let resume = Resume::from_text(desk.remembered.as_deref().unwrap()).unwrap();
    let again = Desk::with(
        desk.session.site().clone(),
        opening("otherotherotheroo"),
        Some(resume),
    );
    assert!(again.screen().starts_with(" Old seed hall   review, "));
    assert!(row(&again).contains("H-2"), "{}", row(&again));
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
fn at_any_size_it_is_drawn_and_in_ascii_every_figure_stands_in_the_same_cell() {
    for (columns, rows) in [
        (160, 48),
        (100, 30),
        (60, 20),
        (40, 10),
        (39, 9),
        (1, 1),
        (0, 0),
    ] {
        let mut ascii = opening("deskdeskdeskdesk");
        ascii.ascii = true;
        let mut plain = Desk::with(evening(), ascii, None);
        let mut drawn = Desk::at(evening());
        for desk in [&mut plain, &mut drawn] {
            desk.resize(columns, rows).keys("gv");
            desk.press(Key::End);
        }
        let cells = |text: String| -> Vec<char> {
            text.chars()
                .map(|c| if c.is_ascii() { c } else { '|' })
                .collect()
        };
        assert!(plain.screen().is_ascii());
        let (a, b) = (cells(plain.screen()), cells(drawn.screen()));
        assert_eq!(a.len(), b.len());
        assert!(a.iter().zip(&b).all(|(a, b)| a == b || "-+|".contains(*a)));
    }
}

#[test]
fn a_zone_is_reviewed_and_signed_by_itself_while_the_rest_still_waits() {
    // Before: four things stand in the way of the whole evening, none of them in the car park, which hangs
    // on an amplifier of its own.
    let mut desk = reviewing();
    desk.keys("v");
    assert_eq!(
        rows(&desk),
        [
            "sign for in the way",
            "> the whole site 4",
            "amplifier A1 4",
            "amplifier A2 nothing",
            "zone Hall 2",
            "zone Lobby 1",
            "zone Balcony 1",
            "zone Car park nothing",
        ]
    );
    // Letters of a name, or Up and Down; Esc leaves all as it was.
    desk.keys("LOB");
    assert_eq!(row(&desk), "> zone Lobby 1");
    desk.press(Key::Down).press(Key::Up).press(Key::Up);
    assert_eq!(
        (row(&desk).as_str(), desk.typed().as_deref()),
        ("> zone Hall 2", Some("zone Hall"))
    );
    desk.keys("\x1b");
    assert!(rows(&desk)[0].starts_with("in the way of sign-off: 4"));

    // The lobby is refused, with what stands in the way of it alone, and nothing is recorded.
    let before = desk.log_len();
    desk.keys("vlobby\n");
    assert!(row(&desk).contains("L-1"), "{}", desk.screen());
    desk.press(Key::Home);
    assert_eq!(
        rows(&desk)[0],
        "> in the way of zone Lobby: 1, worst first; Enter here signs when 0 are"
    );
    assert!(rows(&desk)[1].contains("L-1"), "{}", desk.screen());
    assert!(!desk.screen().contains("H-2"), "{}", desk.screen());
    desk.press(Key::Enter);
    assert_eq!(
        desk.message(),
        "not signed: 1 stands in the way of zone Lobby, first L-1"
    );
    assert_eq!((desk.typed(), desk.log_len()), (None, before));

    // The car park is signed for, and that is said before, while and after.
    desk.keys("vcar park\n");
    let header = |desk: &Desk| desk.screen().lines().next().unwrap().to_owned();
    // Where there is no room for all, what it is a review of and of which building.
    assert!(header(&desk).starts_with(" Old seed hall   review of zone Car park "));
    assert_eq!(
        rows(&desk)[0],
        "> nothing stands in the way of zone Car park: Enter signs"
    );
    desk.keys("\nN. Engineer, engineer");
    assert!(
        desk.screen()
            .contains(" sign for zone Car park: name, role> N. Engineer, engineer")
    );
    desk.press(Key::Enter);
    let sealed = seals(desk.session.site());
    assert_eq!(sealed.len(), 1);
    assert_eq!(sealed[0].seal.scope, Ref::Zone("Car park".into()));
    assert!(sealed[0].seal.facts.iter().any(|it| it.0 == line("C-1")));
    assert!(!sealed[0].seal.facts.iter().any(|it| it.0 == line("L-1")));
    assert!(
        desk.message()
            .contains("signed for zone Car park by N. Engineer, engineer"),
        "{}",
        desk.message()
    );
    let signed = "signed 14:07 for zone Car park by N. Engineer: nothing changed since";
    assert_eq!(row(&desk), format!("> {signed}"));
    assert!(header(&desk).contains(" part signed "), "{}", header(&desk));
    // The list has it, and the whole site is as far from its signature as before.
    desk.keys("v");
    assert!(
        row(&desk).starts_with("> zone Car park nothing signed 14:07"),
        "{}",
        row(&desk)
    );
    desk.keys("whole\n");
    assert!(
        rows(&desk)[0].starts_with("in the way of sign-off: 4"),
        "{}",
        rows(&desk)[0]
    );
}

#[test]
fn what_is_read_elsewhere_leaves_the_seal_of_a_part_whole_and_what_is_read_in_it_breaks_it() {
    let mut desk = reviewing();
    for part in ["car park", "amplifier a2"] {
        desk.keys(&format!("v{part}\n\nN. Engineer, engineer\n"));
    }
    assert_eq!(seals(desk.session.site()).len(), 2);
    desk.keys("gs/l-2\n555");
    assert!(
        !desk.screen().contains("breaks the seal"),
        "{}",
        desk.screen()
    );
    desk.keys("\n\n");
    assert!(
        desk.message().starts_with("recorded 14:"),
        "{}",
        desk.message()
    );
    assert!(seals(desk.session.site()).iter().all(|it| it.is_intact()));
    desk.keys("gs/c-1\n400");
    assert!(
        desk.screen().contains("signed: this breaks the seal>"),
        "{}",
        desk.screen()
    );
    desk.keys("\n\n");
    let said = desk.message();
    let words =
        "2 SEALS BROKEN: C-1 changed since zone Car park, amplifier A2 were signed; recorded ";
    assert!(said.starts_with(words), "{said}");
    assert!(!desk.screen().lines().next().unwrap().contains("signed"));
}

#[test]
fn the_part_is_remembered_and_one_that_there_is_not_is_no_part() {
    let mut desk = reviewing();
    desk.keys("vcellar\n");
    assert!(
        desk.message()
            .starts_with("no amplifier or zone is called cellar")
    );
    assert_eq!(desk.typed().as_deref(), Some("cellar"));
    desk.keys("\x1b").keys("vlobby\nq");
    let resume = Resume::from_text(desk.remembered.as_deref().unwrap()).unwrap();
    let again = |part: Ref| {
        let resume = Resume {
            part: Some(part),
            ..resume.clone()
        };
        let site = desk.session.site().clone();
        Desk::with(site, opening("otherotherotheroo"), Some(resume))
    };
    let lobby = again(resume.part.clone().unwrap());
    assert!(
        lobby
            .screen()
            .contains("review of zone Lobby, 1 in the way"),
        "{}",
        lobby.screen()
    );
    // Nothing stands in the way of a zone that has gone: it is not to be signed for.
    let gone = again(Ref::Zone("Cellar".into()));
    assert!(
        gone.screen().contains("review, 4 in the way"),
        "{}",
        gone.screen()
    );
    // Whoever only reads may look at a part, and signs none.
    let mut reads = opening("deskdeskdeskdesk");
    reads.access = Access::ReadsOnly("engineer B has it open".to_owned());
    let mut desk = Desk::with(evening(), reads, None);
    desk.keys("gvvcar park\n\n");
    assert!(
        desk.message().starts_with("not recorded, read only"),
        "{}",
        desk.message()
    );
}

/// What is typed behind `gv`: `@` is the key Down, `^` Home.
const SCENES: [(&str, &str); 6] = [
    ("begins", ""),
    ("parts", "v"),
    ("of_a_part", "vcar park\n"),
    ("snag_typed", "lshort near the rack, N. N., 2026-12-01"),
    ("settled_one", "lshort near the rack, N. N., 2026-12-01\n"),
    (
        "to_be_signed",
        "lshort near the rack, N. N., 2026-12-01\n 20 W wanted here\nllocked room\n\n",
    ),
];

#[test]
fn the_place_looks_as_it_was_read_and_agreed() {
    for (name, keys) in SCENES {
        for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
            let mut desk = Desk::at(evening());
            desk.resize(columns, rows).keys("gv");
            for key in keys.chars() {
                match key {
                    '@' => desk.press(Key::Down),
                    '^' => desk.press(Key::Home),
                    key => desk.keys(&key.to_string()),
                };
            }
            insta::assert_snapshot!(format!("review_{name}_{columns}x{rows}"), desk.screen());
        }
    }
    let mut desk = scenes::scene(demo(), "gv", (80, 24), true);
    insta::assert_snapshot!("review_demo_ascii_80x24", scenes::without_colours(&desk));
    scenes::each_page(&mut desk, |desk, page| {
        scenes::tones_stay_apart(&format!("review page {page}"), desk);
        let wide = scenes::too_wide("review", desk, 80);
        assert!(wide.is_empty(), "{wide:?}");
    });
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(demo());
        desk.resize(columns, rows).keys("gv");
        insta::assert_snapshot!(format!("review_demo_{columns}x{rows}"), desk.screen());
    }
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

#[test]
fn thirty_unread_lines_cost_three_keys_each_and_the_cursor_goes_on_by_itself() {
    let mut desk = Desk::at(hall());
    desk.keys("gv");
    let open = |desk: &Desk| {
        let rows = rows(desk);
        rows.iter()
            .filter(|row| row.contains("no word yet"))
            .count()
    };
    while !row(&desk).contains("unread") {
        desk.press(Key::Down);
    }
    // An unread line is left for later; accepted it is not.
    let footer = desk.screen().lines().last().unwrap().to_owned();
    assert!(
        footer.contains("l later") && !footer.contains("Space"),
        "{footer}"
    );
    desk.keys(" ");
    assert_eq!(desk.typed(), None);
    let first = row(&desk);
    desk.keys("llocked room\n");
    assert_ne!(row(&desk), first);
    let before = (open(&desk), row(&desk));
    desk.keys("l");
    let footer = desk.screen().lines().last().unwrap().to_owned();
    assert!(footer.contains("Tab last reason"), "{footer}");
    desk.keys("\t\n");
    assert_ne!(row(&desk), before.1);
    let words = decided(&desk);
    assert_eq!(words.len(), 2);
    assert!(words.iter().all(|(_, _, why)| why == "locked room"));
    // A tick takes no word at all: the footer offers none.
    while !row(&desk).contains("tick") {
        let was = row(&desk);
        desk.press(Key::Down);
        if row(&desk) == was {
            return;
        }
    }
    let footer = desk.screen().lines().last().unwrap().to_owned();
    assert!(
        !footer.contains("l later") && !footer.contains("Space"),
        "{footer}"
    );
}

#[test]
fn from_a_row_of_a_part_one_ticks_nothing_outside_of_it() {
    let mut pen = Pen::on(hall());
    for line in ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"] {
        pen.read_as_drawn(line);
    }
    let mut desk = Desk::at(pen.site);
    desk.keys("gvvlobby\n");
    for _ in 0..30 {
        if row(&desk).contains("joints closed") {
            break;
        }
        desk.press(Key::Down);
    }
    assert!(row(&desk).contains("joints closed"), "{}", desk.screen());
    desk.press(Key::Enter);
    desk.keys(" ");
    let Some(Do::Tick(tick)) = desk.sent.last().map(|batch| &batch[0].what) else {
        panic!("{}", desk.screen());
    };
    let lobby = [line("L-1"), line("L-2")];
    assert!(!tick.of.is_empty());
    assert!(tick.of.iter().all(|of| lobby.contains(of)), "{:?}", tick.of);
}

#[test]
fn what_was_ticked_before_a_reading_is_told_alike_on_the_rack_list_in_the_review_and_in_its_text() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let items = |site: &linewright::site::Site| {
        let analyst = linewright::analysis::Analyst::new(site);
        linewright::review::review(site, &analyst, &linewright::site::Ref::Site)
    };
    assert!(!format!("{:?}", items(&pen.site)).contains("Again("));
    // L-1 is read again after it was put back on: was it put back once more?
    pen.read("L-1", "560");
    let review = items(&pen.site);
    let again: Vec<_> = review
        .items
        .iter()
        .filter(|item| format!("{:?}", item.matter).starts_with("Again("))
        .collect();
    assert_eq!(again.len(), 1, "{again:?}");
    assert_eq!(again[0].label, "A1");
    assert!(
        !again[0].open,
        "the figure may have come late: in nobody's way"
    );
    assert!(
        again[0]
            .words
            .contains("cores back on, polarity kept (L-1)"),
        "{}",
        again[0].words
    );
    let of = linewright::site::Ref::Site;
    let text = linewright::report::review_text(&pen.site, &review, &of);
    assert!(text.contains("read since it was ticked, again?"), "{text}");
    // On the screen: Enter leads from there to the row that says so, and Space is the answer.
    let mut desk = Desk::at(pen.site);
    desk.resize(160, 48).keys("gv").press(Key::Home);
    let row = |desk: &Desk| {
        let rows = desk.session.view().tree.into_iter();
        rows.filter(|row| row.cursor)
            .map(|row| row.line.text())
            .collect::<String>()
    };
    for _ in 0..60 {
        if row(&desk).contains("again?") {
            break;
        }
        desk.press(Key::Down);
    }
    assert!(row(&desk).contains("again?"), "{}", desk.screen());
    desk.press(Key::Enter);
    assert!(
        row(&desk).contains("again") && row(&desk).starts_with(">~"),
        "{}",
        row(&desk)
    );
    desk.keys(" ");
    assert!(!row(&desk).starts_with(">~"), "{}", row(&desk));
}

#[test]
fn the_record_is_written_from_the_review_and_a_file_that_is_there_is_another_name() {
    // Before: the review; P asks for a file, named by building and day.
    let mut desk = reviewing();
    desk.keys("P");
    let name = "Old-seed-hall-2026-11-25.pdf";
    let prompt = format!("record to> {name}");
    assert!(desk.screen().contains(&prompt), "{}", desk.screen());
    // Esc: nothing is written.
    desk.press(Key::Esc);
    assert!(desk.prints.is_empty());
    desk.keys("P\n");
    assert!(
        desk.message().starts_with(&format!("writing {name}")),
        "{}",
        desk.message()
    );
    assert_eq!(desk.prints.len(), 1);
    assert_eq!(desk.prints[0].to, name);
    // The very file that the command writes.
    let site = desk.session.site().clone();
    let data = Assessment::of(&site, &Analyst::at_rest(&site, None), None);
    let wanted = pdf(&record(&data), Paper::A4).unwrap();
    assert!(desk.prints[0].bytes().unwrap() == wanted);
    // Keys go on while it is written; a second one waits, and leaving says that it would be lost.
    desk.press(Key::Down).press(Key::Up).keys("gp");
    assert!(
        desk.message().starts_with("still writing"),
        "{}",
        desk.message()
    );
    desk.keys("q");
    assert!(desk.message().contains("still being written") && !desk.left);
    // There already: said with its path, and the next name proposed is free.
    let path = format!("/survey/{name}");
    desk.event(Event::Printed(Printed::There(
        path.clone(),
        name.to_owned(),
    )));
    assert!(
        desk.message()
            .contains(&format!("{path} is there and stays as it is"))
    );
    desk.keys("gp");
    assert!(
        desk.screen().contains("Old-seed-hall-2026-11-25-2.pdf"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Enter);
    let path = "/survey/Old-seed-hall-2026-11-25-2.pdf".to_owned();
    desk.event(Event::Printed(Printed::Written(path.clone())));
    assert_eq!(desk.message(), format!("record written: {path}"));
    assert_eq!(desk.prints.len(), 2);
    // Another ending is refused, the words stay.
    desk.keys("P").press(Key::Clear).keys("record.doc\n");
    assert!(
        desk.message().contains("a name ending in .pdf was wanted"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.prints.len(), 2);
}

#[test]
fn nothing_that_is_not_on_the_disk_is_printed_and_who_only_looks_may_print() {
    let mut desk = reviewing();
    desk.disk = DiskIs::Slow;
    desk.press(Key::Down)
        .keys("lsaid, N. N., 2026-12-01\n")
        .keys("P\n");
    assert!(
        desk.message().contains("not on the disk yet"),
        "{}",
        desk.message()
    );
    assert!(desk.prints.is_empty());
    desk.answer();
    desk.press(Key::Enter);
    assert_eq!(desk.prints.len(), 1);
    let mut opening = opening("looklooklooklook");
    opening.access = Access::ReadsOnly("engineer B".to_owned());
    let mut desk = Desk::with(evening(), opening, None);
    desk.keys("gp\n");
    assert_eq!(desk.prints.len(), 1);
}
