//! The working day as stories, each whole: what stands before, the keys, what stands after, in the
//! engineer's own terms. The last three are the real program in a pseudo-terminal.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[cfg(unix)]
#[path = "common/pty.rs"]
mod pty;

use desk::{Desk, demo, hall, opening};
use linewright::session::{Event, Key, Resume};
use linewright::site::{Decision, Do, Heard, Leg};

/// What was recorded in this sitting and counts, in short.
fn told(desk: &Desk) -> Vec<String> {
    let log = desk.session.site().log();
    log.entries()
        .iter()
        .filter(|entry| log.counts(&entry.id) && entry.id.as_str().starts_with("desk"))
        .filter_map(|entry| {
            Some(match &entry.what {
                Do::Read(it) => match &it.cut {
                    None => format!("{} reads {}", it.line, it.text),
                    Some(cut) => format!("{} reads {} {cut:?}", it.line, it.text),
                },
                Do::Insulate(it) => format!(
                    "{} insulation {} {:?} at {} V",
                    it.line,
                    it.text,
                    it.leg,
                    it.test_v.get()
                ),
                Do::Check(it) => format!("resistor {} for {}", it.text, it.known_ohm.get()),
                Do::Listen(it) => format!("{} {:?}", it.at, it.gives),
                Do::Repair(it) => format!("{} repaired {}", it.line, it.what),
                Do::Tick(it) => format!("tick {}", it.item),
                Do::Decide(it) => format!("{:?} {}", it.is, entry.why.as_deref().unwrap_or("")),
                Do::Note(it) => format!("note {}", it.text),
                _ => return None,
            })
        })
        .collect()
}

fn first_row(desk: &Desk) -> String {
    desk.screen().lines().next().unwrap().to_owned()
}

#[test]
fn step_2_the_rack_is_made_ready_and_every_step_has_its_time_and_name() {
    // Before: nobody has ticked anything, no line is off.
    let mut desk = Desk::at(hall());
    assert!(first_row(&desk).ends_with("0 OFF"));
    // Keys: the list, a Space a step, the lines of the amplifier at once, the known resistor.
    desk.keys("gr        398r400\n");
    // After: five lines are OFF on every screen, and the meter is known.
    assert!(first_row(&desk).ends_with("5 OFF"));
    let told = told(&desk);
    assert_eq!(told.len(), 9, "{told:?}");
    assert_eq!(told[7], "tick cores-off");
    assert_eq!(told[8], "resistor 398 for 400");
    desk.keys("\x1b");
    assert!(first_row(&desk).contains("survey"));
}

#[test]
fn step_3_insulation_before_the_impedance_with_leg_and_volts() {
    let mut desk = Desk::at(hall());
    desk.keys("i200M\n");
    assert!(
        desk.message()
            .contains("insulation reads 200 Mohm at 500 V"),
        "{}",
        desk.message()
    );
    assert_eq!(
        desk.on(),
        "H-1",
        "the impedance of the same line comes next"
    );
    desk.keys("i>999M a v250\n336\n");
    assert_eq!(
        told(&desk),
        [
            "H-1 insulation 200M Both at 500 V".to_owned(),
            format!("H-1 insulation >999M {:?} at 250 V", Leg::A),
            "H-1 reads 336".to_owned(),
        ]
    );
    desk.keys("/h2\ni");
    assert!(
        desk.message().contains("never core to core") && desk.message().contains("discharge"),
        "the caution stands where the act happens: {}",
        desk.message()
    );
}

#[test]
fn step_4_line_after_line_with_a_slip_undone_and_a_line_left_for_later() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n41x10\n0.55k\n");
    assert_eq!(desk.on(), "L-2");
    // A slip: 584 for 548; one key takes it back.
    desk.keys("584\nu");
    assert_eq!(desk.on(), "L-2");
    desk.keys("548ncover cracked\n");
    // The room of B-1 is locked.
    assert_eq!(desk.on(), "B-1");
    desk.keys("llocked, key with the porter\n");
    assert_eq!(desk.on(), "C-1");
    desk.keys("498\n");
    assert_eq!(
        told(&desk),
        [
            "H-1 reads 336",
            "H-2 reads 41x10",
            "L-1 reads 0.55k",
            "L-2 reads 548",
            "Skipped locked, key with the porter",
            "C-1 reads 498",
        ]
    );
    let screen = desk.screen();
    assert!(
        screen.contains(">_ B-1                    later"),
        "left for later is seen: {screen}"
    );
    assert!(screen.contains("5 of 6 read"), "{screen}");
    // It is the only one that waits now.
    assert_eq!(desk.on(), "B-1");
    assert!(
        desk.session.analyst().line(4).decision == Some(Decision::Skipped),
        "the reason is on record"
    );
}

