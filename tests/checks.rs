//! What every screen must hold, check by check. Checks that are held elsewhere too are named there:
//! signs read back, the three grounds and ASCII mode in tests/screens.rs, the count of fields of yes
//! or no in tests/house, bytes a key through a real terminal in tests/day.rs.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, DiskIs, demo, hall, opening, site_of};
use linewright::quantity::Ohm;
use linewright::session::keys::{self, Keys};
use linewright::session::{Action, Event, Key, Mode, ModeName, Place, Resume, Session};
use linewright::site::{Do, EntryId, Site};
use std::collections::{BTreeMap, BTreeSet};

/// One line of twelve loudspeakers.
fn twelve() -> Site {
    let mut schedule = String::from(
        "amplifier,output,rated_w,line_v,zone,line,loudspeaker,tap_w,taps_w,type,from,run_m,cable\n",
    );
    for at in 1..=12 {
        let from = if at == 1 { "rack" } else { "" };
        schedule.push_str(&format!(
            "A1,1,120,100,Hall,H-1,LS-{at:02},6,12|6|3,ceiling,{from},9,1.5 mm2\n"
        ));
    }
    site_of(&schedule, "Long hall")
}

/// What each line should read, as an engineer would type it; lines that were read are not there.
fn unread(desk: &Desk) -> BTreeMap<String, String> {
    let plan = desk.session.site().plan();
    (0..plan.lines.len())
        .filter(|at| !desk.session.analyst().line(*at).is_read())
        .map(|at| {
            let Ohm(ohm) = desk.session.analyst().line(at).design.expected.unwrap();
            (plan.lines[at].label.clone(), format!("{ohm:.0}"))
        })
        .collect()
}

// ---- 1, 2: keys counted ----

#[test]
fn check_1_a_plain_survey_of_the_demo_takes_the_digits_and_one_key_a_line_from_wherever_it_opens() {
    let first = Desk::at(demo());
    let all = unread(&first);
    assert_eq!(all.len(), 18);
    for start in ["", "/gt1\n", "/cf3\n", "go", "gogo"] {
        let mut desk = Desk::at(demo());
        desk.keys(start);
        if !all.contains_key(&desk.on()) {
            // Opened on a line that is read: the next unread one is a key away, and is not counted.
            desk.keys("gn");
        }
        let mut keys = 0;
        let mut digits = 0;
        for _ in 0..all.len() {
            let text = all[&desk.on()].clone();
            desk.keys(&text).press(Key::Enter);
            digits += text.len();
            keys += text.len() + 1;
        }
        assert!(unread(&desk).is_empty(), "{start:?}: {:?}", unread(&desk));
        assert_eq!(keys, digits + all.len(), "{start:?}");
    }
}

#[test]
fn check_2_a_walk_of_twelve_loudspeakers_is_twelve_keys_from_wherever_it_begins() {
    for begins_at in [0, 7] {
        let mut desk = Desk::at(twelve());
        desk.keys("w");
        for _ in 0..begins_at {
            desk.press(Key::Down);
        }
        desk.keys("  s -+=zcp  ");
        let site = desk.session.site();
        let history = site.history(&"H-1".into());
        let state = history.state();
        let answered: BTreeSet<String> = history
            .answers(site, &state)
            .iter()
            .map(|(_, it)| it.at.to_string())
            .collect();
        assert_eq!(answered.len(), 12, "{answered:?}");
    }
}

// ---- 5: contrast ----

/// Nine palettes of terminals in common use, their values from memory: black, red, yellow, cyan, white.
const PALETTES: [[u32; 5]; 9] = [
    [0x000000, 0xcd0000, 0xcdcd00, 0x00cdcd, 0xe5e5e5],
    [0x000000, 0xaa0000, 0xaa5500, 0x00aaaa, 0xaaaaaa],
    [0x000000, 0x800000, 0x808000, 0x008080, 0xc0c0c0],
    [0x0c0c0c, 0xc50f1f, 0xc19c00, 0x3a96dd, 0xcccccc],
    [0x000000, 0xc23621, 0xadad27, 0x33bbc8, 0xcbcccd],
    [0x2e3436, 0xcc0000, 0xc4a000, 0x06989a, 0xd3d7cf],
    [0x000000, 0xbb0000, 0xbbbb00, 0x00bbbb, 0xbbbbbb],
    [0x073642, 0xdc322f, 0xb58900, 0x2aa198, 0xeee8d5],
    [0x000000, 0xc91b00, 0xc7c400, 0x00c5c7, 0xc7c7c7],
];

