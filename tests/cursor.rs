//! The cursor: a key that moves moves the cursor of the place it is pressed in and no other, find stays
//! in its place and leads back, the next line is always another one, and the page chosen stays.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/places.rs"]
mod places;

use desk::{Desk, DiskIs, demo, hall};
use linewright::session::{Event, Key, Mode, Place, Resume};
use linewright::site::Site;
use places::PLACES;

const MOVES: [Key; 12] = [
    Key::Down,
    Key::Up,
    Key::PageDown,
    Key::PageUp,
    Key::End,
    Key::Home,
    Key::Right,
    Key::Left,
    Key::Tab,
    Key::BackTab,
    Key::End,
    Key::Up,
];

/// All the cursors there are, each by name: the survey's, the place on the cable, the row of the rack
/// list, of the instruments, of the review, and the page of the panel.
fn cursors(desk: &Desk) -> Vec<(&'static str, String)> {
    let it = desk.session.resume();
    // The row itself: two rows of the review may be about one line.
    let own = desk.session.view().tree.into_iter();
    let row: Vec<String> = own
        .filter(|row| row.cursor)
        .map(|row| row.line.text())
        .collect();
    vec![
        ("survey", format!("{:?}", it.cursor)),
        ("cable", format!("{:?}", it.walking)),
        ("tick", format!("{:?}", it.ticking)),
        ("kit", format!("{:?}", it.kit)),
        ("review", format!("{:?} {}", it.reviewed, row.concat())),
        ("page", it.page.to_string()),
    ]
}

/// Which cursors a key may move in a place: its own, and the page of its panel.
fn may_move(place: Place, key: Key) -> &'static [&'static str] {
    let aside = matches!(key, Key::Left | Key::Right);
    if matches!(key, Key::Tab | Key::BackTab) {
        return &["page"];
    }
    match place {
        Place::Survey | Place::Building | Place::Amplifier => &["survey"],
        Place::Walk => &["cable"],
        // By line, and where one stands on the cable of that.
        Place::Drawing if aside => &["survey", "cable"],
        Place::Drawing => &["cable"],
        // The amplifier whose list it is is the survey's.
        Place::Rack if aside => &["survey", "tick"],
        Place::Rack => &["tick", "page"],
        Place::Review => &["review", "page"],
        Place::Kit => &["kit", "page"],
        Place::Help => &[],
    }
}

fn in_place(site: Site, keys: &str) -> Desk {
    let mut desk = Desk::at(site);
    desk.rest();
    desk.keys("/ch-2\n").keys(keys);
    desk
}

#[test]
fn in_every_place_a_movement_key_moves_that_places_cursor_and_no_other() {
    for (place, keys) in PLACES {
        let mut desk = in_place(demo(), keys);
        let mut moved = 0;
        for key in MOVES.iter().chain(&MOVES) {
            let (was, len) = (cursors(&desk), desk.log_len());
            desk.press(*key);
            let is = cursors(&desk);
            assert_eq!(desk.session.resume().place, place, "{place:?} {key:?}");
            let other = was.iter().zip(&is).filter(|(was, is)| was != is);
            for ((name, was), (_, is)) in other {
                // The row under the cursor is drawn anew where the survey's cursor moves.
                let drawn = *name == "review" && place != Place::Review;
                moved += 1;
                assert!(
                    drawn || may_move(place, *key).contains(name),
                    "{place:?} {key:?}: {name} {was} to {is}"
                );
            }
            assert_eq!(desk.log_len(), len, "{place:?} {key:?}");
            assert_eq!(desk.session.mode(), &Mode::Key, "{place:?} {key:?}");
        }
        assert!(moved > 6, "{place:?}: {moved}");
    }
}

#[test]
fn home_and_end_go_to_the_first_and_last_row_of_the_place_they_are_pressed_in() {
    for (place, keys) in PLACES {
        if matches!(place, Place::Building | Place::Amplifier) {
            continue;
        }
        let mut desk = in_place(demo(), keys);
        let own = |desk: &Desk| {
            let view = desk.session.view();
            let at = view.tree.iter().position(|row| row.cursor);
            let at = at.unwrap_or_else(|| panic!("{place:?}: no row has the cursor"));
            // Under the list of the review stands what its row is about.
            let rows = view.tree.iter().skip(at);
            let rows = rows.take_while(|row| !row.line.text().trim().is_empty());
            (at, at + rows.count())
        };
        desk.press(Key::End);
        let (at, rows) = own(&desk);
        assert_eq!(at + 1, rows, "{place:?} {}", desk.screen());
        desk.press(Key::Down);
        assert_eq!(own(&desk), (at, rows), "{place:?}: there is none behind it");
        desk.press(Key::Home);
        let (at, _) = own(&desk);
        // A title may stand above the first row.
        assert!(at <= 1, "{place:?} {}", desk.screen());
    }
}

