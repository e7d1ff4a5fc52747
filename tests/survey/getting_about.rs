//! Find, the go-list, filters, branches, pages of the panel.

use crate::desk::{Desk, demo, hall};
use linewright::session::{Key, Mode, RowId};
#[test]
fn a_line_is_found_by_part_of_its_label_and_esc_leads_back() {
    let mut desk = Desk::at(demo());
    desk.keys("/gp");
    assert_eq!(desk.on(), "GP-1");
    assert!(desk.message().starts_with("3 lines"), "{}", desk.message());
    desk.press(Key::Down);
    assert_eq!(desk.on(), "GP-2");
    desk.press(Key::Down).press(Key::Down);
    assert_eq!(desk.on(), "GP-1", "round the end");
    desk.press(Key::Esc);
    assert_eq!(desk.on(), "CF-3", "Esc leads back to where it began");
    desk.keys("/OH2\n");
    assert_eq!((desk.on().as_str(), desk.typed()), ("OH-2", None));
    desk.keys("/nowhere");
    assert!(
        desk.message().contains("no line or amplifier with nowhere"),
        "{}",
        desk.message()
    );
    desk.press(Key::Esc);
    assert_eq!(desk.on(), "OH-2");
}

#[test]
fn what_is_looked_for_is_never_taken_for_a_reading() {
    let mut desk = Desk::at(hall());
    desk.keys("/2\n");
    assert_eq!(desk.on(), "H-2");
    assert!(desk.sent.is_empty());
}

#[test]
fn the_go_list_leads_to_the_next_unread_line_the_site_and_back() {
    let mut desk = Desk::at(demo());
    desk.press(Key::Home).press(Key::Down);
    let from = desk.session.cursor().clone();
    desk.keys("gn");
    assert_eq!(desk.on(), "CF-3");
    desk.keys("gg");
    assert_eq!(desk.session.cursor(), &from);
    desk.keys("gf");
    assert_eq!(desk.on(), "CF-3");
    desk.keys("gs");
    assert_eq!(desk.session.cursor(), &RowId::Site);
    desk.keys("gz");
    assert_eq!(desk.session.mode(), &Mode::Key);
    assert!(
        desk.message().contains("z does nothing here"),
        "{}",
        desk.message()
    );
}

#[test]
fn f_shows_only_what_wants_a_look_then_what_is_unread_then_off_then_all() {
    let mut desk = Desk::at(demo());
    let lines = |desk: &mut Desk| {
        desk.press(Key::Home);
        let mut out: Vec<String> = Vec::new();
        for _ in 0..80 {
            desk.press(Key::Down);
            let on = desk.on();
            if !on.is_empty() && !out.contains(&on) {
                out.push(on);
            }
        }
        out
    };
    desk.press(Key::Home);
    desk.keys("f");
    assert_eq!(desk.on(), "PH-4", "on to the first that wants a look");
    // Short, open, then by how far they are out: 887, 85, 75, 69, 42.3, 42.1 and 22 %.
    let look = [
        "PH-4", "OH-2", "PH-5", "CH-1", "CF-1", "FH-3", "FH-1", "TH-1", "LH-1",
    ];
    assert_eq!(lines(&mut desk), look);
    // The demo: 42 lines, 24 read, 6 OFF.
    desk.keys("f");
    assert_eq!(lines(&mut desk).len(), 18);
    desk.keys("f");
    assert_eq!(lines(&mut desk).len(), 6);
    desk.keys("f");
    assert_eq!(lines(&mut desk).len(), 42);
    desk.keys("f\x1b");
    assert_eq!(desk.message(), "all lines again");
}

#[test]
fn a_filter_stands_as_it_was_asked_for_while_lines_are_read() {
    let mut desk = Desk::at(hall());
    desk.keys("336\nff");
    // One line reads in tolerance: nothing wants a look, so the filter is the unread one, then none.
    desk.keys("f");
    let before = desk
        .screen()
        .lines()
        .filter(|row| row.contains("unread"))
        .count();
    assert!(before >= 5, "{}", desk.screen());
    desk.keys("410\n");
    assert!(desk.screen().contains("H-2"), "{}", desk.screen());
    assert!(!desk.screen().contains(" H-1 "), "{}", desk.screen());
    assert_eq!(desk.on(), "L-1");
    desk.keys("/h1\n");
    assert_eq!(
        desk.on(),
        "H-1",
        "whoever looks for a line by name finds it"
    );
}

#[test]
fn a_branch_folds_and_names_what_is_out_inside() {
    let mut desk = Desk::at(demo());
    desk.press(Key::Home).press(Key::Down);
    assert_eq!(desk.session.cursor(), &RowId::Amplifier("A1".into()));
    desk.press(Key::Left);
    let screen = desk.screen();
    assert!(!screen.contains("PH-1"), "{screen}");
    assert!(
        screen.contains("look PH-4") && screen.contains("..."),
        "{screen}"
    );
    desk.press(Key::Right);
    assert!(desk.screen().contains("PH-1"));
    desk.press(Key::Enter).press(Key::Enter);
    assert!(desk.screen().contains("PH-1"), "Enter folds and opens");
    // Left on a line goes to the row it hangs on; a find opens what is folded.
    desk.keys("/ph1\n").press(Key::Left).press(Key::Left);
    assert_eq!(desk.on(), "");
    desk.keys("/ph1\n");
    assert_eq!(desk.on(), "PH-1");
    assert!(desk.screen().contains("PH-1"));
}

#[test]
fn enter_goes_to_the_next_unread_line_inside_a_folded_branch_and_opens_it() {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n").press(Key::Left).press(Key::Left);
    desk.keys("/l2\n548\n");
    assert_eq!(desk.on(), "B-1");
    assert!(desk.screen().contains(">. B-1"), "{}", desk.screen());
}

#[test]
fn tab_goes_through_the_pages_of_the_panel_and_round() {
    let mut desk = Desk::at(demo());
    desk.keys("/ch1\n");
    let first = desk.screen();
    assert!(first.contains("Tab 1/"), "{first}");
    let pages: usize = first.split("Tab 1/").nth(1).unwrap()[..1].parse().unwrap();
    let mut seen = vec![first.clone()];
    for page in 2..=pages {
        desk.press(Key::Tab);
        let screen = desk.screen();
        assert!(screen.contains(&format!("Tab {page}/{pages}")), "{screen}");
        assert!(!seen.contains(&screen));
        seen.push(screen);
    }
    desk.press(Key::Tab);
    assert_eq!(desk.screen(), first);
    desk.press(Key::BackTab);
    assert_eq!(&desk.screen(), seen.last().unwrap());
}
