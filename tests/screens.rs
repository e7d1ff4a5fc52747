//! Screens as they are drawn: snapshots at three sizes, signs and words, the three grounds, ASCII.
//!
//! After a change of the screen: `INSTA_UPDATE=always cargo test --test screens`, then read every
//! changed file under tests/snapshots before it is committed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/scenes.rs"]
mod scenes;

use desk::{Desk, DiskIs, demo, empty, hall, text_of};
use linewright::tui::Theme;
use ratatui::buffer::Buffer;
use ratatui::style::{Color, Modifier};
use scenes::{
    Scene, cells, each_page, scene, tones_stay_apart, too_wide, what_every_screen_must_hold,
    without_colours,
};

const SIZES: [(usize, usize); 3] = [(80, 24), (100, 30), (160, 48)];

/// What is worth a picture: a name, a site, the keys that lead there.
const SCENES: [Scene; 24] = [
    ("empty_site", empty, ""),
    ("rack_list_begins", hall, "gr"),
    ("rack_list", demo, "/ch1\ngr"),
    ("rack_list_not_here", demo, "gr  lnone fitt"),
    ("go_list", demo, "v/ph1\ng"),
    ("walk", hall, "420\n/h1\n@w s"),
    ("walk_split_open", hall, "420\n/h1\n@wb479\n"),
    ("repaired_words", hall, "205\n/h1\n@jtap reset\t"),
    ("by_zone", demo, "/cf\ngo"),
    ("only_what_wants_a_look", demo, "f"),
    ("known_resistor", demo, "398r4"),
    ("survey_begins", hall, ""),
    ("half_typed", demo, "10"),
    ("half_typed_out", hall, "336\n205"),
    ("flagged_line", demo, "/ch1\n"),
    ("overloaded_output", demo, "/ch1\n<<<"),
    ("must_not_be_connected", demo, "/ph4\n"),
    ("site", demo, "gs"),
    ("help", demo, "?"),
    ("walk_behind_a_joint", hall, "420\n/h1\n@w^%%b330\n400\ns"),
    ("walk_help", demo, "/th1\nw?"),
    ("insulation_typed", demo, "/gp1\ni200"),
    ("rack_refused", demo, "/ch1\ngr/lh1\n"),
    ("only_off", demo, "fff"),
];

#[test]
fn screens_look_as_they_were_read_and_agreed() {
    for (name, site, keys) in SCENES {
        for (columns, rows) in SIZES {
            let desk = scene(site(), keys, (columns, rows), false);
            insta::assert_snapshot!(format!("{name}_{columns}x{rows}"), desk.screen());
        }
    }
    for (name, site, keys) in SCENES {
        let desk = scene(site(), keys, (80, 24), true);
        insta::assert_snapshot!(format!("{name}_ascii_80x24"), without_colours(&desk));
    }
    let desk = scene(demo(), "/ch1\n", (60, 20), false);
    insta::assert_snapshot!("flagged_line_60x20", desk.screen());
}

#[test]
fn on_a_low_screen_what_leads_and_the_next_test_stand_on_the_first_page() {
    for keys in ["/ch1\n@", "/th1\n@"] {
        let desk = scene(demo(), keys, (60, 20), false);
        let columns = desk.session.view().panel;
        let rows: Vec<String> = columns.iter().flatten().map(|row| row.text()).collect();
        // `83 %  one tapped 40 W instead of 5 W`.
        let is_suspect = |row: &String| {
            let odds = row.trim_start().split_once(" %  ");
            odds.is_some_and(|(odds, _)| odds.trim_start_matches("> ").parse::<u8>().is_ok())
        };
        assert!(rows.iter().any(is_suspect), "{keys}: {}", desk.screen());
        assert!(
            rows.iter().any(|row| row.starts_with(" next  ")),
            "{keys}: {}",
            desk.screen()
        );
    }
}

/// Where suspects and what the whole site shows are at rest.
const AT_REST: [(&str, &str); 4] = [
    ("walk_demo", "/th1\nw"),
    ("swapped_labels", "/fh1\n"),
    ("swapped_labels_walked", "/fh1\nw"),
    ("range_left_out", "/ph5\n"),
];

