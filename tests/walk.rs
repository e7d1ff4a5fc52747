//! The walk along a line, told at the keyboard: one key an answer, a split as one flow, and suspects
//! that thin out.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, demo, hall};
use linewright::site::{Cut, Do, Heard};

/// The demo, at rest, walking TH-1 (twelve loudspeakers, broken before LS-08).
fn walking() -> Desk {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("/th-1\n").rest();
    desk.keys("w");
    desk
}

fn th_1(desk: &Desk) -> usize {
    desk.session.site().plan().line_labelled("TH-1").unwrap()
}

/// Answers given in this sitting, by label.
fn answers(desk: &Desk) -> Vec<(String, Heard)> {
    let entries = desk.session.site().log().entries();
    entries
        .iter()
        .filter(|entry| entry.id.as_str().starts_with("deskdeskdeskdesk"))
        .filter_map(|entry| match &entry.what {
            Do::Listen(listen) => {
                let label = listen.at.as_str().rsplit('/').next().unwrap();
                Some((label.to_owned(), listen.gives))
            }
            _ => None,
        })
        .collect()
}

#[test]
fn a_walk_begins_where_the_next_test_tells_most_and_esc_leads_back() {
    let mut desk = walking();
    let screen = desk.screen();
    assert!(screen.contains("walk, as found"), "{screen}");
    assert!(screen.contains(">. next      LS-08"), "{screen}");
    assert!(screen.contains("next  listen at LS-08"), "{screen}");
    desk.keys("\x1b");
    assert!(desk.screen().contains("survey, as found"));
    assert_eq!(desk.on(), "TH-1");
}

#[test]
fn twelve_loudspeakers_take_twelve_keys() {
    let mut desk = walking();
    desk.press(linewright::session::Key::Home);
    desk.press(linewright::session::Key::Down);
    desk.keys("       sssss");
    let given = answers(&desk);
    let labels: Vec<&str> = given.iter().map(|(label, _)| label.as_str()).collect();
    // LS-03 and LS-06 were heard before: a key passes on from each, and nothing is recorded twice.
    let wanted = (1..=12).filter(|at| ![3, 6].contains(at));
    let wanted: Vec<String> = wanted.map(|at| format!("LS-{at:02}")).collect();
    assert_eq!(labels, wanted);
    assert!(given[..5].iter().all(|(_, gives)| *gives == Heard::Heard));
    assert!(given[5..].iter().all(|(_, gives)| *gives == Heard::Silent));
}

#[test]
fn an_answer_thins_the_suspects_out_and_u_brings_them_back() {
    let mut desk = walking();
    let odds = |desk: &Desk| {
        desk.session
            .analyst()
            .suspects(th_1(desk))
            .unwrap()
            .hints
            .clone()
    };
    let before = odds(&desk);
    desk.keys("s").rest();
    let after = odds(&desk);
    assert_eq!(after[0].fault.as_str(), "line-open");
    assert!(
        after[0].probability > before[0].probability,
        "{before:?} {after:?}"
    );
    assert!(
        desk.screen().contains("- silent    LS-08"),
        "{}",
        desk.screen()
    );
    desk.keys("u").rest();
    assert_eq!(odds(&desk), before);
}

/// The prompt for the other side opens by itself: it keeps nobody from taking the first back.
#[test]
fn u_takes_the_near_side_back_though_the_far_one_is_asked_for() {
    let mut desk = walking();
    desk.keys("b479\n");
    assert!(desk.screen().contains("from LS-08 on reading>"));
    let had = desk.log_len();
    desk.keys("u");
    assert!(
        desk.message().starts_with("taken back: "),
        "{}",
        desk.message()
    );
    assert_eq!(desk.log_len(), had + 1);
    // With a figure typed it is none of its signs.
    desk.keys("4u");
    assert!(
        desk.message().starts_with("u does not belong"),
        "{}",
        desk.message()
    );
}

