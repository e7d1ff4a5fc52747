//! At the rack, told at the keyboard: the lists that are ticked before a line is touched and when it
//! goes back, the known resistor, and what stands where the act happens.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, DiskIs, demo, hall, hall_with, opening};
use linewright::quantity::Ohm;
use linewright::session::{Key, Resume, Session};
use linewright::site::{Amplifier, Design, Do, Line, Ref, TickIs};
use screen::{panel, row};

/// What was ticked in this sitting and counts: the item, and what it is for.
fn ticks(desk: &Desk) -> Vec<String> {
    let log = desk.session.site().log();
    log.entries()
        .iter()
        .filter(|entry| entry.id.as_str().starts_with("deskdeskdeskdesk") && log.counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            Do::Tick(tick) => {
                let of: Vec<&str> = tick.of.iter().map(Ref::id).collect();
                let is = match &tick.is {
                    TickIs::Done => String::new(),
                    TickIs::NotHere(why) => format!(" not here: {why}"),
                };
                Some(format!("{} {}{is}", tick.item, of.join(",")))
            }
            _ => None,
        })
        .collect()
}

fn header(desk: &Desk) -> String {
    desk.screen().lines().next().unwrap().to_owned()
}

#[test]
fn before_a_line_is_touched_each_step_is_one_key_with_time_and_name() {
    let mut desk = Desk::at(hall());
    // Before: nothing is ticked and no line is off.
    assert!(header(&desk).ends_with("0 OFF"), "{}", header(&desk));
    desk.keys("gr");
    assert_eq!(row(&desk), ">.       occupants, monitoring told");
    desk.keys("       ");
    assert_eq!(row(&desk), ">.       5 lines: both cores off");
    desk.keys(" ");
    // After: seven steps of the amplifier and five lines off, each with its time and who said so.
    assert_eq!(
        ticks(&desk),
        [
            "told A1",
            "amplifier-off A1",
            "locked A1",
            "proved-dead A1",
            "neighbours-dead A1",
            "label-read A1",
            "controls-up A1",
            "cores-off H-1,H-2,L-1,L-2,B-1",
        ]
    );
    assert!(header(&desk).ends_with("5 OFF"), "{}", header(&desk));
    assert!(
        desk.message()
            .starts_with("recorded 14:07  5 lines: both cores off"),
        "{}",
        desk.message()
    );
    let screen = desk.screen();
    assert!(
        screen.contains(" = 14:07   H-1     both cores off"),
        "{screen}"
    );
    let entry = desk.sent.last().unwrap().last().unwrap();
    assert_eq!(entry.by, "engineer A");
}

#[test]
fn one_u_takes_all_lines_of_one_tick_back_and_r_takes_them_off_again() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        ");
    assert!(header(&desk).ends_with("5 OFF"));
    let before = desk.json();
    desk.keys("u");
    assert!(header(&desk).ends_with("0 OFF"), "{}", header(&desk));
    desk.keys("r");
    assert!(header(&desk).ends_with("5 OFF"));
    assert_eq!(desk.json(), before);
}

#[test]
fn the_lines_of_one_output_are_taken_off_at_once() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    while !row(&desk).contains("A1 out 1: both cores off") {
        desk.press(Key::Down);
    }
    desk.keys(" ");
    assert_eq!(ticks(&desk), ["cores-off H-1,H-2,L-1,L-2"]);
    assert!(header(&desk).ends_with("4 OFF"), "{}", header(&desk));
}

#[test]
fn a_single_line_is_taken_off_and_put_back_where_it_is() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    while !row(&desk).contains("H-2") {
        desk.press(Key::Down);
    }
    desk.keys(" ");
    assert_eq!(ticks(&desk), ["cores-off H-2"]);
    desk.keys("\x1b/h2\n410\n/h2\ngr");
    // Read before and not back: the list of that line opens at handing it back.
    assert_eq!(row(&desk), ">.         H-2     joints closed, covers on");
    desk.keys(" ");
    while !row(&desk).contains("H-2     cores back on") {
        desk.press(Key::Down);
    }
    desk.keys(" ");
    assert_eq!(
        ticks(&desk),
        ["cores-off H-2", "joints-closed H-2", "cores-on H-2"]
    );
    assert!(header(&desk).ends_with("0 OFF"), "{}", header(&desk));
}

