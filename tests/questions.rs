//! What is asked, said or refused before it is recorded: a slip in the known resistor, a meter on a line
//! that is on, a signature taken back, a date that is past; and where one stands after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, demo, hall, opening};
use linewright::session::Key;
use linewright::site::{Do, Site};
use linewright::storage::{format1, merge};
use pen::{Pen, evening};
use screen::{prompt, row};

/// Known resistors that count, as read on known.
fn checks(site: &Site) -> Vec<String> {
    let log = site.log();
    let entries = log.entries().iter();
    entries
        .filter(|entry| log.counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            Do::Check(it) => Some(format!("{} on {}", it.value.get(), it.known_ohm.get())),
            _ => None,
        })
        .collect()
}

fn header(desk: &Desk) -> String {
    desk.session.view().header.text()
}

/// H-1 read, taken off and put back on; the cursor on it.
fn back_on() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").rest();
    for item in ["cores-off", "cores-on"] {
        tick(&mut desk, item);
    }
    assert_eq!(desk.on(), "H-1");
    desk
}

/// Ticks an item of the line under the cursor on the rack list, and goes back to the survey.
fn tick(desk: &mut Desk, item: &str) {
    use linewright::site::{Ref, Tick, TickIs};
    let line = desk.session.cursor_line().unwrap();
    let so_far = desk.log_len();
    let writer = format!("penpenpenpen{so_far:04}");
    let site = desk.session.site().clone();
    let mut pen = Pen::by(site, &writer, 900 + so_far as i64);
    pen.write(Do::Tick(Tick {
        item: item.to_owned(),
        of: vec![Ref::Line(line)],
        visit: desk.session.site().visit(),
        is: TickIs::Done,
    }));
    desk.event(linewright::session::Event::Replaced(Box::new(pen.site)));
}

#[test]
fn a_slip_in_the_known_resistor_is_asked_about_and_moves_no_line_before_that() {
    let mut desk = Desk::at(hall());
    for text in ["336", "410", "560"] {
        desk.keys(text).press(Key::Enter);
    }
    desk.rest();
    let before = desk.json();
    // The resistor is one of 400 ohm: a nought is lost behind r. Ten times 40 would fit.
    desk.keys("398r40\n");
    assert_eq!(checks(desk.session.site()), [""; 0]);
    assert_eq!(desk.json(), before, "nothing counts yet");
    assert_eq!(desk.typed().unwrap(), "398r40", "it stays to be mended");
    assert_eq!(
        desk.message(),
        "398 ohm on a known 40.0 ohm: no meter is so far off. 39.8 ohm, a tenth, would fit. Enter \
         once more records it"
    );
    desk.keys("0\n");
    assert_eq!(checks(desk.session.site()), ["398 on 400"]);
    // What it is known to be is asked no more; a slip in the meter's figure is, and that it was 400.
    desk.keys("x");
    desk.keys("\x1b39r40\n\x1b938r\n");
    assert_eq!(checks(desk.session.site()), ["398 on 400", "39 on 40"]);
    assert!(
        desk.message().starts_with("938 ohm on a known 40.0 ohm"),
        "{}",
        desk.message()
    );
    // Another key than Enter is a no: it is asked again.
    desk.keys("\x080r40\n");
    assert_eq!(checks(desk.session.site()).len(), 2);
    assert!(desk.message().contains("Enter once more"));
    desk.keys("\n");
    assert_eq!(checks(desk.session.site()).len(), 3);
    desk.keys("u");
    assert_eq!(checks(desk.session.site()).len(), 2);
}

#[test]
fn leads_that_were_not_zeroed_are_asked_about_before_they_count_as_the_meter() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.keys("11.5r10\n");
    assert_eq!(checks(desk.session.site()), [""; 0]);
    assert_eq!(
        desk.message(),
        "11.5 ohm on 10.0 ohm, +15.0 %: the meter is good for 5.0 %. Leads not zeroed? Enter once more records it"
    );
    desk.keys("\n");
    assert_eq!(checks(desk.session.site()), ["11.5 on 10"]);
}