#[test]
fn a_split_is_one_flow_open_near_far_closed() {
    let mut desk = walking();
    desk.keys("b");
    let screen = desk.screen();
    assert!(
        screen.contains("TH-1 from the rack to LS-08 reading>"),
        "{screen}"
    );
    assert!(
        screen.contains("opened, hands clear"),
        "the caution stands where the act happens: {screen}"
    );
    desk.keys("479\n");
    assert!(
        desk.screen().contains("TH-1 from LS-08 on reading>"),
        "{}",
        desk.screen()
    );
    desk.keys("665\n");
    let screen = desk.screen();
    assert!(screen.contains("b when closed again"), "{screen}");
    assert!(screen.contains("OPEN: b when closed"), "{screen}");
    desk.keys("b").rest();
    assert!(!desk.screen().contains("OPEN:"), "{}", desk.screen());
    let cuts: Vec<String> = desk
        .session
        .site()
        .log()
        .entries()
        .iter()
        .filter(|entry| entry.id.as_str().starts_with("deskdeskdeskdesk"))
        .filter_map(|entry| match &entry.what {
            Do::Read(read) => Some(match read.cut.as_ref().unwrap() {
                Cut::Near(at) => format!("near {at} {}", read.text),
                Cut::Far(at) => format!("far {at} {}", read.text),
                Cut::Whole(at) => format!("whole {at} {}", read.text),
            }),
            Do::Tick(tick) => Some(tick.item.clone()),
            _ => None,
        })
        .collect();
    assert_eq!(
        cuts,
        [
            "split-opened",
            "near TH-1/LS-08 479",
            "far TH-1/LS-08 665",
            "split-closed"
        ]
    );
}

#[test]
fn a_figure_typed_on_the_walk_is_recorded_there_and_moves_no_verdict() {
    let mut desk = walking();
    let before = desk.session.analyst().line(th_1(&desk)).verdict;
    desk.keys("700\n");
    assert_eq!(desk.session.analyst().line(th_1(&desk)).verdict, before);
    assert!(
        desk.message()
            .contains("at LS-08 reads 700 ohm: kept there, not the line's reading"),
        "{}",
        desk.message()
    );
}

#[test]
fn a_walk_is_resumed_where_it_stood() {
    let mut desk = walking();
    desk.keys("s");
    let resume = desk.session.resume();
    let text = resume.to_text();
    assert_eq!(
        linewright::session::Resume::from_text(&text),
        Some(resume.clone())
    );
    assert_eq!(resume.walking.unwrap().as_str(), "TH-1/LS-09");
}

#[test]
fn no_loudspeaker_is_heard_at_the_rack() {
    let mut desk = walking();
    desk.press(linewright::session::Key::Home);
    desk.keys(" ");
    assert!(answers(&desk).is_empty());
    assert!(
        desk.screen().contains("no loudspeaker stands here"),
        "{}",
        desk.screen()
    );
}

/// From TH-1's first loudspeaker on.
fn at_the_first(desk: &mut Desk) {
    desk.press(linewright::session::Key::Home);
    desk.press(linewright::session::Key::Down);
}

#[test]
fn on_a_line_that_is_off_the_amplifiers_tone_is_heard_by_nobody() {
    let mut desk = walking();
    at_the_first(&mut desk);
    // Before: TH-1 is OFF; the meter's own tone is on it.
    assert!(desk.screen().contains("tone of meter"), "{}", desk.screen());
    desk.keys("t");
    assert!(desk.message().contains("OFF"), "{}", desk.message());
    desk.keys(" s");
    // After: nothing is recorded, and what to do is said.
    assert!(answers(&desk).is_empty());
    assert!(
        desk.message()
            .starts_with("TH-1 is OFF: no amplifier plays on it. t:"),
        "{}",
        desk.message()
    );
    assert!(desk.message().len() <= 78);
    // With the meter's tone again it is.
    desk.keys("t ");
    assert_eq!(answers(&desk), [("LS-01".to_owned(), Heard::Heard)]);
    // Back on the amplifier, its own tone is heard, and the log says which it was.
    desk.keys("\x1bgr");
    while !desk.screen().contains("TH-1 cores back on") {
        desk.press(linewright::session::Key::Down);
    }
    desk.keys(" \x1b/th1\nwt");
    at_the_first(&mut desk);
    desk.press(linewright::session::Key::Down);
    desk.keys(" ");
    let last = desk.sent.last().unwrap().last().unwrap();
    assert!(
        matches!(&last.what, Do::Listen(it) if it.tone == "amplifier"),
        "{last:?}"
    );
}

