//! What is told and typed along the day: words that stand where they belong, keys that do what they do
//! everywhere, figures that are not told where nobody knows them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, demo, hall};
use linewright::session::Key;

fn last_row(desk: &Desk) -> String {
    desk.screen().lines().last().unwrap().trim_end().to_owned()
}

#[test]
fn a_question_mark_on_an_empty_prompt_asks_for_the_keys_and_behind_words_is_one_of_them() {
    let mut desk = Desk::begun();
    desk.keys("a?");
    assert!(
        desk.screen().contains("while words are typed"),
        "{}",
        desk.screen()
    );
    desk.keys("\x1b");
    assert_eq!(desk.typed().as_deref(), Some(""), "the prompt is as it was");
    desk.keys("A1?");
    assert_eq!(desk.typed().as_deref(), Some("A1?"));
    desk.press(Key::F1);
    assert!(
        desk.screen().contains("while words are typed"),
        "{}",
        desk.screen()
    );
}

#[test]
fn home_and_end_go_to_the_ends_of_a_prompt() {
    let mut desk = Desk::at(hall());
    desk.keys("ndamp");
    desk.press(Key::Home);
    desk.keys("very ");
    desk.press(Key::End);
    desk.keys(" wall");
    assert_eq!(desk.typed().as_deref(), Some("very damp wall"));
}

#[test]
fn on_a_new_site_the_welcome_speaks_of_building_it_and_the_first_has_none_above() {
    let mut desk = Desk::begun();
    assert!(
        desk.screen().contains("Nothing stands here yet: a adds"),
        "{}",
        desk.screen()
    );
    assert!(!desk.screen().contains("Type what the meter shows"));
    assert!(last_row(&desk).contains("a add"), "{}", last_row(&desk));
    desk.keys("a");
    assert!(
        desk.message().starts_with("the first:"),
        "{}",
        desk.message()
    );
    desk.keys("240w\n");
    // An amplifier without a line: nothing is read, and nothing is left to read.
    assert!(
        desk.screen().contains("240 W, no line on it yet"),
        "{}",
        desk.screen()
    );
    assert!(!desk.screen().contains("all read"));
    desk.keys("a\t");
    desk.keys("\x1b");
    desk.press(Key::Home);
    desk.keys("a");
    assert!(
        desk.message().contains("differs from the one above"),
        "{}",
        desk.message()
    );
}

#[test]
fn yet_another_says_that_its_run_is_not_known() {
    let mut desk = Desk::begun();
    desk.keys("a240w\naR-01 Reading room\n");
    desk.keys("a6w 12m\n");
    assert!(
        !desk.message().contains("run not known"),
        "{}",
        desk.message()
    );
    desk.keys("y");
    // The first run is the way to the rack: none between loudspeakers stands yet that it could be like.
    assert!(
        desk.message()
            .ends_with("LS-2 on R-01, run not known: e says it"),
        "{}",
        desk.message()
    );
}

#[test]
fn what_was_told_of_one_place_does_not_stand_in_another_and_what_was_done_does() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    assert!(desk.message().contains("a tick records who and when"));
    desk.keys("\x1b");
    assert_eq!(desk.message(), "");
    desk.keys("336\n");
    let done = desk.message().to_owned();
    assert!(done.starts_with("recorded"), "{done}");
    desk.keys("gb");
    assert_eq!(desk.message(), done, "u takes it back from here as well");
}

#[test]
fn on_the_first_row_of_the_review_the_footer_says_that_enter_signs() {
    let mut desk = Desk::at(hall());
    desk.keys("gv");
    assert!(
        last_row(&desk).contains("Enter go there"),
        "{}",
        last_row(&desk)
    );
    desk.press(Key::Home);
    assert!(
        last_row(&desk).contains("Enter sign"),
        "{}",
        last_row(&desk)
    );
    assert!(!last_row(&desk).contains("go there"));
}