#[test]
fn with_all_reckoned_they_look_as_they_were_read_and_no_page_is_cut() {
    let mut desk = Desk::at(demo());
    desk.rest();
    let mut wide = Vec::new();
    for (name, keys) in AT_REST {
        desk.resize(80, 24).keys("\x1b\x1b").keys(keys).rest();
        for (columns, rows) in [(60, 20), SIZES[0], SIZES[2]] {
            desk.resize(columns, rows);
            each_page(&mut desk, |desk, page| {
                let at = format!("{name}_{columns}x{rows}_page_{page}");
                wide.extend(too_wide(&at, desk, columns));
                tones_stay_apart(&at, desk);
                if columns >= 80 {
                    insta::assert_snapshot!(at, desk.screen());
                }
            });
        }
    }
    assert!(wide.is_empty(), "{}", wide.join("\n"));
}

#[test]
fn what_every_screen_must_hold_holds_on_every_page_of_these() {
    what_every_screen_must_hold(&SCENES, &[(60, 20), SIZES[0], SIZES[2]]);
}

#[test]
fn at_any_size_down_to_nothing_the_screen_is_drawn() {
    for (_, site, keys) in SCENES {
        for size in [
            (60, 20),
            (40, 10),
            (39, 9),
            (20, 5),
            (1, 1),
            (0, 0),
            (300, 100),
        ] {
            scene(site(), keys, size, false).buffer(Theme::Plain);
        }
    }
}

// ---- sign and word ----

/// Sign, label and word of every row of the tree, styles stripped, from a screen tall enough.
fn tree_rows(desk: &mut Desk) -> Vec<(char, String, String, bool)> {
    desk.resize(80, 100);
    let screen = desk.screen();
    screen
        .lines()
        .skip(2)
        .filter_map(|row| row.split('\u{2502}').next())
        .filter(|row| row.len() > 10)
        .map(|row| {
            let sign = row.chars().nth(1).unwrap();
            let rest: String = row.chars().skip(3).collect();
            let label = rest
                .split_whitespace()
                .next()
                .unwrap_or_default()
                .to_owned();
            // The last ten cells of a row are its word and OFF.
            let end: String = row.chars().skip(26).collect();
            let off = end.contains("OFF");
            (sign, label, end.replace("OFF", "").trim().to_owned(), off)
        })
        .collect()
}

#[test]
fn every_lines_state_can_be_read_back_from_sign_and_word_alone() {
    let mut desk = Desk::at(demo());
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    // Suspects are reckoned for lines that were looked at, and while nothing else happens.
    desk.rest();
    let rows = tree_rows(&mut desk);
    let lines = json["lines"].as_array().unwrap();
    for line in lines {
        let label = line["line"].as_str().unwrap();
        let (sign, _, word, off) = rows.iter().find(|row| row.1 == label).unwrap();
        let deviation = line["measured"]["deviation"].as_f64();
        let ohms = &line["measured"]["ohms"];
        let wanted = match line["verdict"].as_str().unwrap() {
            "unmeasured" => ('.', "unread"),
            "in-tolerance" => ('=', "in tol"),
            "too-close" | "close" => ('~', "close"),
            // Below 5 ohm a line must not be connected; a misfit over one half is to be read again.
            _ if ohms == "short" || ohms.as_f64().is_some_and(|ohm| ohm < 5.0) => ('!', "short"),
            _ if line["misfit"].as_f64().is_some_and(|misfit| misfit > 0.5) => ('?', "misfit"),
            _ if ohms == "open" => ('/', "open"),
            _ if deviation.unwrap() > 0.0 => ('+', "out"),
            _ => ('-', "out"),
        };
        assert_eq!((*sign, word.as_str()), wanted, "{label}");
        assert_eq!(*off, line["off"].as_bool().unwrap(), "{label}");
    }
    assert_eq!(lines.len(), 42);
    for output in json["outputs"].as_array().unwrap() {
        let label = match output["amplifier"].as_str().unwrap() {
            alone @ ("A3" | "A5") => format!(" {alone} "),
            amplifier => format!(" {amplifier} out {}", output["output"].as_str().unwrap()),
        };
        let screen = desk.screen();
        let row = screen
            .lines()
            .find(|row| row.get(2..).is_some_and(|row| row.starts_with(&label)))
            .unwrap();
        let wanted = match output["verdict"].as_str().unwrap() {
            _ if !output["stop"].as_array().unwrap().is_empty() => ('!', "STOP"),
            "ok" => ('=', ""),
            "short-of-headroom" => ('~', "tight"),
            "overloaded" => ('+', "over"),
            other => panic!("{other}"),
        };
        let end: String = row.chars().skip(30).take(6).collect();
        assert_eq!((row.chars().nth(1).unwrap(), end.trim()), wanted, "{label}");
    }
}