#[test]
fn what_comes_in_moves_no_cursor_in_any_place() {
    for (place, keys) in PLACES {
        let mut desk = in_place(demo(), keys);
        desk.press(Key::Down).press(Key::Down);
        let was = cursors(&desk);
        desk.event(Event::Replaced(Box::new(desk.session.site().clone())));
        desk.rest();
        desk.resize(160, 48).resize(60, 20).resize(80, 24);
        desk.event(Event::Say("something was said".to_owned()));
        desk.keys("?").keys("\x1b");
        desk.keys("g").keys("\x1b");
        assert_eq!(cursors(&desk), was, "{place:?}");
    }
}

// ---- find ----

#[test]
fn find_stays_in_the_place_it_is_typed_in_and_esc_leads_back_to_where_it_began() {
    for (place, keys) in PLACES {
        let typed = if place == Place::Kit { "temp" } else { "th" };
        let back = "\x08".repeat(typed.len() + 1);
        for (ends, stays) in [("\x1b", true), (back.as_str(), true), ("\n", false)] {
            let mut desk = in_place(demo(), keys);
            desk.press(Key::Down);
            let was = cursors(&desk);
            desk.keys("/").keys(typed);
            assert_eq!(desk.session.resume().place, place, "{place:?}");
            assert_ne!(cursors(&desk), was, "{place:?}: something is found");
            desk.press(Key::Down).press(Key::Down).press(Key::Up);
            desk.keys(ends);
            assert_eq!(desk.session.resume().place, place, "{place:?} {ends:?}");
            assert_eq!(desk.session.mode(), &Mode::Key, "{place:?} {ends:?}");
            assert_eq!(cursors(&desk) == was, stays, "{place:?} {ends:?}");
        }
    }
}

#[test]
fn find_in_the_review_goes_along_its_rows_and_leaves_the_survey_where_it_stands() {
    let mut desk = in_place(demo(), "gv");
    let survey = desk.session.resume().cursor;
    let row = |desk: &Desk| {
        let screen = desk.screen();
        let own = screen.lines().find(|row| row.starts_with('>')).unwrap();
        own.split_whitespace().nth(1).unwrap().to_owned()
    };
    desk.keys("/ch-1");
    assert_eq!(row(&desk), "CH-1");
    assert!(desk.message().contains("with ch-1"), "{}", desk.message());
    desk.keys("\x1b/th-1");
    let whole = |desk: &Desk| {
        let screen = desk.screen();
        let own = screen.lines().find(|row| row.starts_with('>')).unwrap();
        own.to_owned()
    };
    // Down goes on to the next row about it: out, not back on, not listened to.
    let mut seen = Vec::new();
    for _ in 0..3 {
        assert_eq!(row(&desk), "TH-1");
        seen.push(whole(&desk));
        desk.press(Key::Down);
    }
    seen.dedup();
    assert_eq!(seen.len(), 3, "{seen:?}");
    desk.keys("\n");
    assert!(desk.screen().contains("review"), "{}", desk.screen());
    assert_eq!(desk.session.resume().cursor, survey);
    desk.keys("/nowhere");
    assert_eq!(desk.message(), "no row with nowhere: nothing has moved");
}

#[test]
fn esc_out_of_find_brings_back_the_filter_and_the_folded_branches_as_well() {
    let mut desk = Desk::at(demo());
    desk.keys("f");
    let (was, header) = (desk.session.resume(), desk.session.view().header.text());
    assert!(header.contains("wants a look"), "{header}");
    // CH-2 is in tolerance: the filter does not let it through.
    desk.keys("/ch-2");
    assert_eq!(desk.on(), "CH-2");
    desk.keys("\x1b");
    assert_eq!(desk.session.resume(), was);
    assert_eq!(desk.session.view().header.text(), header);
    let mut desk = Desk::at(hall());
    desk.keys("/b-1\n")
        .press(Key::Left)
        .press(Key::Left)
        .press(Key::Home);
    let was = desk.session.resume();
    assert!(!was.folded.is_empty());
    desk.keys("/b1").keys("\x1b");
    assert_eq!(desk.session.resume(), was);
}

