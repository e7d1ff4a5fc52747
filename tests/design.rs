//! A building typed in, told at the keyboard: from nothing to the first reading, changed, checked as
//! it grows, taken back act by act.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, DiskIs, demo, hall, json_of};
use linewright::session::{Event, Key};
use linewright::site::{Design, Do, NodeIs, NodePlan, Ref, Site};
use linewright::storage::format1;
use screen::panel;

fn line<'a>(desk: &'a Desk, label: &str) -> &'a linewright::site::LinePlan {
    let plan = desk.session.site().plan();
    &plan.lines[plan
        .line_labelled(label)
        .unwrap_or_else(|| panic!("no line {label}"))]
}

/// Nodes as `label tap run from`, in cable order.
fn nodes(desk: &Desk, label: &str) -> Vec<String> {
    let line = line(desk, label);
    let words = |node: &NodePlan| {
        let tap = node
            .tap()
            .map_or(String::new(), |tap| format!(" {}W", tap.get()));
        let run = node
            .run
            .map_or(" ?".to_owned(), |run| format!(" {}m", run.get()));
        let from = node.from.map_or("rack", |at| line.nodes[at].label.as_str());
        format!("{}{tap}{run} {from}", node.label)
    };
    line.nodes.iter().map(words).collect()
}

#[test]
fn an_old_building_is_typed_in_from_nothing_to_its_first_reading() {
    let mut desk = Desk::begun();
    let message = desk.message();
    assert!(message.contains("a adds an amplifier"), "{message}");
    // The amplifier with its outputs; the cursor goes to it.
    desk.keys("aA1 2x240w 100v\n");
    assert!(
        desk.message()
            .starts_with("recorded 14:07  added: amplifier A1"),
        "{}",
        desk.message()
    );
    let plan = desk.session.site().plan();
    let outputs: Vec<String> = plan
        .outputs
        .iter()
        .map(|it| {
            format!(
                "{} {} {:?}",
                it.amplifier,
                it.label,
                it.rated.map(|it| it.get())
            )
        })
        .collect();
    assert_eq!(outputs, ["A1 1 Some(240.0)", "A1 2 Some(240.0)"]);
    // A line on its first output, with its zone; then loudspeaker after loudspeaker.
    desk.keys("aR-01 Reading room\n");
    assert_eq!(desk.on(), "R-01");
    desk.keys("a6w 38m s:3/6/12 t:bowl\n")
        .keys("a9m\n")
        .keys("yyy");
    assert_eq!(
        nodes(&desk, "R-01"),
        [
            "LS-1 6W 38m rack",
            "LS-2 6W 9m LS-1",
            "LS-3 6W 9m LS-2",
            "LS-4 6W 9m LS-3",
            "LS-5 6W 9m LS-4"
        ]
    );
    // Five of 6 W at 100 V: 333 ohm, less a little for the cable.
    let expected = desk
        .session
        .analyst()
        .line(0)
        .design
        .expected
        .unwrap()
        .get();
    assert!((expected - 333.3).abs() < 3.0, "{expected}");
    assert_eq!(desk.on(), "R-01");
    desk.keys("336\n");
    assert_eq!(desk.readings(), ["R-01 336"]);
    assert!(desk.message().contains("in tol"), "{}", desk.message());
    // The file that would be written is sound and reads back to the same building.
    let bytes = format1::write(desk.session.site()).unwrap();
    let again = format1::read("typed.ron", &bytes).unwrap().site;
    assert_eq!(json_of(&again), desk.json());
}