#[test]
fn behind_an_opened_joint_nothing_plays_and_before_it_all_do() {
    let mut desk = walking();
    // LS-08 is where the demo is broken: opened before it, LS-08 to LS-12 hang on nothing.
    desk.keys("b479\nopen\n");
    desk.keys("s");
    assert!(answers(&desk).is_empty());
    assert_eq!(
        desk.message(),
        "opened before LS-08: LS-08, LS-09 and 3 more cannot play; b when closed again"
    );
    at_the_first(&mut desk);
    desk.keys(" ");
    assert_eq!(answers(&desk), [("LS-01".to_owned(), Heard::Heard)]);
    desk.press(linewright::session::Key::End);
    desk.keys(" ");
    assert_eq!(answers(&desk).len(), 1);
    // Closed again, typed ahead of the disk: the answer after it counts.
    desk.disk = desk::DiskIs::Slow;
    desk.keys("bs");
    desk.disk = desk::DiskIs::Fast;
    desk.answer();
    assert_eq!(answers(&desk)[1], ("LS-12".to_owned(), Heard::Silent));
}

#[test]
fn space_passes_on_from_what_was_answered_and_a_second_one_corrects_it() {
    let mut desk = walking();
    at_the_first(&mut desk);
    desk.keys("s");
    desk.press(linewright::session::Key::Up);
    desk.keys(" ");
    assert_eq!(answers(&desk), [("LS-01".to_owned(), Heard::Silent)]);
    assert_eq!(
        desk.message(),
        "LS-01 stays silent: go back to it, and Space corrects it to heard"
    );
    assert!(
        desk.screen().contains(">. unheard   LS-02"),
        "{}",
        desk.screen()
    );
    desk.press(linewright::session::Key::Up);
    desk.keys(" ");
    assert_eq!(answers(&desk)[1], ("LS-01".to_owned(), Heard::Heard));
    // Any other letter corrects at once.
    desk.press(linewright::session::Key::Up);
    desk.keys("-");
    assert_eq!(answers(&desk)[2], ("LS-01".to_owned(), Heard::Quiet));
}

#[test]
fn while_the_line_is_open_the_next_test_is_the_other_side_or_to_close_it() {
    let mut desk = Desk::at(desk::hall());
    desk.keys("420\n/h1\n").rest();
    desk.keys("w")
        .press(linewright::session::Key::Home)
        .press(linewright::session::Key::Down)
        .press(linewright::session::Key::Down)
        .press(linewright::session::Key::Down);
    desk.keys("b\x1b");
    desk.rest();
    let screen = desk.screen();
    let words: Vec<&str> = screen.split_whitespace().collect();
    let words = words.join(" ");
    assert!(words.contains("open before LS-3"), "{screen}");
    assert!(!words.contains("listen at"), "{screen}");
}