#[test]
fn what_was_found_and_taken_is_one_step_of_the_way_back_however_it_was_typed() {
    let mut desk = Desk::at(demo());
    let from = desk.on();
    desk.keys("/p\x08th\x08\x08ch-1\n");
    assert_eq!(desk.on(), "CH-1");
    desk.keys("gg");
    assert_eq!(desk.on(), from);
    desk.keys("gg");
    assert_eq!(desk.message(), "no more places that way");
    desk.keys("gf");
    assert_eq!(desk.on(), "CH-1");
}

#[test]
fn find_on_a_walk_walks_the_line_that_is_found_and_esc_stands_at_the_same_loudspeaker() {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("/th-1\nw").press(Key::Home).press(Key::Down);
    let was = desk.session.resume();
    desk.keys("/ch-1");
    assert_eq!(desk.on(), "CH-1");
    assert!(desk.screen().contains("walk, as found"));
    desk.keys("\x1b");
    assert_eq!(desk.session.resume(), was);
    desk.keys("/ch-1\n");
    assert!(desk.message().contains("tone"), "{}", desk.message());
}

#[test]
fn what_is_not_found_leaves_everything_where_it_began_and_enter_acts_there() {
    for (place, keys) in PLACES {
        // A part of it is found on the way, the whole is not.
        for typed in ["ch-9", "ls-0zz", "first z", "tempz"] {
            let mut desk = in_place(demo(), keys);
            desk.press(Key::Down);
            let was = cursors(&desk);
            desk.keys("/").keys(typed);
            assert!(desk.message().contains("nothing has moved"), "{place:?}");
            assert_eq!(cursors(&desk), was, "{place:?} {typed}");
            desk.keys("\n");
            assert_eq!(cursors(&desk), was, "{place:?} {typed}");
        }
    }
}

#[test]
fn find_on_a_walk_goes_to_a_loudspeaker_of_its_line_and_on_the_rack_list_to_a_row_of_it() {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("/ph-5\nw/ls-02\n");
    assert_eq!(desk.on(), "PH-5");
    let walk_at = desk.session.resume().walking.unwrap();
    let plan = desk.session.site().plan();
    let line = &plan.lines[plan.line_labelled("PH-5").unwrap()];
    assert_eq!(line.nodes[line.node(&walk_at).unwrap()].label, "LS-02");
    let mut desk = in_place(demo(), "gr");
    desk.keys("/first\n");
    let row = desk.screen();
    let row = row
        .lines()
        .find(|row| row.starts_with('>'))
        .unwrap()
        .to_owned();
    assert!(row.contains("irst power"), "{row}");
}

// ---- the next line ----

/// Labels of the lines that the survey shows.
fn shown(desk: &mut Desk) -> Vec<String> {
    desk.resize(80, 100);
    let view = desk.session.view();
    desk.resize(80, 24);
    let plan = desk.session.site().plan();
    let labels: Vec<String> = plan.lines.iter().map(|line| line.label.clone()).collect();
    let rows = view.tree.iter().map(|row| row.line.text());
    rows.filter_map(|row| {
        let label = row.get(2..)?.split_whitespace().next()?.to_owned();
        labels.contains(&label).then_some(label)
    })
    .collect()
}

#[test]
fn next_unread_goes_on_from_an_unread_line_under_every_filter_and_in_every_order() {
    // TH-1 is repaired and wants to be read again: it is shown by the filter and is unread itself.
    for order in ["", "go", "gogo"] {
        for filter in ["", "f", "ff", "fff"] {
            let mut desk = Desk::at(demo());
            desk.keys(order).keys(filter);
            desk.keys("/th-1\njjoint remade\n");
            for _ in 0..5 {
                let was = desk.on();
                desk.keys("gn");
                assert_ne!(desk.on(), was, "{order:?} {filter:?}: {}", desk.message());
                let plan = desk.session.site().plan();
                let at = plan.line_labelled(&desk.on()).unwrap();
                assert!(!desk.session.analyst().line(at).is_read(), "{}", desk.on());
            }
        }
    }
}

#[test]
fn next_unread_says_so_where_no_other_is_left() {
    let mut desk = Desk::at(hall());
    for reading in ["336", "410", "561", "548", "275"] {
        desk.keys(reading).press(Key::Enter);
    }
    assert_eq!(desk.on(), "C-1");
    for keys in ["gn", "fgn"] {
        desk.keys(keys);
        assert_eq!(desk.on(), "C-1");
        assert_eq!(desk.message(), "no other line is unread", "{keys}");
    }
    desk.keys("498\n").keys("gn");
    assert_eq!(desk.message(), "every line is read");
}