/// Relative luminance and contrast as WCAG 2.2 defines them (1.4.3).
fn contrast(a: u32, b: u32) -> f64 {
    let luminance = |rgb: u32| {
        let part = |shift: u32| {
            let value = f64::from((rgb >> shift) & 255) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn check_5_text_on_each_ground_is_read_in_nine_palettes_light_or_dark() {
    assert!(
        (contrast(0, 0xff_ffff) - 21.0).abs() < 1e-9,
        "WCAG's own example"
    );
    for (at, [black, red, yellow, cyan, white]) in PALETTES.into_iter().enumerate() {
        // The two colours of each ground are both painted, so the terminal's own ground, light or
        // dark, has no part in it.
        for (name, text, ground) in [
            ("out", black, yellow),
            ("stop", white, red),
            ("typed", black, cyan),
        ] {
            let ratio = contrast(text, ground);
            let least = if at == 0 { 4.5 } else { 3.0 };
            assert!(ratio >= least, "palette {at}, {name}: {ratio:.2}");
        }
    }
}

// ---- 7: figures ----

/// Every page of the panel where the cursor stands, as screens.
fn pages(desk: &mut Desk) -> Vec<String> {
    let mut out = vec![desk.screen()];
    for _ in 0..20 {
        desk.press(Key::Tab);
        let screen = desk.screen();
        if screen == out[0] {
            break;
        }
        out.push(screen);
    }
    out
}

#[test]
fn check_7_no_figure_is_cut_at_any_of_three_sizes_and_no_row_is_wider_than_its_place() {
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(demo());
        desk.resize(columns, rows);
        desk.press(Key::Home);
        for _ in 0..70 {
            for screen in pages(&mut desk) {
                for row in screen.lines() {
                    let cells: Vec<char> = row.chars().collect();
                    for pair in cells.windows(2) {
                        let figure = pair[0].is_ascii_digit() || "%.".contains(pair[0]);
                        assert!(!(figure && pair[1] == '~'), "{columns}x{rows}: {row}");
                    }
                }
            }
            let view = desk.session.view();
            for line in view.tree.iter().map(|row| &row.line) {
                assert!(line.width() <= view.tree_width, "{:?}", line.text());
            }
            for line in view.panel.iter().flatten() {
                assert!(
                    line.width() <= view.panel_width,
                    "{columns}: {:?}",
                    line.text()
                );
            }
            for line in [&view.header, &view.message, &view.entry, &view.footer] {
                assert!(line.width() <= columns, "{columns}: {:?}", line.text());
            }
            desk.press(Key::Down);
        }
    }
}

#[test]
fn check_7_a_resize_keeps_what_is_typed_in_every_place() {
    for keys in [
        "41", "w700", "jremade", "n dusty", "gr398r4", "gr lno", "41ntight",
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(keys);
        let before = (desk.typed(), desk.session.mode().clone());
        assert!(before.0.is_some(), "{keys}");
        for size in [(60, 20), (1, 1), (160, 48), (0, 0), (80, 24)] {
            desk.resize(size.0, size.1);
        }
        assert_eq!(
            (desk.typed(), desk.session.mode().clone()),
            before,
            "{keys}"
        );
    }
}

#[test]
fn check_7_wide_and_combining_labels_move_no_wall_and_cut_no_figure() {
    let schedule = desk::HALL
        .replace(
            "Balcony",
            "\u{5927}\u{5ef3}\u{306e}\u{4e8c}\u{968e}\u{5e2d}\u{306e}\u{5965}",
        )
        .replace("H-2", "\u{5317}-2")
        .replace("Hall", "Cafe\u{301} a\u{300} la\u{308}ngst");
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(site_of(&schedule, "\u{97f3}\u{97ff}"));
        desk.resize(columns, rows);
        for keys in ["336\n", "410\n", "", "w", "gr"] {
            desk.keys(keys);
            let view = desk.session.view();
            for line in view.tree.iter().map(|row| &row.line) {
                assert!(line.width() <= view.tree_width, "{:?}", line.text());
            }
            let buffer = desk.buffer(linewright::tui::Theme::Colour);
            for y in 2..buffer.area.height - 4 {
                let wall = u16::try_from(view.tree_width).unwrap();
                assert_eq!(
                    buffer[(wall, y)].symbol(),
                    "\u{2502}",
                    "{columns}x{rows} row {y}"
                );
            }
        }
        assert_eq!(desk.readings().len(), 2);
    }
}

// ---- 8: the key table ----

#[test]
fn check_8_a_letter_has_one_meaning_in_a_mode_wherever_it_holds() {
    // What a key does in another place under the same meaning: all right (Space), left out with a
    // reason (l), one place back or on (Left, Right).
    let kin: [&[Action]; 4] = [
        &[
            Action::Answer,
            Action::Tick,
            Action::NextTick,
            Action::Accept,
        ],
        &[Action::Later, Action::NotHere, Action::LeaveOpen],
        &[Action::Help, Action::Escape, Action::Quit],
        &[Action::Escape, Action::Enter, Action::GoNext],
    ];
    let mut seen: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for row in keys::table() {
        let Keys::These(own) = row.keys else { continue };
        for key in own {
            let action = kin
                .iter()
                .position(|kin| kin.contains(&row.action))
                .map_or_else(|| format!("{:?}", row.action), |at| format!("kin {at}"));
            let name = format!("{:?} {}", row.mode, key.name());
            seen.entry(name).or_default().insert(action);
        }
    }
    for (key, actions) in seen {
        let escape = key.ends_with("Esc") || key.ends_with("Enter") || key.ends_with(" q");
        assert!(actions.len() == 1 || escape, "{key}: {actions:?}");
    }
}

#[test]
fn check_8_what_belongs_to_a_reading_is_never_a_command_in_any_place() {
    for place in [Place::Survey, Place::Walk, Place::Rack] {
        for c in "0123456789.,".chars() {
            let action = keys::action(ModeName::Key, place, Key::Char(c));
            assert_eq!(action, Some(Action::StartReading), "{place:?} {c}");
        }
        for c in "kmvx".chars() {
            let action = keys::action(ModeName::Key, place, Key::Char(c));
            assert!(
                matches!(action, None | Some(Action::TakeUpLast)),
                "{place:?} {c}: {action:?}"
            );
        }
    }
}

#[test]
fn check_8_every_key_of_a_place_stands_under_the_question_mark_and_the_footer_fits() {
    for (keys, place) in [
        ("", Place::Survey),
        ("w", Place::Walk),
        ("gr", Place::Rack),
        ("gv", Place::Review),
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(keys).keys("?");
        desk.resize(160, 200);
        let screen = desk.screen();
        for mode in [
            ModeName::Key,
            ModeName::Reading,
            ModeName::Text,
            ModeName::GoList,
        ] {
            for row in keys::rows(mode, place) {
                assert!(
                    screen.lines().any(|line| {
                        line.contains(row.help) && line.trim_start().starts_with(row.shown)
                    }),
                    "{place:?} {mode:?} {}: {screen}",
                    row.shown
                );
            }
        }
        for width in 40..200 {
            desk.keys("\x1b").resize(width, 24);
            let footer = desk.session.view().footer.width();
            assert!(footer <= width, "{place:?} {width}: {footer}");
            desk.keys("?");
        }
    }
}

#[test]
fn check_8_the_footer_offers_nothing_that_the_row_does_not_take() {
    let mut desk = Desk::at(hall());
    let footer = |desk: &Desk| desk.session.view().footer.text();
    assert!(footer(&desk).contains("digits read"));
    desk.press(Key::Home);
    assert!(!footer(&desk).contains("digits read"), "{}", footer(&desk));
    assert!(!footer(&desk).contains("walk"), "{}", footer(&desk));
}

#[test]
fn check_8_the_letters_of_a_reading_stand_on_the_screen_while_one_is_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("2");
    let below = |desk: &Desk| {
        let view = desk.session.view();
        format!("{} {}", view.entry.text(), view.footer.text())
    };
    for letter in [
        "k thousand",
        "m million",
        "x10 range",
        "d ohmmeter",
        "i insulation",
        "n note",
        "t instrument",
        "p phase",
    ] {
        assert!(below(&desk).contains(letter), "{letter}: {}", below(&desk));
    }
    desk.keys("i");
    assert!(
        below(&desk).contains("a b core  v500 volts"),
        "{}",
        below(&desk)
    );
    let words = desk.session.view().entry.text();
    desk.keys("0");
    let more = desk.session.view().entry.text();
    assert_eq!(
        words.split("  ").last(),
        more.split("  ").last(),
        "the next digit moves no word"
    );
}