#[test]
fn b_behind_an_answer_asks_which_place_is_opened_since_the_cursor_went_on() {
    let mut desk = walking();
    // LS-08 is silent, and the cursor goes on: the engineer still stands at LS-08.
    desk.keys("s").rest();
    let entries = desk.log_len();
    desk.keys("b");
    assert_eq!(
        desk.message(),
        "the cursor went on to LS-09: b again opens before LS-09; Up, then b: before LS-08"
    );
    assert_eq!(desk.log_len(), entries, "nothing is said to be open");
    desk.press(linewright::session::Key::Up);
    desk.keys("b");
    assert!(
        desk.screen()
            .contains("TH-1 from the rack to LS-08 reading>"),
        "{}",
        desk.screen()
    );
    // Meant so it is opened where the cursor is; who moved it is not asked, nor who heard what was there.
    let down = linewright::session::Key::Down;
    let [mut again, mut moved, mut heard] = [walking(), walking(), walking()];
    again.keys("sbb");
    moved.keys("s").press(down).keys("b");
    heard.keys(" b");
    for (desk, at) in [(again, "LS-09"), (moved, "LS-10"), (heard, "LS-09")] {
        let screen = desk.screen();
        let prompt = format!("TH-1 from the rack to {at} reading>");
        assert!(screen.contains(&prompt), "{prompt}: {screen}");
    }
}

/// H-1 of the hall read, opened before LS-3 (LS-4 and LS-5 hang on LS-2), the near side to be read.
fn opened() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("333\n/h1\n").rest();
    desk.keys("w").press(linewright::session::Key::Home);
    for _ in 0..3 {
        desk.press(linewright::session::Key::Down);
    }
    desk.keys("b");
    desk
}

#[test]
fn the_suspects_move_with_every_digit_of_a_side_and_are_after_enter_what_they_were_before() {
    let mut desk = Desk::at(hall());
    // Read a third too light: one of five is dead, or hangs elsewhere.
    desk.keys("417\n/h1\n").rest();
    desk.keys("w").press(linewright::session::Key::Home);
    for _ in 0..3 {
        desk.press(linewright::session::Key::Down);
    }
    desk.keys("b").rest();
    let why = |desk: &Desk| -> Vec<String> {
        let screen = desk.screen();
        let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
        let panel: Vec<String> = panel.map(|(_, row)| row.trim().to_owned()).collect();
        let from = panel.iter().position(|row| row.starts_with("why,"));
        let from = from.unwrap_or_else(|| panic!("{screen}"));
        let rows = panel[from..]
            .iter()
            .take_while(|row| !row.starts_with("next") && !row.starts_with("log of"));
        rows.filter(|row| !row.is_empty()).cloned().collect()
    };
    // Of four on the near side (LS-1, LS-2 and the branch on LS-2) all play: 10 000 / 24 = 417 ohm; with
    // one dead 10 000 / 18 = 556.
    let before = why(&desk);
    desk.keys("41");
    let first = why(&desk);
    desk.keys("7");
    let (typed, whole) = (why(&desk), first);
    assert_ne!(typed, before, "a figure that fits clears the near side");
    assert_ne!(typed, whole, "another figure, other suspects");
    desk.press(linewright::session::Key::Enter).rest();
    assert_eq!(
        why(&desk),
        typed,
        "what it shows before Enter is what it shows after"
    );
}

/// The figure in ohms of the panel's row of that word.
fn figure(desk: &Desk, word: &str) -> f64 {
    let screen = desk.screen();
    let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
    let row = panel.map(|(_, row)| row).find(|row| row.contains(word));
    let row = row.unwrap_or_else(|| panic!("{word}: {screen}"));
    let figures = row.split_once(word).unwrap().1;
    let mut parts = figures.split_whitespace();
    let figure: f64 = parts.next().unwrap().parse().unwrap();
    match parts.next() {
        Some("kohm") => 1000.0 * figure,
        _ => figure,
    }
}