#[test]
fn what_is_typed_sent_or_refused_has_its_sign_and_word() {
    let mut desk = Desk::at(hall());
    let row = |desk: &Desk| {
        let screen = desk.screen();
        let mut rows = screen
            .lines()
            .filter_map(|row| row.split('\u{2502}').next());
        let row = rows.find(|row| row.contains("  H-1")).unwrap();
        row.trim_end().to_owned()
    };
    desk.keys("336");
    assert_eq!(row(&desk), ">*  H-1     336   -0.6 %  typed");
    desk.disk = DiskIs::Slow;
    desk.keys("\n");
    assert!(
        row(&desk).starts_with(" ^  H-1") && row(&desk).ends_with("sent"),
        "{}",
        row(&desk)
    );
    assert!(
        row(&desk).contains("336"),
        "the row keeps the text: {}",
        row(&desk)
    );
    desk.disk = DiskIs::Full;
    desk.answer();
    assert!(
        row(&desk).starts_with(" ^  H-1") && row(&desk).contains("336"),
        "{}",
        row(&desk)
    );
    assert!(row(&desk).ends_with("FAILED"), "{}", row(&desk));
}

#[test]
fn off_is_counted_in_the_first_row_of_every_screen() {
    for size in SIZES {
        for keys in ["", "?", "/ph", "10", "g", "gs", "jx"] {
            let desk = scene(demo(), keys, size, false);
            let screen = desk.screen();
            let first = screen.lines().next().unwrap();
            assert!(first.ends_with("6 OFF"), "{size:?} {keys:?}: {first}");
            assert!(first.contains("24 of 42 read"), "{first}");
        }
    }
}

// ---- grounds ----

/// Text painted on a ground, a run of cells at a time.
fn painted(buffer: &Buffer, ground: Color) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut last = None;
    for (x, y, cell) in cells(buffer).filter(|(_, _, cell)| cell.bg == ground) {
        if last != Some((x.wrapping_sub(1), y)) {
            out.push(String::new());
        }
        out.last_mut().unwrap().push_str(cell.symbol());
        last = Some((x, y));
    }
    out.iter().map(|text| text.trim().to_owned()).collect()
}

#[test]
fn only_three_grounds_are_painted_and_each_has_its_own_text_colour() {
    for (name, site, keys) in SCENES {
        for size in [SIZES[0], SIZES[2]] {
            let buffer = scene(site(), keys, size, false).buffer(Theme::Colour);
            for (x, y, cell) in cells(&buffer) {
                let pair = (cell.bg, cell.fg);
                let known = [
                    (Color::Reset, Color::Reset),
                    (Color::Yellow, Color::Black),
                    (Color::Red, Color::White),
                    (Color::Cyan, Color::Black),
                ];
                assert!(
                    known.contains(&pair),
                    "{name} {size:?} at {x},{y}: {pair:?}"
                );
                let faint = Modifier::DIM | Modifier::SLOW_BLINK | Modifier::RAPID_BLINK;
                assert!(!cell.modifier.intersects(faint), "{name} at {x},{y}");
            }
        }
    }
}

#[test]
fn without_colours_no_colour_is_set_and_the_tones_stay_apart() {
    for (name, site, keys) in SCENES {
        let colour = scene(site(), keys, (80, 24), false).buffer(Theme::Colour);
        let plain = scene(site(), keys, (80, 24), false).buffer(Theme::Plain);
        assert_eq!(text_of(&colour), text_of(&plain), "{name}");
        for ((x, y, colour), (_, _, plain)) in cells(&colour).zip(cells(&plain)) {
            assert_eq!(
                (plain.fg, plain.bg),
                (Color::Reset, Color::Reset),
                "{name} at {x},{y}"
            );
            let wanted = match colour.bg {
                Color::Yellow => Modifier::BOLD,
                Color::Red => Modifier::BOLD | Modifier::REVERSED,
                Color::Cyan => Modifier::UNDERLINED,
                _ => continue,
            };
            assert!(
                plain.modifier.contains(wanted),
                "{name} at {x},{y}: {:?}",
                plain.modifier
            );
        }
    }
}