#[test]
fn what_does_not_exist_here_is_left_out_with_a_reason() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    desk.press(Key::Down);
    desk.keys("l\n");
    assert!(ticks(&desk).is_empty(), "a reason is wanted");
    assert!(desk.message().contains("why"), "{}", desk.message());
    desk.keys("no standby\n");
    assert_eq!(ticks(&desk), ["amplifier-off A1 not here: no standby"]);
    let screen = desk.screen();
    assert!(
        screen.contains(" _ 14:07 amplifier and standby off"),
        "{screen}"
    );
    assert_eq!(row(&desk), ">.       isolated, locked, key kept");
}

#[test]
fn a_line_that_stands_opened_is_not_ticked_back_on() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        ");
    assert!(header(&desk).ends_with("5 OFF"));
    desk.press(Key::Esc);
    desk.keys("/h1\nw");
    desk.press(Key::Down);
    desk.keys("b30\n40\n");
    assert!(
        desk.screen().contains("OPEN: b when closed"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Esc);
    desk.keys("gr");
    while !row(&desk).contains("lines: cores back on") {
        desk.press(Key::Down);
    }
    let before = ticks(&desk);
    desk.keys(" ");
    assert!(
        desk.message().contains("stands opened"),
        "{}",
        desk.message()
    );
    assert_eq!(ticks(&desk), before);
}

#[test]
fn a_line_that_reads_short_is_not_ticked_back_on() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        \x1b/h1\n0\n");
    desk.keys("gr");
    while !row(&desk).contains("H-1     cores back on") {
        desk.press(Key::Down);
    }
    desk.keys(" ");
    assert!(
        desk.message().contains("must not be connected"),
        "{}",
        desk.message()
    );
    assert_eq!(ticks(&desk).len(), 8);
}

#[test]
fn the_cautions_stand_where_the_act_happens_and_nothing_is_called_safe() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    let mut seen = String::new();
    for _ in 0..40 {
        for _ in 0..3 {
            let screen = desk.screen().to_lowercase();
            assert!(!screen.contains("safe"), "{screen}");
            let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
            let words: Vec<String> = panel
                .map(|(_, panel)| panel.split_whitespace().collect::<Vec<_>>().join(" "))
                .collect();
            seen.push_str(&words.join(" "));
            desk.press(Key::Tab);
        }
        desk.press(Key::Down);
    }
    // 100 V times the root of 2; 50 V a.c. is the limit of extra-low voltage in IEC 61140.
    for caution in [
        "141 v at the peak",
        "above extra-low voltage, which ends at 50 v rms",
        "can come back by itself",
        "a meter on a driven line dies",
        "local codes and licensed practice decide",
        "polarity is kept",
        "tester proved again",
    ] {
        assert!(seen.contains(caution), "{caution}: {seen}");
    }
}

#[test]
fn a_voice_alarm_has_its_own_steps_and_an_insulation_list_stands_where_it_is_asked_for() {
    let plain = list(Desk::at(hall()));
    assert!(!plain.iter().any(|row| row.contains("voice-alarm cover")));
    let site = hall_with(|design| match design {
        Design::Amplifier(it) => Design::Amplifier(Amplifier {
            voice_alarm: true,
            ..it
        }),
        Design::Line(it) => Design::Line(Line {
            insulation_asked: it.label == "H-2",
            ..it
        }),
        other => other,
    });
    let rows = list(Desk::at(site));
    for wanted in [
        "voice-alarm cover in place",
        "heard on standby, microphone",
        "insulation, before the impedance",
        "H-2     devices off at both ends",
        "H-2     both cores discharged",
    ] {
        assert!(
            rows.iter().any(|row| row.contains(wanted)),
            "{wanted}: {rows:#?}"
        );
    }
    assert!(!rows.iter().any(|row| row.contains("H-1     devices off")));
}