#[test]
fn a_line_is_copied_with_its_loudspeakers_and_yet_another_takes_one_key() {
    let mut desk = Desk::at(hall());
    // The first of all is asked about once.
    desk.keys("/h1\n").keys("yy");
    assert_eq!(desk.on(), "H-3", "the next label that is free");
    assert!(
        desk.message().contains("added: line H-3 with 5 places"),
        "{}",
        desk.message()
    );
    assert_eq!(nodes(&desk, "H-3"), nodes(&desk, "H-1"));
    assert_eq!(line(&desk, "H-3").zone_label, "Hall");
    desk.keys("y");
    assert_eq!(desk.on(), "H-4");
    // Typed: another label, another output, like H-2.
    desk.keys("a");
    desk.press(Key::Up);
    assert!(desk.screen().contains("add line>"), "{}", desk.screen());
    desk.keys("B-2 Balcony l:H-2 o:A1/2\n");
    assert_eq!(nodes(&desk, "B-2"), nodes(&desk, "H-2"));
    let plan = desk.session.site().plan();
    assert_eq!(plan.outputs[line(&desk, "B-2").output].label, "2");
}

#[test]
fn a_loudspeaker_is_put_into_a_run_and_one_that_is_not_found_is_taken_out_of_it() {
    let mut desk = Desk::at(hall());
    desk.keys("/h2\n").keys("gd");
    assert!(
        desk.screen().contains("Old seed hall   drawing"),
        "{}",
        desk.screen()
    );
    assert_eq!(
        nodes(&desk, "H-2"),
        [
            "LS-1 6W 24m rack",
            "LS-2 6W 8m LS-1",
            "LS-3 6W 8m LS-2",
            "LS-4 6W 8m LS-3"
        ]
    );
    desk.keys("aLS-9 3m b:LS-3\n");
    assert_eq!(
        nodes(&desk, "H-2"),
        [
            "LS-1 6W 24m rack",
            "LS-2 6W 8m LS-1",
            "LS-9 6W 3m LS-2",
            "LS-3 6W 5m LS-9",
            "LS-4 6W 8m LS-3"
        ]
    );
    assert!(desk.screen().contains("H-2 LS-9>"), "{}", desk.screen());
    // Halfway between the two, as the data model has it.
    let of = Ref::Node("H-2/LS-9".into());
    let order = desk.session.site().elements().settled(&of).unwrap().order();
    assert_eq!(order, 2.5);
    desk.press(Key::Delete);
    desk.keys("not above the ceiling");
    assert!(
        desk.screen().contains("LS-3 then from LS-2, 8 m"),
        "{}",
        desk.screen()
    );
    desk.keys("\n");
    assert_eq!(
        nodes(&desk, "H-2"),
        [
            "LS-1 6W 24m rack",
            "LS-2 6W 8m LS-1",
            "LS-3 6W 8m LS-2",
            "LS-4 6W 8m LS-3"
        ]
    );
    let Some(Design::Retired(retired)) = desk.session.site().elements().settled(&of) else {
        panic!("retired");
    };
    assert_eq!(retired.why, "not above the ceiling");
    // A run is not cut into more than there is.
    desk.keys("a20m b:LS-3\n");
    assert!(
        desk.message().contains("how far along"),
        "{}",
        desk.message()
    );
    assert_eq!(
        desk.typed().as_deref(),
        Some("20m b:LS-3"),
        "it stays in the entry"
    );
}

#[test]
fn a_loudspeaker_that_goes_past_what_it_fed_lets_that_close_up_behind_it() {
    let mut desk = Desk::at(hall());
    desk.keys("/h2\n").keys("gd");
    desk.press(Key::Up).press(Key::Up).keys("e");
    let text = desk.typed().unwrap();
    assert!(text.starts_with("LS-2 6w 8m"), "{text}");
    desk.press(Key::Clear)
        .keys("LS-2 6w 4m 1.5mm2 f:LS-4 t:ceiling s:3/6/12\n");
    assert_eq!(
        nodes(&desk, "H-2"),
        [
            "LS-1 6W 24m rack",
            "LS-3 6W 16m LS-1",
            "LS-4 6W 8m LS-3",
            "LS-2 6W 4m LS-4"
        ]
    );
    let message = desk.message();
    assert!(message.contains("; LS-3 closes up behind it"), "{message}");
    desk.keys("u");
    assert_eq!(
        nodes(&desk, "H-2")[1..3],
        ["LS-2 6W 8m LS-1", "LS-3 6W 8m LS-2"]
    );
}