#[test]
fn a_reading_of_a_line_that_is_back_on_is_asked_about_and_the_panel_says_why() {
    let mut desk = back_on();
    desk.keys("3");
    assert_eq!(
        desk.message(),
        "H-1 is back ON the amplifier: no meter on it. Off, locked, proved dead first: g r"
    );
    desk.keys("36");
    let screen = desk.screen();
    assert!(
        screen.contains("! back ON the amplifier: no meter on it"),
        "{screen}"
    );
    let before = desk.log_len();
    desk.keys("\n");
    assert_eq!(desk.log_len(), before, "asked first");
    assert_eq!(
        desk.message(),
        "H-1 is back ON the amplifier: no meter on it. Read while it was OFF? Enter once more records it"
    );
    desk.keys("\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
    // What corrects it was read before, and is not asked about.
    desk.keys("/h1\nx10\n");
    assert_eq!(desk.readings(), ["H-1 336x10"]);
    // Off again nothing is said.
    let mut desk = back_on();
    tick(&mut desk, "cores-off");
    desk.keys("336\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert!(!desk.message().contains("ON"), "{}", desk.message());
}

#[test]
fn a_line_that_is_back_on_is_walked_with_its_amplifiers_tone_and_never_with_a_meters() {
    let mut desk = back_on();
    desk.keys("w");
    assert!(
        desk.screen().contains("tone of amplifier"),
        "{}",
        desk.screen()
    );
    desk.keys("t");
    assert!(
        desk.message()
            .starts_with("H-1 is back ON: the tone is the amplifier's"),
        "{}",
        desk.message()
    );
    desk.keys(" ");
    let log = desk.session.site().log();
    let tone = log.entries().iter().find_map(|entry| match &entry.what {
        Do::Listen(it) => Some(it.tone.clone()),
        _ => None,
    });
    assert_eq!(tone.unwrap(), "amplifier");
}

#[test]
fn a_line_that_may_be_driven_is_not_opened_without_a_question() {
    // One that went back on, and one that was not ticked off where others were.
    for (line, on) in [
        ("h1", "H-1 is back ON the amplifier"),
        ("h2", "H-2 is not ticked OFF"),
    ] {
        let mut desk = back_on();
        desk.keys(&format!("/{line}\nw"))
            .press(Key::Home)
            .press(Key::Down);
        let before = desk.log_len();
        desk.keys("b");
        assert_eq!(desk.log_len(), before);
        assert_eq!(
            desk.message(),
            format!(
                "{on}: up to 100 V on it. First off, locked, proved dead: g r; b again opens it"
            )
        );
        desk.press(Key::Down).press(Key::Up).keys("b");
        assert_eq!(desk.log_len(), before, "any other key is a no");
        desk.keys("b");
        assert_eq!(desk.log_len(), before + 1);
        assert!(
            prompt(&desk).contains("from the rack to"),
            "{}",
            prompt(&desk)
        );
    }
    // Where nobody ticks lines off, nothing is known.
    let mut desk = Desk::at(hall());
    desk.keys("w").press(Key::Home).press(Key::Down).keys("b");
    assert!(
        prompt(&desk).contains("from the rack to"),
        "{}",
        prompt(&desk)
    );
}

#[test]
fn u_on_a_walk_stands_again_at_the_loudspeaker_whose_answer_it_takes_back() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n336\n/h1\nw")
        .press(Key::Home)
        .press(Key::Down);
    desk.keys("  s");
    assert!(prompt(&desk).contains("LS-4"), "{}", prompt(&desk));
    desk.keys("u");
    assert!(prompt(&desk).contains("LS-3"), "{}", prompt(&desk));
    desk.keys("u");
    assert!(prompt(&desk).contains("LS-2"), "{}", prompt(&desk));
    // However far one has gone on meanwhile.
    desk.press(Key::End).keys("u");
    assert!(prompt(&desk).contains("LS-1"), "{}", prompt(&desk));
}

#[test]
fn a_minus_before_a_figure_is_refused_with_it_and_never_dropped() {
    let mut desk = Desk::at(hall());
    desk.keys("-336");
    assert_eq!(desk.typed().unwrap(), "-336");
    desk.keys("\n");
    assert_eq!(desk.readings(), [""; 0]);
    assert!(desk.message().contains("below zero"), "{}", desk.message());
    assert_eq!(
        desk.typed().unwrap(),
        "-336",
        "bad input stays in the entry"
    );
    let mut desk = Desk::at(hall());
    desk.keys("gr-398r400\n");
    assert_eq!(checks(desk.session.site()), [""; 0]);
}

#[test]
fn a_signature_is_taken_back_by_u_twice_and_a_stray_u_at_the_opening_says_so() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n\x1b");
    assert!(header(&desk).contains(" signed "), "{}", header(&desk));
    let asked = |desk: &Desk| {
        assert!(
            desk.message().starts_with(
                "this withdraws what N. Engineer signed for the whole site, 2026-11-25 "
            ),
            "{}",
            desk.message()
        );
        assert!(header(desk).contains(" signed "), "{}", header(desk));
    };
    desk.keys("u");
    asked(&desk);
    // The next day, the first key.
    let resume = desk.session.resume();
    let mut next = Desk::with(
        desk.session.site().clone(),
        desk::opening("nextnextnextnext"),
        Some(resume),
    );
    next.keys("u");
    asked(&next);
    next.keys("\x1b").keys("u");
    asked(&next);
    next.keys("u");
    assert!(!header(&next).contains("signed"), "{}", header(&next));
}