/// Every row of the list, from a screen tall enough.
fn list(mut desk: Desk) -> Vec<String> {
    desk.resize(80, 100);
    desk.keys("gr");
    let screen = desk.screen();
    screen
        .lines()
        .filter_map(|row| row.split('\u{2502}').next())
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_known_resistor_is_read_from_the_list_or_from_the_entry_line() {
    let mut desk = Desk::at(hall());
    desk.keys("3");
    assert!(
        desk.message().contains("resistor first"),
        "the first reading of a visit is told so: {}",
        desk.message()
    );
    desk.keys("98r\n");
    assert!(desk.message().contains("398r400"), "{}", desk.message());
    desk.keys("400\n");
    assert!(
        desk.message()
            .starts_with("recorded 14:07  meter reads 398 ohm on a known 400 ohm, -0.5 %"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.on(), "H-1", "a resistor is no line: the cursor stays");
    let checks = |desk: &Desk| -> Vec<(Ohm, Ohm, String)> {
        let entries = desk.session.site().log().entries();
        entries
            .iter()
            .filter_map(|entry| match &entry.what {
                Do::Check(it) => Some((it.value, it.known_ohm, it.text.clone())),
                _ => None,
            })
            .collect()
    };
    assert_eq!(checks(&desk), [(Ohm(398.0), Ohm(400.0), "398".into())]);
    assert!(desk.readings().is_empty());
    // From the list, and what the resistor is known from the time before.
    desk.keys("gr39.9x10\n");
    assert_eq!(checks(&desk)[1], (Ohm(399.0), Ohm(400.0), "39.9x10".into()));
    desk.resize(80, 60);
    let screen = desk.screen();
    assert!(screen.contains(" = 14:07 known resistor read"), "{screen}");
    desk.keys("\x1b336");
    assert!(
        !desk.message().contains("resistor first"),
        "{}",
        desk.message()
    );
    desk.keys("\x08\x08\x08u");
    assert_eq!(
        desk.session.site().log().entries().len(),
        3,
        "a strike is an entry"
    );
}

#[test]
fn after_the_last_unread_line_the_meter_goes_off() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n410\n561\n548\n275\n");
    assert_eq!(desk.session.message().hint, "u takes it back");
    desk.keys("498\n");
    assert!(
        desk.session.message().hint.contains("meter off"),
        "{}",
        desk.session.message().hint
    );
}

#[test]
fn left_and_right_go_from_amplifier_to_amplifier_and_enter_to_the_line() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    desk.press(Key::Right);
    assert!(
        desk.screen().contains("A2  before a line"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Right);
    assert_eq!(desk.message(), "this is the last amplifier");
    desk.press(Key::Left);
    while !row(&desk).contains("L-2") {
        desk.press(Key::Down);
    }
    desk.press(Key::Enter);
    assert_eq!(desk.on(), "L-2");
    assert!(desk.screen().contains("survey, as found"));
}

#[test]
fn space_in_the_survey_goes_to_what_waits_and_ticks_nothing_unseen() {
    let mut desk = Desk::at(demo());
    desk.keys("/ch1\n ");
    assert!(
        desk.screen().contains("rack list, as found"),
        "{}",
        desk.screen()
    );
    assert!(ticks(&desk).is_empty());
    desk.keys("\x1b");
    assert_eq!(desk.on(), "CH-1");
}

#[test]
fn a_tick_that_the_disk_refused_is_not_called_ticked() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("gr ");
    assert!(
        desk.message().starts_with("NOT RECORDED"),
        "{}",
        desk.message()
    );
    assert!(
        desk.screen().contains(" ^ sent  occupants"),
        "{}",
        desk.screen()
    );
    assert!(ticks(&desk).is_empty());
}

#[test]
fn cut_off_on_the_list_one_stands_there_again() {
    let mut desk = Desk::at(hall());
    desk.keys("gr  lno st");
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap()).unwrap();
    let again = Session::new(
        desk.session.site().clone(),
        opening("nextnextnextnext"),
        Some(resume),
    );
    assert_eq!(again.resume().ticking, desk.session.resume().ticking);
    assert_eq!(again.mode(), desk.session.mode());
}