#[test]
fn an_item_is_changed_in_the_line_that_describes_it() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("gd").press(Key::Home);
    desk.press(Key::Down).keys("e");
    let text = desk.typed().unwrap();
    assert_eq!(text, "LS-1 6w 20m 1.5mm2 f:rack t:ceiling s:3/6/12 ");
    // Enter on what was not changed changes nothing.
    let before = desk.log_len();
    desk.keys("\n");
    assert_eq!(desk.log_len(), before);
    desk.keys("e");
    for _ in 0..text.len() {
        desk.keys("\x08");
    }
    desk.keys("LS-01 12w 21m 2.5mm2 t:bowl s:3/6/12");
    let screen = desk.screen();
    assert!(
        screen.contains("was          6 W") || screen.contains("was"),
        "{screen}"
    );
    desk.keys("\n");
    let node = &line(&desk, "H-1").nodes[0];
    assert_eq!(
        (node.label.as_str(), node.cable.as_str()),
        ("LS-01", "2.5 mm2")
    );
    assert_eq!(node.id.as_str(), "H-1/LS-1", "the id stays");
    let NodeIs::Loudspeaker { tap, of, .. } = &node.is else {
        panic!()
    };
    assert_eq!((tap.get(), of.as_str()), (12.0, "bowl"));
    // A second tap is refused with the reason, and stays to be mended.
    desk.keys("e \x08").keys(" 7w\n");
    assert!(
        desk.message()
            .contains("7w is said twice: 12w stands before it"),
        "{}",
        desk.message()
    );
    desk.keys("\x1b");
    desk.keys("aLS-9 7w\n");
    assert!(
        desk.message().contains("7 W is none of its taps: "),
        "{}",
        desk.message()
    );
    assert_eq!(desk.typed().as_deref(), Some("LS-9 7w"));
}