#[test]
fn step_4_the_pace_is_told_from_the_readings_alone() {
    let mut desk = Desk::at(demo());
    desk.keys("gs");
    desk.resize(160, 48);
    // sites/glasshouse.ron: 24 lines read from 08:52 to 10:50, breaks over 20 minutes left out.
    let screen = desk.screen();
    assert!(screen.contains("18 left, about"), "{screen}");
    assert!(screen.contains("min a line"), "{screen}");
}

#[test]
fn step_5_a_line_that_looks_wrong_is_walked_split_and_thins_out() {
    let mut desk = Desk::at(hall());
    // H-2 is four of 6 W, 417 ohm; three of them make 556: LS-4 is dead, or the cable before it.
    desk.keys("/h2\n550\n/h2\n").rest();
    let before = desk.session.analyst().suspects(1).unwrap().hints.clone();
    desk.keys("w");
    desk.press(Key::Home);
    desk.press(Key::Down);
    desk.keys("   s").rest();
    let after = desk.session.analyst().suspects(1).unwrap().hints.clone();
    let at_4 = |hints: &[linewright::diagnosis::Hint]| -> f64 {
        hints
            .iter()
            .filter(|hint| hint.places.first().is_some_and(|it| &*it.1 == "LS-4"))
            .map(|hint| hint.probability.get())
            .sum()
    };
    assert!(at_4(&after) > at_4(&before), "{before:?} {after:?}");
    assert!(at_4(&after) > 0.9, "one place is left: {after:?}");
    // Split before LS-4, near 556 ohm, far open: one flow, and it is said until it is closed.
    desk.press(Key::Up);
    desk.keys("\x1bw");
    desk.press(Key::End);
    desk.keys("b550\n");
    assert!(first_row(&desk).contains("1 OPEN"), "{}", first_row(&desk));
    desk.keys("open\n");
    desk.keys("\x1b");
    assert!(first_row(&desk).contains("1 OPEN"), "also in the survey");
    assert!(
        desk.screen().contains("OPEN before LS-4"),
        "{}",
        desk.screen()
    );
    desk.keys("w");
    desk.keys("b");
    assert!(!first_row(&desk).contains("OPEN"), "{}", first_row(&desk));
    let told = told(&desk);
    let heard = |at: &str, gives: Heard| format!("H-2/{at} {gives:?}");
    assert!(told.contains(&heard("LS-3", Heard::Heard)), "{told:?}");
    assert!(told.contains(&heard("LS-4", Heard::Silent)), "{told:?}");
    assert_eq!(
        told.iter()
            .filter(|it| it.starts_with("tick split"))
            .count(),
        2
    );
}

#[test]
fn step_6_a_reading_ten_times_out_is_said_and_mended_with_three_keys() {
    let mut desk = Desk::at(hall());
    desk.keys("33.6");
    let screen = desk.screen();
    assert!(
        screen.contains("look  336 ohm, ten times, would fit"),
        "{screen}"
    );
    desk.keys("\nx10\n");
    assert_eq!(told(&desk), ["H-1 reads 33.6x10"]);
    assert_eq!(desk.session.analyst().counts().out, 0);
}

#[test]
fn step_6_the_known_resistor_tells_whether_it_is_the_meter() {
    // All lines 6 % low, and so is the resistor: it is the meter, and no line is out for it.
    let mut desk = Desk::at(hall());
    desk.keys("376r400\n");
    for text in ["314", "392", "524", "523", "262", "471"] {
        desk.keys(text).press(Key::Enter);
    }
    desk.rest();
    let factor = desk.session.analyst().learned().cloned();
    assert!(factor.is_some());
    assert_eq!(desk.session.analyst().counts().out, 0, "{}", desk.screen());
    assert!(told(&desk)[0].starts_with("resistor 376"));
}

#[test]
fn step_7_interrupted_in_the_middle_of_a_figure_one_goes_on_where_one_stood() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        \x1b336\n41");
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
    // The battery dies. The next morning:
    let site = desk.session.site().clone();
    let mut morning = Desk::with(site, opening("nextnextnextnext"), resume);
    assert_eq!(morning.typed().as_deref(), Some("41"));
    assert!(
        morning.message().contains("half typed for H-2: 41"),
        "{}",
        morning.message()
    );
    assert!(first_row(&morning).ends_with("5 OFF"));
    morning.keys("0\n");
    assert_eq!(morning.readings(), ["H-2 410", "H-1 336"]);
    assert_eq!(morning.on(), "L-1");
    // Someone else wrote into the same file: both are there, and nobody's cursor moved.
    let joined = morning.session.site().clone();
    morning.event(Event::Replaced(Box::new(joined)));
    assert_eq!(morning.on(), "L-1");
}