#[test]
fn a_line_that_stands_opened_is_told_so_in_its_rows_of_the_review() {
    let mut desk = Desk::at(hall());
    desk.keys("205\n/h1\nw");
    desk.press(Key::Down);
    desk.keys("b600\nopen\n\x1b").keys("gv");
    let screen = desk.screen();
    let rows: Vec<&str> = screen.lines().filter(|row| row.contains(" H-1 ")).collect();
    assert!(
        rows.iter().any(|row| row.trim_end().ends_with("OPEN")),
        "{screen}"
    );
    assert!(
        screen.lines().next().unwrap().contains("in the way"),
        "{screen}"
    );
}

#[test]
fn a_line_that_reads_short_has_no_watts_and_did_not_grow_by_any() {
    let mut desk = Desk::at(demo());
    // PH-4 reads 0.6 ohm: 16,667 W at 100 V, which nobody will ever put there.
    desk.keys("/ph4\n");
    assert!(!desk.screen().contains("16667"), "{}", desk.screen());
    desk.keys("ga");
    let screen = desk.screen();
    assert!(
        !screen.contains("16657") && !screen.contains("16667"),
        "{screen}"
    );
    assert!(screen.contains("PH-4 reads short, its load"), "{screen}");
    desk.resize(160, 48);
    assert!(!desk.screen().contains("16667"), "{}", desk.screen());
}

#[test]
fn when_the_whole_site_explains_a_line_the_next_test_is_the_one_that_clears_that() {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("/fh1\n").rest();
    let panel: Vec<String> = desk.session.view().panel[0]
        .iter()
        .map(|row| row.text())
        .collect();
    let panel = panel.join(" ");
    let panel = panel.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        panel.contains("of the whole site 99 % labels of FH-1 and FH-3 swapped"),
        "{panel}"
    );
    assert!(
        panel.contains(
            "next put the tone on FH-1, listen at FH-3; its own suspects only if that is cleared"
        ),
        "{panel}"
    );
    // A line that no mistake of the site explains keeps its own: TH-1 is broken before LS-08.
    desk.keys("/th1\n").rest();
    let screen = desk.screen();
    assert!(screen.contains("why, likeliest first"), "{screen}");
    assert!(screen.contains("next  listen at LS-08"), "{screen}");
    assert!(!screen.contains("cleared"), "{screen}");
}

#[test]
fn the_go_list_stands_whole_on_the_smallest_screen() {
    for (size, columns) in [((80, 24), 1), ((60, 20), 2)] {
        let mut desk = Desk::at(hall());
        desk.resize(size.0, size.1).keys("g");
        let screen = desk.screen();
        for word in [
            "next unread",
            "instruments",
            "save elsewhere",
            "take over",
            "k keys",
        ] {
            assert!(screen.contains(word), "{word}, {columns} columns: {screen}");
        }
        let panel = desk.session.view().panel.concat();
        assert!(
            panel.iter().all(|row| !row.text().contains('~')),
            "{screen}"
        );
    }
}

#[test]
fn of_a_line_that_the_whole_site_names_too_the_panel_says_which_is_acted_on_first_by_the_odds() {
    // H-1 should read 333 ohm, H-2 417. The further both read what the other should the likelier two
    // swapped labels, or one loudspeaker on the other's line, are beside faults of H-1 by itself.
    for (read, words) in [
        ("380", "; what the whole site shows only after that"),
        ("395", "; together likelier is what the whole site shows"),
        ("410", "; its own suspects only if that is cleared"),
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(&format!("/h1\n{read}\n/h2\n333\n/h1\n")).rest();
        let hints = desk.session.analyst().site_hints().iter();
        let h1 = linewright::site::LineId::from("H-1");
        let odds = hints.filter(|it| it.lines.contains(&h1));
        let odds: Vec<f64> = odds.map(|it| it.probability.get()).collect();
        let (sum, most) = (
            odds.iter().sum::<f64>(),
            odds.iter().copied().fold(0.0, f64::max),
        );
        let wanted = match (sum > 0.5, most > 0.5) {
            (_, true) => "410",
            (true, false) => "395",
            (false, false) => "380",
        };
        assert_eq!(read, wanted, "{odds:?}");
        let view = desk.session.view();
        let rows = view.panel.iter().flatten().map(|row| row.text());
        let panel = rows.collect::<Vec<_>>().join(" ");
        let panel = panel.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(panel.contains(words), "{read} {odds:?}: {panel}");
    }
}