#[test]
fn a_line_moves_to_another_output_and_to_another_place_in_its_list() {
    let mut desk = Desk::at(hall());
    let order = |desk: &Desk| -> Vec<String> {
        let lines = desk.session.site().plan().lines.iter();
        lines.map(|line| line.label.clone()).collect()
    };
    desk.keys("/l2\n").keys("e");
    assert_eq!(desk.typed().as_deref(), Some("L-2 Lobby o:A1/1 n:4 "));
    for _ in 0.."1 n:4 ".len() {
        desk.keys("\x08");
    }
    desk.keys("2\n");
    assert_eq!(order(&desk), ["H-1", "H-2", "L-1", "B-1", "L-2", "C-1"]);
    assert_eq!(desk.on(), "L-2");
    desk.keys("e\x08\x08").keys("1\n");
    assert_eq!(order(&desk), ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"]);
    desk.keys("uu");
    assert_eq!(order(&desk), ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"]);
    assert_eq!(desk.json(), Desk::at(hall()).json());
}

#[test]
fn what_is_said_a_second_time_is_refused_as_that_and_not_as_something_foreign() {
    let mut desk = Desk::at(hall());
    desk.keys("/l2\neo:A1/2\n");
    assert_eq!(
        desk.message(),
        "o:A1/2 is said twice: o:A1/1 stands before it"
    );
    // Of a loudspeaker a figure and a yes, too; what it has not at all is still foreign.
    for (keys, told) in [
        ("LS-9 6w 12w", "12w is said twice: 6w stands before it"),
        ("LS-9 6w 8m 9m", "9m is said twice: 8m stands before it"),
        (
            "LS-9 6w block block",
            "block is said twice: block stands before it",
        ),
        ("LS-9 6w 240v", "240v does not belong to loudspeaker"),
    ] {
        let mut desk = Desk::at(hall());
        desk.keys("/h1\ngda").keys(&format!("{keys}\n"));
        assert!(
            desk.message().starts_with(told),
            "{keys}: {}",
            desk.message()
        );
    }
}

#[test]
fn what_is_unsound_is_refused_with_the_reason_and_stays_in_the_entry() {
    let mut desk = Desk::at(hall());
    let before = desk.json();
    for (keys, reason) in [
        // A ring: LS-1 fed by LS-3, which it feeds.
        ("/h1\ngd", ""),
        ("aLS-2\n", "is used twice"),
        ("\x1baLS-9 1.7mm2\n", "standard size"),
        ("\x1baLS-9 f:LS-77\n", "LS-77 is not there"),
        ("\x1baLS-9 240v\n", "240v does not belong"),
        ("\x1baLS-9 c:bell\n", "bell is not there"),
        ("\x1baLS-9 0w\n", "tap is 0"),
    ] {
        desk.keys(keys);
        assert!(
            desk.message().contains(reason),
            "{keys:?}: {}",
            desk.message()
        );
        if !reason.is_empty() {
            assert!(
                desk.typed().is_some_and(|text| text.starts_with("LS-")),
                "{keys:?}"
            );
        }
    }
    desk.keys("\x1b");
    desk.press(Key::Home).press(Key::Down);
    desk.keys("e").keys(" f:LS-3\n");
    assert!(
        desk.message().contains("f:LS-3") || desk.message().contains("ring"),
        "{}",
        desk.message()
    );
    desk.keys("\x1be");
    let text = desk.typed().unwrap();
    for _ in 0..text.len() {
        desk.keys("\x08");
    }
    // Fed by itself: nothing closes up.
    desk.keys("LS-1 6w 20m f:LS-1 t:ceiling s:3/6/12\n");
    assert!(desk.message().contains("in a ring"), "{}", desk.message());
    assert_eq!(
        desk.typed().as_deref(),
        Some("LS-1 6w 20m f:LS-1 t:ceiling s:3/6/12")
    );
    assert!(desk.sent.is_empty());
    assert_eq!(desk.json(), before);
}

#[test]
fn a_pasted_row_is_seen_in_the_entry_before_it_counts_and_is_one_undo() {
    let mut desk = Desk::at(hall());
    let before = desk.json();
    desk.keys("/c1\n").keys("a");
    desk.event(Event::Paste(
        "LS-3\t10\t12\t2.5 mm2\thorn\r\nLS-4\t5\t8".into(),
    ));
    assert_eq!(
        desk.typed().as_deref(),
        Some("LS-3 10w 12m 2.5mm2 t:horn; LS-4 5w 8m")
    );
    assert!(desk.sent.is_empty(), "a paste is data");
    assert!(desk.screen().contains("LS-4"), "{}", desk.screen());
    desk.keys("\n");
    assert_eq!(
        nodes(&desk, "C-1")[2..],
        ["LS-3 10W 12m LS-2", "LS-4 5W 8m LS-3"]
    );
    assert!(
        desk.message()
            .contains("added: 2 loudspeakers, the last LS-4 on C-1"),
        "{}",
        desk.message()
    );
    desk.keys("u");
    assert_eq!(desk.json(), before);
    desk.keys("r");
    assert_eq!(nodes(&desk, "C-1").len(), 4);
}

/// Keys that change something, from the survey of the small hall.
const ACTS: [&str; 12] = [
    "gsaA9 2x60w\n",
    "/c1\na",
    "/h1\nyy",
    "/h1\na9m\n",
    "/h1\na3w 4m b:LS-3 t:new\n",
    "/h1\ne ins\n",
    "/h1\ngdaJ-1 5m\n",
    "/h1\ngdD",
    "/h1\nD",
    "/h1\nhdown\n",
    "/h1\nh\n",
    "/c1\na 5w 9m; 10w; 5w\n",
];

fn act(desk: &mut Desk, keys: &str) {
    for key in keys.chars() {
        match key {
            'D' => {
                desk.press(Key::Delete);
                desk.keys("nobody knows\n");
            }
            key => {
                desk.keys(&key.to_string());
            }
        }
    }
}

#[test]
fn each_act_is_taken_back_by_one_key_to_the_same_bytes_and_done_again_by_one() {
    for keys in ACTS {
        let mut desk = Desk::at(hall());
        let before = desk.json();
        act(&mut desk, keys);
        let acts = desk.sent.len();
        if keys.ends_with('a') {
            desk.keys("\x1b");
            assert_eq!(acts, 0, "{keys:?}");
            continue;
        }
        assert_eq!(acts, 1, "{keys:?}: {} {:?}", desk.message(), desk.typed());
        let after = desk.json();
        let log = desk.log_len();
        assert_ne!(after, before, "{keys:?}");
        desk.keys("u");
        assert_eq!(
            desk.json(),
            before,
            "{keys:?} taken back: {}",
            desk.message()
        );
        assert!(desk.log_len() > log, "the log only grows");
        desk.keys("r");
        assert_eq!(
            desk.json(),
            after,
            "{keys:?} done again: {}",
            desk.message()
        );
        desk.keys("u");
        assert_eq!(desk.json(), before, "{keys:?} taken back again");
        // What was written can be read, and the whole log gives the same building.
        let bytes = format1::write(desk.session.site()).unwrap();
        assert_eq!(json_of(&format1::read("x", &bytes).unwrap().site), before);
    }
}

#[test]
fn edits_carry_what_was_and_what_is_and_one_act_is_marked_as_one() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\na3w 4m b:LS-3 t:new\n");
    let sent = &desk.sent[0];
    let acts: Vec<_> = sent.iter().map(|entry| entry.act.clone()).collect();
    assert_eq!(
        acts,
        vec![Some(sent[0].id.0.clone()); 3],
        "type, loudspeaker, the next re-hung"
    );
    for entry in sent {
        let Do::Edit(edit) = &entry.what else {
            panic!()
        };
        let is_new = edit.of != Ref::Node("H-1/LS-3".into());
        assert_eq!(edit.was.is_empty(), is_new, "{:?}", edit.of);
    }
    desk.keys("u");
    for entry in &desk.sent[1] {
        let Do::Edit(edit) = &entry.what else {
            panic!()
        };
        assert!(edit.undoes.is_some());
    }
}

#[test]
fn the_design_is_checked_as_it_grows_where_the_mistake_is() {
    let mut desk = Desk::begun();
    desk.keys("aA1 60w\n")
        .keys("aH-1 Hall\n")
        .keys("a40w 300m 1mm2 t:horn s:20/40\n");
    desk.resize(160, 48);
    desk.keys("y");
    let screen = panel(&desk);
    assert!(
        screen.contains("run not known: LS-2"),
        "the way on is its own: {screen}"
    );
    desk.keys("a200m\n").keys("yyy");
    let screen = panel(&desk);
    assert!(screen.contains("far end too quiet"), "{screen}");
    assert!(screen.contains("mm2 throughout would do"), "{screen}");
    assert!(screen.contains("planned A1 "), "{screen}");
    assert!(
        screen.contains("of 60 W, 20.0 % to keep free needs"),
        "{screen}"
    );
}

#[test]
fn a_ring_that_came_with_the_file_is_told_on_its_line() {
    let site = hall();
    let mut elements = site.elements().clone();
    let of = Ref::Node("H-2/LS-1".into());
    let was = elements.standing(&of).to_vec();
    let Design::Loudspeaker(mut design) = was[0].1.clone() else {
        panic!()
    };
    design.from = "H-2/LS-3".into();
    elements.replace(&of, &was, "x".into(), Design::Loudspeaker(design));
    let mut desk = Desk::at(Site::new(site.id().clone(), elements, site.log().clone()));
    desk.keys("/h2\n").keys("gd");
    let words = panel(&desk);
    assert!(
        words.contains("no way from the rack reaches LS-1, LS-2, LS-3, LS-4: a ring"),
        "{words}"
    );
    assert!(words.contains("no loudspeaker yet"), "{words}");
}

#[test]
fn the_drawing_of_the_whole_site_is_checked_before_anybody_travels() {
    let mut desk = Desk::at(hall());
    desk.keys("gs");
    assert!(!panel(&desk).contains("the drawing, checked"));
    // 900 m of 0.75 mm2 (24.5 ohm/km a conductor, IEC 60228) to 60 W: 44 ohm before 167 ohm.
    desk.keys("/c1\na60w 900m 0.75mm2 s:60\n")
        .keys("/b1\ne")
        .keys(" ins\n")
        .keys("gs");
    let words = panel(&desk);
    assert!(words.contains("planned past rating, 1: A2 "), "{words}");
    assert!(words.contains("far end too quiet, 1: C-1 -"), "{words}");
}

#[test]
fn a_conductor_that_is_said_to_do_does_when_it_is_typed() {
    let mut desk = Desk::begun();
    desk.keys("aA1 240w\n")
        .keys("aH-1 Hall\n")
        .keys("a60w 250m 1mm2 t:horn s:60\n");
    desk.keys("a50m\nyyy");
    desk.resize(160, 48);
    let screen = panel(&desk);
    let at = screen.find(" mm2 throughout would do").expect(&screen);
    let size = screen[..at].rsplit(' ').next().unwrap().to_owned();
    desk.keys("gd");
    desk.press(Key::Home);
    for _ in 0..5 {
        desk.press(Key::Down).keys("e");
        let text = desk.typed().unwrap().replace("1mm2", &format!("{size}mm2"));
        let count = desk.typed().unwrap().chars().count();
        for _ in 0..count {
            desk.keys("\x08");
        }
        desk.keys(&text).keys("\n");
    }
    assert!(
        !panel(&desk).contains("too quiet"),
        "{size}: {}",
        panel(&desk)
    );
}

#[test]
fn a_slow_disk_lets_one_type_on_and_a_full_one_keeps_what_was_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n");
    desk.disk = DiskIs::Slow;
    desk.keys("a5w 9m\n").keys("yy");
    assert_eq!(
        nodes(&desk, "C-1").len(),
        2,
        "nothing counts before the disk has it"
    );
    desk.answer();
    assert_eq!(
        nodes(&desk, "C-1")[2..],
        ["LS-3 5W 9m LS-2", "LS-4 5W 9m LS-3", "LS-5 5W 9m LS-4"]
    );
    desk.disk = DiskIs::Full;
    desk.keys("y");
    assert!(
        desk.message().starts_with("NOT RECORDED"),
        "{}",
        desk.message()
    );
    assert_eq!(nodes(&desk, "C-1").len(), 5);
    // The next act takes what was refused along, first.
    desk.disk = DiskIs::Fast;
    desk.keys("y");
    assert_eq!(nodes(&desk, "C-1").len(), 7, "{}", desk.message());
}