#[test]
fn while_a_side_is_typed_the_panel_says_what_that_side_should_show() {
    let mut desk = opened();
    // Four of 6 W at 100 V: 10 000 / 24 = 417 ohm; the line whole is 333. Its cable is under 1 %.
    // At 80 columns it goes on in a second row.
    desk.resize(120, 40);
    let screen = desk.screen();
    assert!(
        screen.contains("from the rack to LS-3: 4 of 5, 24 W"),
        "{screen}"
    );
    desk.resize(80, 24);
    assert!((figure(&desk, "design") / 416.7 - 1.0).abs() < 0.01);
    desk.keys("418");
    let screen = desk.screen();
    assert!(screen.contains("* this side fits the drawing"), "{screen}");
    assert!((figure(&desk, "* typed") - 418.0).abs() < 0.5);
    // One of the four missing, 556 ohm, is a third more than its spread (some 4 %) explains.
    desk.keys("\x08\x08\x08").keys("556");
    let screen = desk.screen();
    assert!(screen.contains("* this side is not as drawn"), "{screen}");
    desk.keys("\x08\x08\x08").keys("418\n");
    // The far side is LS-3 alone: 10 000 / 6.
    let screen = desk.screen();
    assert!(screen.contains("from LS-3 on: 1 of 5, 6 W"), "{screen}");
    assert!((figure(&desk, "design") / 1666.7 - 1.0).abs() < 0.01);
    // The spread of one alone is greater than that of four, and it is said.
    assert!(screen.contains("+-"), "{screen}");
    desk.keys("open");
    let screen = desk.screen();
    assert!(screen.contains("* this side is not as drawn"), "{screen}");
}

#[test]
fn a_far_side_of_several_that_reads_open_is_likelier_misread_and_that_is_said() {
    let mut desk = opened();
    desk.keys("0\n");
    // LS-3 alone may be open by itself.
    desk.keys("open\n");
    assert!(!desk.message().contains("misread"), "{}", desk.message());
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("/ph-4\nw").keys("/ls-02\nb0\nopen");
    assert!(
        desk.screen().contains("* open: misread, or several"),
        "{}",
        desk.screen()
    );
    desk.keys("\n");
    let said = desk.message();
    assert!(said.contains("misread, or several faults"), "{said}");
}

/// Sides read in this sitting that count.
fn sides(desk: &Desk) -> Vec<String> {
    let log = desk.session.site().log();
    let entries = log.entries().iter().filter(|entry| log.counts(&entry.id));
    entries
        .filter_map(|entry| match &entry.what {
            Do::Read(read) => match read.cut.as_ref()? {
                Cut::Near(_) => Some(format!("near {}", read.text)),
                Cut::Far(_) => Some(format!("far {}", read.text)),
                Cut::Whole(_) => Some(format!("whole {}", read.text)),
            },
            _ => None,
        })
        .collect()
}

#[test]
fn a_wrong_far_side_is_corrected_like_any_other_reading() {
    let mut desk = opened();
    desk.keys("418\n0\n");
    assert_eq!(sides(&desk), ["near 418", "far 0"]);
    desk.keys("x");
    assert!(
        desk.screen().contains("H-1 from LS-3 on correction>"),
        "{}",
        desk.screen()
    );
    assert!(
        desk.message().starts_with("corrects H-1 from LS-3 on"),
        "{}",
        desk.message()
    );
    // To nothing and typed anew: the correction stands until Esc, however often Backspace comes.
    desk.keys("\x08\x08\x08\x08").keys("1650\n");
    assert_eq!(sides(&desk), ["near 418", "far 1650"]);
    assert_eq!(desk.session.site().log().entries().len(), 5);
    // The near one is another reading and stands.
    desk.keys("u");
    assert_eq!(sides(&desk), ["near 418", "far 0"]);
}