// ---- 9: nothing is lost, everything is undone ----

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

type Facts = (BTreeSet<EntryId>, String);

/// The same facts, and the same bytes of `assess --json`.
#[track_caller]
fn same(is: &Facts, was: &Facts, act: &str) {
    assert_eq!(is.0, was.0, "{act:?}");
    assert!(is.1 == was.1, "{act:?}: other bytes");
}

/// Ids of the entries that count.
fn facts(desk: &Desk) -> BTreeSet<EntryId> {
    let log = desk.session.site().log();
    log.entries()
        .iter()
        .filter(|entry| log.counts(&entry.id) && !matches!(entry.what, Do::Void(_)))
        .map(|entry| entry.id.clone())
        .collect()
}

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

// ---- 10: cut off at any key ----

/// A morning's keys, through every place.
const MORNING: &str = "gr  lnone\n\x1b398r400\n336nfirst\n41x10\nllocked\ngo48\nfu\x1b\
                       /h1\n205\n/h1\nw s\x1b/h1\njtap reset\n334\ngo?\x1b27";

fn key(c: char) -> Key {
    match c {
        '\n' => Key::Enter,
        '\x1b' => Key::Esc,
        '\t' => Key::Tab,
        c => Key::Char(c),
    }
}

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

// ---- 11, 12 ----

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

// ---- the first five lines ----

#[test]
fn whoever_is_here_for_the_first_time_is_told_five_lines_until_something_is_done() {
    let mut desk = Desk::at(hall());
    let told = |desk: &Desk| desk.screen().contains("first time here, in five lines");
    assert!(told(&desk));
    desk.press(Key::Enter);
    assert!(told(&desk), "nothing was done yet");
    desk.keys("3");
    assert!(!told(&desk), "{}", desk.screen());
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
    let again = Desk::with(hall(), opening("nextnextnextnext"), resume);
    assert!(!told(&again), "told once");
    let mut desk = Desk::at(hall());
    desk.resize(80, 200).keys("?");
    assert!(
        desk.screen().contains("in five lines"),
        "and under ? ever after"
    );
}