#[test]
fn keys_typed_ahead_of_the_disk_go_on_along_the_cable() {
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n").keys("gd");
    desk.press(Key::Home);
    desk.press(Key::Down);
    desk.disk = DiskIs::Slow;
    desk.keys("aLS-3 5w 9m\n").keys("yy");
    desk.answer();
    assert_eq!(
        nodes(&desk, "C-1"),
        [
            "LS-1 10W 60m rack",
            "LS-3 5W 9m LS-1",
            "LS-4 5W 9m LS-3",
            "LS-5 5W 9m LS-4",
            "LS-2 10W 25m LS-1"
        ]
    );
}

#[test]
fn a_half_typed_design_survives_leaving_and_esc_keeps_it_for_undo() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\naLS-9 3w");
    let resume = linewright::session::Resume::from_text(desk.remembered.as_deref().unwrap());
    let mut again = Desk::with(hall(), desk::opening("nextnextnextnext"), resume);
    assert_eq!(again.typed().as_deref(), Some("LS-9 3w"));
    again.keys("\x1b");
    assert_eq!(again.message(), "dropped, not recorded: LS-9 3w");
    again.keys("u");
    assert_eq!(again.typed().as_deref(), Some("LS-9 3w"));
    again.keys("\n");
    assert_eq!(nodes(&again, "H-1").len(), 6);
}