#[test]
fn a_side_that_was_left_or_taken_back_is_read_by_its_digits_as_long_as_the_line_is_open() {
    let mut desk = opened();
    desk.keys("\x1b").rest();
    let words = |desk: &Desk| {
        let screen = desk.screen();
        let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
        let words = panel.flat_map(|(_, row)| row.split_whitespace().map(str::to_owned));
        words.collect::<Vec<_>>().join(" ")
    };
    assert!(
        words(&desk).contains("type what the meter reads at the rack"),
        "{}",
        words(&desk)
    );
    desk.keys("418");
    assert!(
        desk.screen().contains("H-1 from the rack to LS-3 reading>"),
        "{}",
        desk.screen()
    );
    desk.keys("\n1670\nu").rest();
    assert_eq!(sides(&desk), ["near 418"]);
    desk.keys("1650\n");
    assert_eq!(sides(&desk), ["near 418", "far 1650"]);
    desk.rest();
    assert!(
        words(&desk).contains("both sides are read"),
        "{}",
        words(&desk)
    );
    // Once more it is read again, and what corrects instead is said.
    desk.keys("1");
    assert!(desk.message().contains("x corrects"), "{}", desk.message());
    desk.keys("\x1b");
    // Closed again, a digit is a reading at the place once more.
    desk.keys("b7");
    assert!(
        desk.screen().contains("at LS-3 reading>"),
        "{}",
        desk.screen()
    );
}

#[test]
fn a_side_of_a_line_that_was_not_read_whole_says_why_no_suspects_are_told_until_it_is() {
    let words = |desk: &Desk| {
        let screen = desk.screen();
        let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
        let words = panel.flat_map(|(_, row)| row.split_whitespace().map(str::to_owned));
        words.collect::<Vec<_>>().join(" ")
    };
    let why = "why, not told yet: sides are weighed with a reading of the line whole";
    let mut desk = Desk::at(hall());
    desk.keys("/h1\nw").press(linewright::session::Key::Home);
    for _ in 0..3 {
        desk.press(linewright::session::Key::Down);
    }
    desk.keys("b").rest();
    assert!(!words(&desk).contains("why, not told"), "{}", words(&desk));
    desk.keys("418\n\x1b").rest();
    assert_eq!(sides(&desk), ["near 418"]);
    assert!(words(&desk).contains(why), "{}", words(&desk));
    // Taken back there is no side to tell of; read whole there are suspects.
    desk.keys("u").rest();
    assert!(!words(&desk).contains("why, not told"), "{}", words(&desk));
    let mut desk = opened();
    desk.keys("418\n\x1b").rest();
    assert!(words(&desk).contains("likeliest first"), "{}", words(&desk));
    assert!(!words(&desk).contains("why, not told"), "{}", words(&desk));
}

#[test]
fn a_side_that_fits_nothing_is_named_with_its_odds_before_the_suspects() {
    let mut desk = opened();
    // Of four on the near side, 417 ohm as drawn, and the line whole reads as drawn: a digit is missing.
    desk.keys("41");
    let words = "near of LS-3 fits nothing";
    assert!(desk.screen().contains(words), "{}", desk.screen());
    desk.keys("\n").rest();
    assert!(desk.screen().contains(words), "{}", desk.screen());
    // Read again as it should be, the wrong one is struck or corrected; typed right from the start it stands.
    let mut desk = opened();
    desk.keys("418\n").rest();
    assert!(!desk.screen().contains("fits nothing"), "{}", desk.screen());
}

#[test]
fn a_side_that_fits_nothing_is_named_in_what_is_printed_of_a_flagged_line() {
    use linewright::analysis::Analyst;
    use linewright::report::{Assessment, text};
    let mut desk = Desk::at(hall());
    // One of five dead, and a near side that takes more than the whole line does.
    desk.keys("417\n/h1\n").rest();
    desk.keys("w").press(linewright::session::Key::Home);
    for _ in 0..3 {
        desk.press(linewright::session::Key::Down);
    }
    desk.keys("b41\n").rest();
    let site = desk.session.site();
    let analyst = Analyst::at_rest(site, None);
    let data = Assessment::of(site, &analyst, None);
    let row = data.lines.iter().find(|it| it.line == "H-1").unwrap();
    let near = row.slips.iter().find(|it| it.test == "near").unwrap();
    assert_eq!(near.at.as_deref(), Some("LS-3"));
    assert!(near.probability > 0.5, "{near:?}");
    let told = text(site, &analyst, &data);
    assert!(told.contains("    - near of LS-3 fits nothing, "), "{told}");
}