#[test]
fn step_8_two_floors_in_walking_order_each_on_their_own_copy() {
    // One takes the lines zone by zone; the other the rack's order; what they read joins.
    let mut one = Desk::with(hall(), opening("deskonedeskone11"), None);
    one.keys("go336\n410\n");
    let mut two = Desk::with(hall(), opening("desktwodesktwo22"), None);
    two.keys("/b1\n275\n498\n");
    let mut joined = one.session.site().clone();
    for entry in two.session.site().log().entries() {
        joined.apply(entry.clone());
    }
    one.event(Event::Replaced(Box::new(joined)));
    assert!(
        first_row(&one).contains("4 of 6 read"),
        "{}",
        first_row(&one)
    );
    assert_eq!(one.on(), "L-1");
    assert!(one.message().contains("another hand"), "{}", one.message());
}

#[test]
fn step_10_a_repair_is_said_with_what_was_found_and_what_follows_is_as_left() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n/h1\n").rest();
    assert!(first_row(&desk).contains("as found"));
    desk.keys("jtap of LS-5 reset\t");
    assert!(desk.message().starts_with("found: "), "{}", desk.message());
    desk.keys("\n");
    assert!(first_row(&desk).contains("as left"), "{}", first_row(&desk));
    assert_eq!(desk.on(), "H-1", "it is read again at once");
    desk.keys("334\n/h1\n");
    let line = desk.session.analyst().line(0);
    let text = |it: &Option<linewright::analysis::Taken>| it.as_ref().unwrap().text.clone();
    assert_eq!(
        (text(&line.as_found), text(&line.as_left)),
        ("205".into(), "334".into())
    );
    let log = desk.session.site().log();
    let repair = log.entries().iter().find_map(|entry| match &entry.what {
        Do::Repair(it) => Some(it.clone()),
        _ => None,
    });
    let repair = repair.unwrap();
    assert_eq!(repair.what, "tap of LS-5 reset");
    assert!(
        repair.cause.is_some() && repair.place.is_some(),
        "{repair:?}"
    );
}

#[test]
fn step_11_lines_go_back_one_by_one_and_what_is_not_ticked_stays_in_sight() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        \x1b336\n410\n561\n548\n275\n");
    assert!(first_row(&desk).ends_with("5 OFF"));
    desk.keys("/b1\ngr");
    desk.resize(80, 60);
    let row = |desk: &Desk, words: &str| {
        let screen = desk.screen();
        let row = screen.lines().find(|row| row.contains(words)).unwrap();
        row.split('\u{2502}').next().unwrap().trim_end().to_owned()
    };
    assert_eq!(
        row(&desk, "5 lines: cores back"),
        " .       5 lines: cores back on"
    );
    while !desk.screen().contains(">.       5 lines: cores back on") {
        desk.press(Key::Down);
    }
    desk.keys(" ");
    assert!(first_row(&desk).ends_with("0 OFF"), "{}", first_row(&desk));
    for words in [
        "supervision re-taught",
        "first power at low level",
        "every zone heard on main",
    ] {
        assert!(row(&desk, words).starts_with(" .") || row(&desk, words).starts_with(">."));
    }
}

// ---- the real program ----

#[cfg(unix)]
mod in_a_terminal {
    use super::pty::Bench;

    #[test]
    fn a_morning_at_the_rack_killed_at_a_half_typed_figure_goes_on_the_same() {
        let bench = Bench::new();
        let mut terminal = bench.open();
        terminal.wait(&["first time here", "PH-1>"]);
        terminal.keys("gr");
        terminal.wait(&["rack list", "occupants, monitoring told"]);
        terminal.keys("       ");
        terminal.wait(&["controls up", "recorded"]);
        terminal.keys(" ");
        terminal.wait(&["10 OFF"]);
        terminal.keys("398r400\r");
        terminal.wait(&["398 ohm on a known 400 ohm"]);
        terminal.keys("\x1b");
        terminal.wait(&["survey, as found"]);
        terminal.keys("126\r");
        terminal.wait(&["recorded", "PH-1 reads 126 ohm"]);
        terminal.keys("25");
        terminal.wait(&["PH-2 reading> 25"]);
        terminal.kill();
        let mut again = bench.open();
        again.wait(&["PH-2 reading> 25", "10 OFF", "1 of 42 read"]);
        again.keys("1\r");
        again.wait(&["recorded", "PH-2 reads 251 ohm", "2 of 42 read"]);
        // The act before the kill cannot be reached past this sitting's own; each u is one act.
        again.keys("uu");
        again.wait(&["0 of 42 read", "taken back"]);
        // Ten lines are OFF: that is said once, and left all the same.
        again.keys("q");
        again.wait(&["10 OFF: ", "q again leaves"]);
        again.keys("q");
        assert_eq!(again.end(), 0);
    }