#[test]
fn a_broken_seal_is_named_with_what_it_was_for_and_when_and_stays_in_the_header() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n\x1b/h1\n");
    // The line is back on: asked about once.
    desk.keys("334\n\n");
    let message = desk.message().to_owned();
    let start = "SEAL BROKEN: H-1 changed since N. Engineer signed for the whole site, 2026-11-25 ";
    assert!(message.starts_with(start), "{message}");
    assert!(header(&desk).contains("SEAL BROKEN"), "{}", header(&desk));
    // In the review, and in the list of parts, before anything that could be cut off.
    desk.keys("gv");
    let screen = desk.screen();
    assert!(screen.contains("BROKEN, 1 change since 2026-"), "{screen}");
    desk.keys("v");
    let screen = desk.screen();
    let row = screen
        .lines()
        .find(|row| row.contains("the whole site"))
        .unwrap();
    assert!(row.contains("BROKEN, 1 change since"), "{row}");
    // Taken back, every figure is as sealed: it stays to be seen, and is no alarm.
    desk.keys("\x1b\x1bu");
    let calm = "signed, change undone";
    assert!(header(&desk).contains(calm), "{}", header(&desk));
    assert!(
        desk.message()
            .starts_with("H-1: figures as sealed again; taken back: "),
        "{}",
        desk.message()
    );
    assert!(!desk.screen().contains("BROKEN"), "{}", desk.screen());
    // The next morning too.
    let next = Desk::with(
        desk.session.site().clone(),
        desk::opening("nextnextnextnext"),
        None,
    );
    assert!(header(&next).contains(calm), "{}", header(&next));
    let words = "figures as sealed: H-1 changed and taken back";
    desk.keys("gv").press(Key::Home);
    assert!(desk.screen().contains(words), "{}", desk.screen());
    desk.keys("v");
    let screen = desk.screen();
    let row = screen
        .lines()
        .find(|row| row.contains("the whole site"))
        .unwrap();
    assert!(row.contains("figures as sealed"), "{row}");
    // Done again, or another figure, it is broken as before.
    desk.keys("\x1b\x1br");
    assert!(header(&desk).contains("SEAL BROKEN"), "{}", header(&desk));
    desk.keys("u");
    assert!(header(&desk).contains(calm), "{}", header(&desk));
    desk.keys("/h1\n331\n\n");
    assert!(header(&desk).contains("SEAL BROKEN"), "{}", header(&desk));
    desk.keys("u");
    assert!(header(&desk).contains(calm), "{}", header(&desk));
    desk.keys("gv").press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n");
    assert!(
        header(&desk).contains(" signed  "),
        "{}\n{}",
        header(&desk),
        desk.screen()
    );
}

#[test]
fn from_the_rack_list_esc_and_g_g_lead_back_to_the_row_of_the_review() {
    for back in ["\x1b", "gg"] {
        let mut desk = Desk::at(evening());
        // To the fourth row, H-2 that is OFF.
        desk.keys("gv").press(Key::Home);
        for _ in 0..4 {
            desk.press(Key::Down);
        }
        let was = prompt(&desk);
        let screen = desk.screen();
        desk.press(Key::Enter);
        assert!(
            header(&desk).contains("rack list"),
            "{screen}\n{}",
            header(&desk)
        );
        desk.keys(back);
        assert!(
            header(&desk).contains("review"),
            "{back:?} {}",
            header(&desk)
        );
        assert_eq!(prompt(&desk), was, "{back:?}");
    }
    // From a line of the survey likewise, and from the rack list of the survey to the survey.
    let mut desk = Desk::at(evening());
    desk.keys("gv").press(Key::Home).press(Key::Down);
    let was = prompt(&desk);
    desk.press(Key::Enter).keys("gg");
    assert!(header(&desk).contains("review"), "{}", header(&desk));
    assert_eq!(prompt(&desk), was);
    desk.keys("\x1bgr\x1b");
    assert!(header(&desk).contains("survey"), "{}", header(&desk));
}

#[test]
fn a_snag_that_was_due_yesterday_is_refused_and_stays_to_be_mended() {
    let mut desk = Desk::at(evening());
    desk.keys("gvlshort, N. N., 2026-11-24\n");
    assert_eq!(
        desk.message(),
        "2026-11-24 is past: a date from 2026-11-25 on was wanted"
    );
    assert_eq!(desk.typed().unwrap(), "short, N. N., 2026-11-24");
    desk.keys("\x085\n");
    assert_eq!(desk.typed(), None, "{}", desk.message());
}