#[test]
fn after_repeated_slow_letters_the_cautions_of_the_first_reading_still_stand() {
    let mut desk = Desk::begun();
    desk.keys("aA1 60w\n")
        .keys("aH-1 Hall\n")
        .keys("a10w 3m s:5/10\n")
        .keys("5");
    assert!(desk.message().contains("proved dead"), "{}", desk.message());
}

#[test]
fn what_still_has_something_on_it_does_not_go() {
    let mut desk = Desk::at(demo());
    let before = desk.json();
    for keys in ["/ch1\n<", "/ch1\n<<"] {
        for key in keys.chars() {
            match key {
                '<' => desk.press(Key::Left),
                key => desk.keys(&key.to_string()),
            };
        }
        desk.press(Key::Delete);
        desk.keys("gone\n");
        assert!(desk.message().contains("still has"), "{}", desk.message());
        desk.keys("\x1b");
    }
    assert_eq!(desk.json(), before);
}

#[test]
fn a_loudspeaker_moves_to_another_line_with_its_run_and_what_hangs_behind_it() {
    let mut desk = Desk::at(desk::hall());
    let before = desk.json();
    desk.keys("/h1\ngd");
    // H-1: LS-1, 2, 3 in a row, LS-4 and LS-5 behind LS-2 as a branch.
    desk.press(Key::Home);
    for _ in 0..4 {
        desk.press(Key::Down);
    }
    desk.keys("e");
    assert!(
        desk.typed().unwrap().starts_with("LS-4 6w 6m"),
        "{:?}",
        desk.typed()
    );
    desk.keys(" l:L-1");
    let says = panel(&desk);
    assert!(says.contains("line L-1"), "{says}");
    assert!(
        says.contains("from LS-3"),
        "at the end of the other line: {says}"
    );
    assert!(
        says.contains("with it LS-5 goes to L-1"),
        "what moves is said: {says}"
    );
    desk.keys("\n");
    assert_eq!(
        nodes(&desk, "H-1"),
        ["LS-1 6W 20m rack", "LS-2 6W 8m LS-1", "LS-3 6W 8m LS-2"]
    );
    assert_eq!(
        nodes(&desk, "L-1"),
        [
            "LS-1 6W 15m rack",
            "LS-2 6W 5m LS-1",
            "LS-3 6W 5m LS-2",
            "LS-4 6W 6m LS-3",
            "LS-5 6W 6m LS-4"
        ]
    );
    assert_eq!(desk.on(), "L-1", "the cursor goes along");
    desk.keys("u");
    assert_eq!(desk.json(), before);
    // A label that is there already becomes the next, and where it is fed from can be said.
    desk.keys("/h1\n");
    desk.press(Key::Home);
    for _ in 0..3 {
        desk.press(Key::Down);
    }
    desk.keys("e");
    assert!(
        desk.typed().unwrap().starts_with("LS-3 "),
        "{:?}",
        desk.typed()
    );
    desk.keys(" l:L-1");
    assert!(panel(&desk).contains("label LS-4"), "{}", panel(&desk));
    desk.keys(" l:nowhere");
    desk.keys("\n");
    assert!(desk.typed().is_some(), "what cannot be stays typed");
}

#[test]
fn a_zone_of_the_whole_building_is_changed_and_tab_steps_on_from_it() {
    let mut desk = Desk::at(hall());
    desk.keys("go");
    desk.press(Key::Left);
    let on = desk.session.cursor().clone();
    assert!(
        matches!(on, linewright::session::RowId::WholeZone(_)),
        "{on:?}"
    );
    desk.keys("e");
    assert!(
        matches!(desk.session.mode(), linewright::session::Mode::Text(_)),
        "{}",
        desk.message()
    );
    // It came back at all: it used to look for ever for an output that a zone has none of.
    desk.press(Key::Tab);
    desk.press(Key::BackTab);
    assert!(matches!(
        desk.session.mode(),
        linewright::session::Mode::Text(_)
    ));
}