    #[test]
    fn a_survey_costs_under_a_tenth_of_a_redraw_a_key_and_asks_the_terminal_nothing() {
        let bench = Bench::new();
        let mut terminal = bench.open_as("engineer A", (160, 48));
        terminal.wait(&["PH-1>"]);
        terminal.still();
        terminal.keys("g\x1b");
        terminal.wait(&["PH-1>"]);
        terminal.still();
        let start = terminal.count();
        let mut keys = 0;
        // Sixteen lines in rack order, as the drawing says they read; every sixth is a third off.
        let json = bench.run(&["assess", bench.site().to_str().unwrap(), "--json"]);
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        for (at, line) in json["lines"]
            .as_array()
            .unwrap()
            .iter()
            .take(16)
            .enumerate()
        {
            let off = if at % 6 == 4 { 0.7 } else { 1.0 };
            let expected = line["expected"]["ohms"].as_f64().unwrap();
            for key in format!("{:.0}\r", expected * off).chars() {
                terminal.keys(&key.to_string());
                terminal.still();
                keys += 1;
            }
            terminal.wait(&["recorded", &format!("{} of 42 read", at + 1)]);
        }
        let written = terminal.count() - start;
        // Ctrl-L paints all anew: that is a full redraw.
        let start = terminal.count();
        terminal.keys("\x0c");
        terminal.wait_for_bytes(start + 3000);
        terminal.still();
        let whole = terminal.count() - start;
        assert!(whole > 3000, "{whole}");
        let mean = written as f64 / f64::from(keys);
        assert!(mean < whole as f64 / 10.0, "{mean:.0} of {whole}");
        // Nothing changes: nothing is written.
        let start = terminal.count();
        std::thread::sleep(std::time::Duration::from_millis(1500));
        assert_eq!(terminal.count(), start);
        // No question after the start: cursor position, device attributes, colours.
        let bytes = terminal.bytes();
        for question in ["\x1b[6n", "\x1b[c", "\x1b[>c", "\x1b]11;?", "\x1b[5n"] {
            let asked = bytes
                .windows(question.len())
                .any(|it| it == question.as_bytes());
            assert!(!asked, "{question:?}");
        }
        terminal.keys("q");
        assert_eq!(terminal.end(), 0);
    }

    #[test]
    fn without_utf_8_without_colours_and_with_a_late_link_ten_readings_are_pasted() {
        let bench = Bench::new();
        let late = &[("LC_ALL", "C"), ("NO_COLOR", "1")];
        let mut terminal = bench.open_with("engineer A", (60, 20), late);
        terminal.wait(&["PH-1>"]);
        terminal.keys("\x1b[200~126\r251\r350\r640\r660\r581\r1300\r560\r479\r2500\r\x1b[201~");
        terminal.wait(&["10 readings pasted", "PH-1 reading> 126"]);
        assert!(terminal.screen().contains("0 of 42 read"));
        terminal.keys("\r");
        terminal.wait(&["10 of 42 read"]);
        terminal.keys("u");
        terminal.wait(&["0 of 42 read"]);
        terminal.keys("r");
        terminal.wait(&["10 of 42 read"]);
        terminal.keys("gn");
        terminal.wait(&["CH-1>"]);
        // Keys that come bunched, as over a link with 200 ms of delay: none is lost, none overtakes.
        let mut bunch = String::new();
        for text in ["1111", "222", "333", "444"] {
            bunch.push_str(text);
            bunch.push('\r');
            if bunch.len() > 7 {
                terminal.keys(&std::mem::take(&mut bunch));
                std::thread::sleep(std::time::Duration::from_millis(200));
            }
        }
        terminal.keys(&bunch);
        terminal.wait(&["14 of 42 read"]);
        let bytes = terminal.bytes();
        assert!(bytes.iter().all(u8::is_ascii), "no byte over 127");
        let text = String::from_utf8(bytes).unwrap();
        for colour in ["\x1b[30", "\x1b[31", "\x1b[4", "\x1b[38", "\x1b[48"] {
            // `\x1b[4m` alone is underline, and `\x1b[49m` the terminal's own ground.
            let found = text.match_indices(colour).any(|(at, _)| {
                let rest = &text[at + 2..];
                let code: String = rest.chars().take_while(char::is_ascii_digit).collect();
                let end = rest.chars().nth(code.len());
                end == Some('m')
                    && code
                        .parse()
                        .is_ok_and(|code: u32| (30..38).contains(&code) || (40..48).contains(&code))
            });
            assert!(!found, "{colour:?}");
        }
        terminal.keys("q");
        assert_eq!(terminal.end(), 0);
        let read = bench.read_lines();
        assert_eq!(read.len(), 14, "{read:?}");
    }
}