#[test]
fn what_was_left_for_later_is_gone_to_before_one_stays_where_one_is() {
    let mut desk = Desk::at(hall());
    // All but the last are left for later; standing on the last the next is one of them.
    for _ in 0..5 {
        desk.keys("llocked\n");
    }
    assert_eq!(desk.on(), "C-1");
    desk.keys("gn");
    assert_eq!(desk.on(), "H-1");
}

#[test]
fn under_the_filter_of_what_wants_a_look_a_reading_as_left_hands_on_to_the_next_of_them() {
    let mut desk = Desk::at(demo());
    desk.keys("f");
    let all = shown(&mut desk);
    for (at, label) in all.iter().enumerate() {
        assert_eq!(desk.on(), *label);
        desk.keys("jmended\n").keys("1000\n");
        // A line that is back on is asked about once.
        if desk.typed().is_some() {
            desk.press(Key::Enter);
        }
        match all.get(at + 1) {
            Some(next) => assert_eq!(desk.on(), *next),
            None => assert!(
                desk.session.message().hint.starts_with("last of these"),
                "{:?}",
                desk.session.message()
            ),
        }
    }
    assert!(desk.session.view().header.text().contains("wants a look"));
}

#[test]
fn the_last_of_the_unread_ones_hands_on_to_all_lines_and_it_is_said() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.keys("f");
    if !desk.session.view().header.text().contains("unread only") {
        desk.keys("f");
    }
    let all = shown(&mut desk);
    assert!(!all.contains(&"H-1".to_owned()), "{all:?}");
    // H-1 becomes unread behind the filter's back.
    desk.keys("/h-1\njtap reset\n");
    desk.keys("f");
    while !desk.session.view().header.text().contains("unread only") {
        desk.keys("f");
    }
    let mut desk = Desk::at(hall());
    desk.keys("336\nf");
    while !desk.session.view().header.text().contains("unread only") {
        desk.keys("f");
    }
    let mut other = desk.session.site().clone();
    let entry = {
        let mut second = Desk::at(other.clone());
        second.keys("/h-1\njtap reset\n");
        second.sent.concat()
    };
    for entry in entry {
        other.apply(entry);
    }
    desk.event(Event::Replaced(Box::new(other)));
    for reading in ["410", "561", "548", "275", "498"] {
        desk.keys(reading).press(Key::Enter);
    }
    assert_eq!(desk.on(), "H-1");
    assert!(!desk.session.view().header.text().contains("unread only"));
    let hint = desk.session.message().hint;
    assert_eq!(hint, "all lines again; u takes it back");
}

// ---- the end of a walk ----

#[test]
fn at_the_last_loudspeaker_of_a_walk_it_is_said_where_the_cursor_goes() {
    for disk in [DiskIs::Fast, DiskIs::Slow] {
        let mut desk = Desk::at(hall());
        desk.keys("/h-2\nw").press(Key::Home).press(Key::Down);
        desk.press(Key::Down);
        desk.disk = disk;
        let node = |desk: &Desk| desk.session.resume().walking.unwrap().to_string();
        // LS-2 to LS-4: behind the last is LS-1, which nobody was at.
        desk.keys("  ");
        assert!(!desk.message().contains("back to"), "{}", desk.message());
        desk.keys(" ");
        assert!(node(&desk).ends_with("LS-1"), "{}", node(&desk));
        let said = desk.message().to_owned();
        assert!(
            said.ends_with("LS-4 heard; back to LS-1, unheard"),
            "{said}"
        );
        desk.keys(" ");
        assert!(node(&desk).ends_with("LS-2"), "{}", node(&desk));
        // Space passes on along what is heard; at the end it stays, and says that it does.
        desk.answer();
        desk.keys("  ").keys(" ");
        let said = desk.message();
        assert!(node(&desk).ends_with("LS-4"), "{}", node(&desk));
        assert!(said.ends_with("each has its answer"), "{said}");
    }
}

// ---- pages ----

#[test]
fn the_page_that_was_chosen_stays_while_moving_and_comes_back_where_there_are_more() {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("/th-1\n").rest();
    let mark = |desk: &Desk| {
        let screen = desk.screen();
        let row = screen.lines().nth(2).unwrap().to_owned();
        let mark = row.rsplit_once("Tab ").map_or("1/1", |(_, mark)| mark);
        let (page, of) = mark.trim().split_once('/').unwrap();
        (page.parse::<usize>().unwrap(), of.parse::<usize>().unwrap())
    };
    desk.keys("\t\t\t");
    assert_eq!(mark(&desk).0, 4);
    for key in [
        Key::Down,
        Key::Down,
        Key::Down,
        Key::Up,
        Key::PageDown,
        Key::Home,
        Key::End,
        Key::PageUp,
    ] {
        desk.press(key);
        let (page, of) = mark(&desk);
        assert_eq!(page, 4.min(of), "{key:?}: {page} of {of}");
    }
    desk.keys("/th-1\n");
    assert_eq!(mark(&desk).0, 4, "find moves as well");
    // Tab goes round from the page that is shown, not from one that is not there.
    desk.press(Key::Home);
    let (page, of) = mark(&desk);
    desk.press(Key::Tab);
    assert_eq!(mark(&desk).0, page % of + 1);
    desk.press(Key::BackTab);
    assert_eq!(mark(&desk).0, page);
}