/// The cursor of the list on the row that has these words.
fn go_to(desk: &mut Desk, words: &str) {
    desk.press(Key::Home);
    for _ in 0..80 {
        if row(desk).contains(words) {
            return;
        }
        desk.press(Key::Down);
    }
    panic!("{words} is no row of the list");
}

#[test]
fn leads_zeroed_is_not_ticked_before_a_known_resistor_was_read() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    go_to(&mut desk, "known resistor");
    // Before: nothing was read. Space is refused with what to do, and the row waits.
    desk.keys(" ");
    assert!(ticks(&desk).is_empty());
    assert!(desk.message().contains("398r400"), "{}", desk.message());
    assert!(row(&desk).starts_with(">."), "{}", row(&desk));
    // After: the resistor itself ticks it, and says nothing of the leads; Space does.
    desk.keys("398r400\n");
    go_to(&mut desk, "known resistor");
    assert!(row(&desk).starts_with(">="), "{}", row(&desk));
    let nobody = "Nobody ticked that its leads were zeroed: Space does.";
    assert!(panel(&desk).contains(nobody), "{}", panel(&desk));
    desk.keys(" ");
    assert_eq!(ticks(&desk), ["leads-zeroed visit-1"]);
    go_to(&mut desk, "known resistor");
    assert!(!panel(&desk).contains(nobody), "{}", panel(&desk));
    // It is said once, and read again it stays said.
    desk.keys(" ");
    assert_eq!(ticks(&desk).len(), 1);
    assert!(desk.message().starts_with("ticked "), "{}", desk.message());
    desk.keys("399r400\n");
    go_to(&mut desk, "known resistor");
    assert!(!panel(&desk).contains(nobody), "{}", panel(&desk));
    // Without a resistor it is left out with the reason, as before.
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    go_to(&mut desk, "known resistor");
    desk.keys("lno known resistor in the bag\n");
    assert_eq!(
        ticks(&desk),
        ["leads-zeroed visit-1 not here: no known resistor in the bag"]
    );
}

#[test]
fn what_cannot_be_so_while_a_line_is_opened_or_off_is_not_ticked_and_names_the_lines() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        \x1b/h1\nw");
    desk.press(Key::Down);
    desk.keys("b30\n40\n\x1b");
    // H-1 stands opened, all five lines of A1 are OFF.
    let before = ticks(&desk);
    for (words, says) in [
        ("lines: joints closed", "H-1 stands opened: w there"),
        ("H-1     joints closed", "H-1 stands opened: w there"),
        ("supervision", "H-1 stands opened"),
        ("first power", "H-1 stands opened"),
    ] {
        desk.keys("gr");
        go_to(&mut desk, words);
        desk.keys(" ");
        assert_eq!(ticks(&desk), before, "{words}");
        assert!(desk.message().contains(says), "{words}: {}", desk.message());
    }
    // Another line of the same amplifier has its own joints.
    go_to(&mut desk, "H-2     joints closed");
    desk.keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "joints-closed H-2");
    // Closed again, the lines are still OFF.
    desk.keys("\x1b/h1\nwb\x1bgr");
    go_to(&mut desk, "fault lamps");
    desk.keys(" ");
    assert_eq!(
        desk.message(),
        "H-1, H-2, L-1, L-2 and 1 more are OFF: put them back, or say in g v why not"
    );
    assert!(desk.message().len() <= 78);
    // First power at low level is how they come back: with some of them OFF.
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert_eq!(ticks(&desk).last().unwrap(), "low-power A1");
    go_to(&mut desk, "lines: cores back on");
    desk.keys(" ");
    go_to(&mut desk, "fault lamps");
    desk.keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "faults-clear A1");
}

#[test]
fn a_line_is_found_on_the_list_itself() {
    let mut desk = Desk::at(hall());
    desk.keys("gr/c1");
    assert!(desk.screen().contains("rack list"), "{}", desk.screen());
    desk.keys("\n");
    assert!(
        row(&desk).contains("C-1     both cores off"),
        "{}",
        row(&desk)
    );
    assert!(desk.screen().contains("A2  before a line is touched"));
}