#[test]
fn the_list_of_parts_says_that_it_goes_on_and_a_prompt_never_loses_what_it_asks_for() {
    let mut desk = Desk::at(desk::demo());
    desk.keys("gvv");
    let heading = desk.screen().lines().nth(2).unwrap().to_owned();
    // The site, five amplifiers and the zones: more than there is room for.
    assert!(heading.contains("in the way  1 to 10 of "), "{heading}");
    desk.press(Key::Down);
    for (columns, rows) in [(80, 24), (60, 20)] {
        let mut desk = Desk::at(evening());
        desk.resize(columns, rows);
        desk.keys("gvvcar park\n\n");
        assert!(
            prompt(&desk).ends_with(": name, role> "),
            "{}",
            prompt(&desk)
        );
        assert!(header(&desk).contains("review of zone Car park") || columns < 80);
    }
}

#[test]
fn what_is_tried_out_first_keeps_the_headroom() {
    // H-1 of 30 W beside the 20 W of C-1 is 83 % of A2's 60 W: in its rating, past its headroom of 20 %. L-1
    // of 18 W there is 63 %.
    for (line, first) in [("h1", "down"), ("l1", "to A2")] {
        let mut desk = Desk::at(hall());
        desk.keys(&format!("/{line}\nh"));
        let typed = desk.typed().unwrap();
        assert!(typed.starts_with(first), "{line}: {typed}");
    }
}

#[test]
fn no_heading_stands_without_what_it_heads() {
    let mut desk = Desk::at(desk::demo());
    desk.rest();
    desk.resize(60, 20).keys("/fh1\nw").press(Key::Down);
    desk.keys("bb500").rest();
    let screen = desk.screen();
    let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
    let panel: Vec<&str> = panel.map(|(_, row)| row.trim()).collect();
    for (at, row) in panel.iter().enumerate() {
        let heads = ["of the whole site", "why,", "if it is", "or this line"];
        if heads.iter().any(|it| row.starts_with(it)) {
            assert!(
                panel.get(at + 1).is_some_and(|row| !row.is_empty()),
                "{screen}"
            );
        }
    }
}

#[test]
fn a_tick_taken_back_is_stood_on_again_and_no_lines_own_row_leads_to_one_of_several() {
    let mut desk = Desk::at(demo());
    // On to the next line's own row, past the row of all lines of the output.
    desk.keys("/lh-1\n   ");
    let screen = desk.screen();
    assert!(screen.contains("5 OFF"), "{screen}");
    assert!(!row(&desk).contains("lines"), "{screen}");
    desk.keys("u");
    let screen = desk.screen();
    assert!(screen.contains("6 OFF"), "{screen}");
    assert!(row(&desk).contains("LH-1"), "{screen}");
    desk.keys(" ");
    let screen = desk.screen();
    assert!(screen.contains("5 OFF"), "only LH-1 goes back: {screen}");
}

#[test]
fn what_is_opened_from_the_review_is_of_its_row() {
    for keys in ["gw", "gd", "gr", "ga"] {
        let mut desk = Desk::at(demo());
        desk.keys("gv");
        for _ in 0..40 {
            if row(&desk).contains(" PH-5 ") {
                break;
            }
            desk.press(Key::Down);
        }
        desk.keys(keys);
        assert_eq!(desk.on(), "PH-5", "{keys}: {}", desk.screen());
    }
}

#[test]
fn a_line_that_two_copies_draw_differently_says_so_and_not_that_its_loudspeakers_hang_on_nothing() {
    let base = format1::write(&hall()).unwrap();
    // Each taps the first loudspeaker otherwise.
    let copy = |writer: &str, tap: &str| {
        let mut desk = Desk::with(hall(), opening(writer), None);
        desk.keys("/h1\n").keys("gd").press(Key::Home);
        desk.press(Key::Down).keys("e");
        for _ in 0..desk.typed().unwrap().len() {
            desk.keys("\x08");
        }
        desk.keys(&format!("LS-1 {tap}\n"));
        format1::write(desk.session.site()).unwrap()
    };
    let (ours, theirs) = (
        copy("oursoursoursours", "3w"),
        copy("theirstheirsthei", "12w"),
    );
    let merged = merge(("base", &base), ("ours", &ours), ("theirs", &theirs)).unwrap();
    assert_eq!(merged.questions, 1);
    let mut desk = Desk::at(merged.site);
    desk.resize(160, 48).keys("/h1\n").press(Key::Tab);
    let screen = desk.screen();
    assert!(
        screen.contains("in question: joined copies say two"),
        "{screen}"
    );
    assert!(!screen.contains("no way from the rack"), "{screen}");
}