#[test]
fn the_cursors_row_is_reversed_and_no_other() {
    for theme in [Theme::Colour, Theme::Plain] {
        let buffer = scene(demo(), "", (80, 24), false).buffer(theme);
        let reversed: Vec<u16> = (0..24)
            .filter(|y| buffer[(5, *y)].modifier.contains(Modifier::REVERSED))
            .collect();
        let [row] = reversed[..] else {
            panic!("{reversed:?}")
        };
        let text: String = (0..36).map(|x| buffer[(x, row)].symbol()).collect();
        assert!(text.starts_with(">. CF-3"), "{text}");
    }
}

#[test]
fn nothing_is_yellow_or_red_while_a_reading_is_typed_and_what_is_wrong_is_after_enter() {
    let mut desk = Desk::at(hall());
    for key in "205".chars() {
        desk.keys(&key.to_string());
        let buffer = desk.buffer(Theme::Colour);
        assert_eq!(painted(&buffer, Color::Yellow), [""; 0], "{key}");
        assert_eq!(painted(&buffer, Color::Red), [""; 0], "{key}");
        assert!(
            painted(&buffer, Color::Cyan).contains(&"typed".to_owned()),
            "{key}"
        );
    }
    desk.keys("\n/h1\n");
    let buffer = desk.buffer(Theme::Colour);
    let yellow = painted(&buffer, Color::Yellow);
    assert!(
        yellow.contains(&"+".to_owned()) && yellow.contains(&"out".to_owned()),
        "{yellow:?}"
    );
    assert_eq!(painted(&buffer, Color::Cyan), [""; 0]);
    desk.keys("0");
    assert_eq!(
        painted(&desk.buffer(Theme::Colour), Color::Red),
        [""; 0],
        "a short is typed"
    );
    desk.keys("\n/h1\n");
    let red = painted(&desk.buffer(Theme::Colour), Color::Red);
    assert!(
        red.iter()
            .any(|text| text.contains("must not be connected")),
        "{red:?}"
    );
    assert!(
        red.contains(&"!".to_owned()) && red.contains(&"short".to_owned()),
        "{red:?}"
    );
}

#[test]
fn a_line_that_is_off_is_an_alarm_only_once_its_output_is_read() {
    // A1 out 1 is read whole and PH-4 on it is off; every line of A2 out 2 but CF-3 is read and
    // CF-1 on it is off.
    let row = |keys: &str, label: &str| {
        let buffer = scene(demo(), keys, (80, 24), false).buffer(Theme::Colour);
        let y = (0..24)
            .find(|y| {
                let row: String = (0..36).map(|x| buffer[(x, *y)].symbol()).collect();
                row.contains(label) && row.contains("OFF")
            })
            .unwrap();
        buffer[(34, y)].bg
    };
    assert_eq!(row("/ph4\n", "PH-4"), Color::Yellow);
    assert_eq!(row("/cf3\n", "CF-1"), Color::Reset);
}

#[test]
fn the_caret_stands_behind_what_is_typed() {
    for (keys, column) in [("", 7), ("10", 17), ("/ph", 9), ("g", 8)] {
        let desk = scene(demo(), keys, (80, 24), false);
        let view = desk.session.view();
        assert_eq!(view.caret, Some(column), "{keys:?}: {}", view.entry.text());
    }
}

#[test]
fn a_control_code_in_a_label_never_reaches_the_terminal() {
    let schedule = desk::HALL
        .replace("Balcony", "Bal\u{202e}cony")
        .replace("H-2", "H-\u{2067}2");
    let mut desk = Desk::at(desk::site_of(&schedule, "Hall \u{202d}x"));
    for keys in ["", "\u{1b}", "41\n", "gs", "?"] {
        desk.keys(keys);
        let text = desk.screen();
        assert!(
            text.chars().all(|c| c == '\n'
                || !c.is_control()
                    && !('\u{2066}'..='\u{2069}').contains(&c)
                    && !('\u{202a}'..='\u{202e}').contains(&c)),
            "{text:?}"
        );
    }
}