#[test]
fn ticking_on_ends_with_the_part_of_the_list_and_keeps_to_the_line() {
    let mut desk = Desk::at(hall());
    desk.keys("gr398r400\n");
    // Seven steps, all cores off; a key too many ticks nothing of handing back.
    desk.keys("          ");
    assert_eq!(ticks(&desk).len(), 8, "{:?}", ticks(&desk));
    assert_eq!(ticks(&desk)[7], "cores-off H-1,H-2,L-1,L-2,B-1");
    // A line is handed back by itself with two keys.
    go_to(&mut desk, "L-1     joints closed");
    desk.keys("  ");
    assert_eq!(ticks(&desk)[8..], ["joints-closed L-1", "cores-on L-1"]);
    // Taken back, one stands on it again.
    desk.keys("u");
    assert!(row(&desk).contains("cores back on"), "{}", row(&desk));
}

#[test]
fn words_that_esc_leaves_take_what_was_told_of_them_along() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n/h1\nj\t\x1b");
    assert_eq!(desk.message(), "");
}

#[test]
fn x_on_the_rack_list_takes_up_the_last_reading_made_and_once_more_the_lines_own() {
    let mut desk = Desk::at(hall());
    desk.keys("333\n415\n");
    desk.keys("/h1\ngr398r400\nx");
    // The last that was made is the resistor; H-1 is under the cursor.
    assert_eq!(desk.typed().as_deref(), Some("398x"));
    assert!(
        desk.message()
            .starts_with("corrects known resistor 398 ohm of 14:07; x again: H-1 333 ohm"),
        "{}",
        desk.message()
    );
    assert!(desk.message().len() <= 78, "{}", desk.message());
    desk.keys("x");
    assert_eq!(desk.typed().as_deref(), Some("333x"));
    assert!(
        desk.message().starts_with("corrects H-1 333 ohm"),
        "{}",
        desk.message()
    );
    desk.keys("x");
    assert_eq!(desk.typed().as_deref(), Some("398x"));
    desk.keys("\x08\x08").keys("6\n");
    let log = desk.session.site().log();
    let checks: Vec<&str> = log
        .entries()
        .iter()
        .filter(|entry| log.counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            Do::Check(it) => Some(it.text.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(checks, ["396"], "the one takes the place of the other");
    assert_eq!(desk.readings(), ["H-1 333", "H-2 415"]);
}

#[test]
fn x_says_how_a_range_is_put_behind_the_figure_it_takes_up_and_of_a_word_there_is_none_to_put() {
    let hint = "type its range, 10 or 100; Backspace: retype";
    let mut desk = Desk::at(hall());
    desk.keys("33\n/h1\n");
    assert!(!desk.screen().contains(hint), "{}", desk.screen());
    desk.keys("x");
    assert_eq!(desk.typed().as_deref(), Some("33x"));
    assert!(desk.screen().contains(hint), "{}", desk.screen());
    // As it says: ten times.
    desk.keys("10\n");
    assert_eq!(desk.readings(), ["H-1 33x10"]);
    assert!(!desk.screen().contains(hint), "{}", desk.screen());
    // Anew: Backspace takes the letter and the figure.
    desk.keys("/h2\n41\n/h2\nx\x08\x08\x08415\n");
    assert_eq!(desk.readings(), ["H-1 33x10", "H-2 415"]);
    // A short has no range.
    desk.keys("/l1\n0\n/l1\nx");
    assert!(
        desk.message().starts_with("corrects L-1 short"),
        "{}",
        desk.message()
    );
    assert!(!desk.screen().contains(hint), "{}", desk.screen());
}

#[test]
fn a_row_of_several_lines_says_how_many_one_space_ticks() {
    let prompt = |desk: &Desk| desk.session.view().entry.text().trim().to_owned();
    let mut desk = Desk::at(hall());
    desk.keys("gr       ");
    assert_eq!(row(&desk), ">.       5 lines: both cores off");
    assert_eq!(prompt(&desk), "Space ticks 5 lines: both cores off>");
    let screen = desk.screen();
    assert!(screen.contains("Space ticks 5"), "{screen}");
    // The row of one output is no line's row either.
    desk.press(Key::Down);
    assert_eq!(row(&desk), ">.       4 lines, A1 out 1: both cores off");
    assert_eq!(prompt(&desk), "Space ticks 4 lines: both cores off>");
    desk.press(Key::Down);
    assert_eq!(row(&desk), ">.         H-1     both cores off");
    assert_eq!(prompt(&desk), "H-1 both cores off>");
    // It does what it says: four at once, and then there is one more.
    desk.press(Key::Up).keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "cores-off H-1,H-2,L-1,L-2");
    let screen = desk.screen();
    assert!(screen.contains("       1 line: both cores off"), "{screen}");
    assert!(screen.contains(" A1 out 1: both cores off"), "{screen}");
}

#[test]
fn one_tick_serves_every_amplifier_of_the_building() {
    let mut desk = Desk::at(hall());
    desk.keys("grA");
    assert_eq!(ticks(&desk), ["told A1,A2"]);
    assert_eq!(row(&desk), ">.       amplifier and standby off");
    // What is done at each amplifier is ticked at each.
    desk.keys("A");
    assert_eq!(ticks(&desk).len(), 1);
    assert!(desk.message().contains("at each"), "{}", desk.message());
    desk.press(Key::Up);
    desk.keys("A");
    assert_eq!(desk.message(), "ticked for every amplifier already");
    // Ticked for one already, it is ticked for the other.
    go_to(&mut desk, "monitoring told, book");
    desk.keys(" ");
    go_to(&mut desk, "monitoring told, book");
    desk.keys("A");
    assert_eq!(ticks(&desk)[1..], ["signed A1", "signed A2"]);
    // The meter is the visit's: one Space, and it stands ticked on the other's list too.
    go_to(&mut desk, "meter off");
    desk.keys(" ");
    desk.press(Key::Right);
    go_to(&mut desk, "meter off");
    assert!(row(&desk).starts_with(">= 14:"), "{}", row(&desk));
}

#[test]
fn a_tick_says_which_reading_came_after_it_and_is_ticked_again() {
    let mut desk = Desk::at(hall());
    desk.keys("333\ngr");
    go_to(&mut desk, "meter off");
    desk.keys(" ");
    let count = ticks(&desk).len();
    desk.keys("\x1b/h2\n415\ngr");
    go_to(&mut desk, "meter off");
    assert!(
        row(&desk).starts_with(">~ again meter off"),
        "{}",
        row(&desk)
    );
    let screen = desk.screen();
    let words: Vec<&str> = screen.split_whitespace().collect();
    assert!(
        words.join(" ").contains("~ read since, 14:07: H-2 415 ohm"),
        "{screen}"
    );
    desk.keys(" ");
    assert_eq!(ticks(&desk).len(), count + 1);
    go_to(&mut desk, "meter off");
    assert!(row(&desk).starts_with(">= 14:"), "{}", row(&desk));
}

#[test]
fn a_tick_for_several_lines_names_those_that_are_flagged_before_and_after() {
    let mut desk = Desk::at(hall());
    // H-2 should read 417: at 250 it takes 40 W for 24.
    desk.keys("gr        \x1b/h1\n333\n250\ngr");
    go_to(&mut desk, "lines: cores back on");
    let words = |desk: &Desk| {
        let screen = desk.screen();
        screen.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let flagged = "flagged: H-2 out of tolerance";
    assert!(
        words(&desk).contains(&format!("! {flagged}")),
        "{}",
        desk.screen()
    );
    desk.keys(" ");
    assert!(
        desk.message()
            .ends_with("cores back on; flagged: H-2; 3 of 5 not read"),
        "{}",
        desk.message()
    );
    assert!(desk.session.message().alarm);
    // Before a line is touched a tick has nothing to do with loads.
    desk.press(Key::Home);
    assert!(!words(&desk).contains("! flagged"), "{}", desk.screen());
}