#[test]
fn a_reading_is_looked_at_on_the_first_page_and_the_next_line_begins_on_its_own() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n\t\t");
    let page = desk.session.resume().page;
    assert!(page > 0);
    desk.keys("4");
    assert_eq!(desk.session.resume().page, 0);
    desk.keys("\x1b");
    assert_eq!(desk.session.resume().page, page, "dropped, it comes back");
    desk.keys("410\n");
    assert_eq!(desk.session.resume().page, 0);
    let kept = Resume::from_text(desk.remembered.as_ref().unwrap()).unwrap();
    assert_eq!(kept.page, 0);
}

#[test]
fn while_a_design_is_typed_the_key_that_the_mark_names_turns_its_pages_in_every_place() {
    for (keys, place) in [("e", "survey"), ("gde", "drawing"), ("gie", "instruments")] {
        let mut desk = in_place(demo(), keys);
        desk.resize(60, 20);
        let first = desk.screen();
        assert!(first.contains(place) && first.contains(" 1/"), "{first}");
        desk.press(Key::PageDown);
        assert!(desk.screen().contains(" 2/"), "{}", desk.screen());
        desk.press(Key::PageUp);
        assert_eq!(desk.screen(), first);
    }
}

#[test]
fn find_goes_to_the_label_that_begins_so_before_one_that_has_it_within() {
    // Every line of the zone Hall has an l, and stands before those whose label begins with it.
    let mut desk = Desk::at(hall());
    desk.keys("/l");
    assert!(
        format!("{:?}", desk.session.resume().cursor).contains("L-1"),
        "{}",
        desk.screen()
    );
    assert!(
        desk.message().contains("lines with l"),
        "{}",
        desk.message()
    );
}

#[test]
fn find_knows_amplifiers_and_outputs_in_every_place_that_has_them() {
    // A1 has two outputs; A2 one, which is its row.
    let cursor = |desk: &Desk| format!("{:?}", desk.session.resume().cursor);
    let mut desk = Desk::at(hall());
    let began = cursor(&desk);
    desk.keys("/a1");
    assert!(desk.screen().contains(">  A1"), "{}", desk.screen());
    assert!(
        desk.message().contains("3 found with a1"),
        "the amplifier and its two outputs: {}",
        desk.message()
    );
    desk.press(Key::Down).press(Key::Down);
    let second = cursor(&desk);
    assert!(second.contains("Output"), "{second}");
    desk.press(Key::Esc);
    assert_eq!(cursor(&desk), began, "Esc leads back");
    for typed in [
        "/A1 out 2\n",
        "/a1out2\n",
        "/a1 2\n",
        "gb/A1 out 2\n",
        "ga/a1 2\n",
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(typed);
        assert_eq!(cursor(&desk), second, "{typed}: {}", desk.screen());
    }
    let mut desk = Desk::at(hall());
    desk.keys("gr/a2\n");
    assert_eq!(desk.session.resume().place, Place::Rack);
    assert!(desk.screen().contains("A2"), "{}", desk.screen());
    desk.keys("gg");
    assert!(desk.on().starts_with("H-"), "{}", desk.on());
    // On a cable there is none: where it is found is said.
    let mut desk = Desk::at(hall());
    desk.keys("w/a2");
    assert!(desk.message().contains("g s, then /"), "{}", desk.message());
}

#[test]
fn an_amplifier_is_found_folded_away_and_zone_by_zone() {
    let mut desk = Desk::at(hall());
    let cursor = |desk: &Desk| format!("{:?}", desk.session.resume().cursor);
    // A1 folded away.
    desk.keys("/a1\n");
    desk.press(Key::Left).keys("/a1 out 2\n");
    assert!(cursor(&desk).contains("Output"), "{}", desk.screen());
    // Zone by zone racks have no row: the first line of the output.
    desk.keys("gs").keys("go").keys("/a2\n");
    assert_eq!(desk.on(), "C-1", "{}", desk.screen());
    desk.keys("/balc\n");
    assert_eq!(desk.on(), "B-1", "a zone by its lines");
}
