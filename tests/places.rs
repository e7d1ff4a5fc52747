//! The drawing, the building and the amplifier as they are drawn: snapshots at three sizes, in ASCII,
//! without colours; every figure whole.
//!
//! After a change: `INSTA_UPDATE=always cargo test --test places`, then read every changed file.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/scenes.rs"]
mod scenes;

use desk::{demo, empty, hall};
use linewright::session::Key;
use linewright::tui::Theme;
use scenes::{SIZES, Scene, scene, what_every_screen_must_hold, without_colours};

/// Drawing, building, amplifier, instruments and figures, and what is typed there.
const SCENES: [Scene; 18] = [
    ("building", demo, "gb"),
    ("building_line", demo, "/ph5\ngb"),
    ("amplifier", demo, "/ch1\nga"),
    ("trial_moved", demo, "/ch1\nhto A2/2"),
    ("trial_tapped", demo, "/ch1\nhdown"),
    ("trial_refused", demo, "/ch1\nh7w"),
    ("drawing", hall, "/h1\ngd"),
    (
        "drawing_flawed",
        hall,
        "/c1\ngda100w 700m 0.75mm2 s:100\na f:rack\n",
    ),
    (
        "site_flawed",
        hall,
        "/c1\ngda100w 700m 0.75mm2 s:100\na f:rack\ngs",
    ),
    ("adding", hall, "/h1\na12w 9m t:bowl"),
    ("adding_wrong", hall, "/h1\na12w 9m f:LS-99"),
    ("changing", hall, "/h1\ngde 12"),
    ("first_amplifier", empty, "a2x240w"),
    ("moving", hall, "/h1\ngd^%%%%e l:L-1"),
    ("building_adding", hall, "/h1\ngba9m"),
    ("kit", demo, "gi"),
    ("kit_figure", demo, "gi%%%%%%%%%%%%%%%%"),
    ("kit_instrument_typed", demo, "gie sn:A-17"),
];

#[test]
fn the_places_look_as_they_were_read_and_agreed() {
    for (name, site, keys) in SCENES {
        let mut desk = scene(site(), keys, SIZES[0], false);
        // What only the whole building shows takes its time.
        if name.starts_with("building") {
            desk.rest();
        }
        for (columns, rows) in SIZES {
            desk.resize(columns, rows);
            insta::assert_snapshot!(format!("{name}_{columns}x{rows}"), desk.screen());
        }
    }
    for (name, site, keys) in SCENES {
        let desk = scene(site(), keys, (80, 24), true);
        insta::assert_snapshot!(format!("{name}_ascii_80x24"), without_colours(&desk));
    }
}

#[test]
fn what_every_screen_must_hold_holds_on_every_page_of_these() {
    what_every_screen_must_hold(&SCENES, &SIZES);
}

#[test]
fn at_any_size_down_to_nothing_and_on_an_empty_site_the_places_are_drawn() {
    for (_, site, keys) in SCENES {
        for size in [(40, 10), (39, 9), (20, 5), (1, 1), (0, 0), (300, 100)] {
            scene(site(), keys, size, false).buffer(Theme::Plain);
        }
    }
    for keys in [
        "gb",
        "ga",
        "gd",
        "h",
        "e",
        "y",
        "a\n",
        "ga\x1b",
        "gb%%<>",
        "aA1\ngb>%%<\n",
    ] {
        let mut desk = scene(empty(), keys, (80, 24), false);
        desk.press(Key::Delete);
        desk.keys("\x1b\x1b");
        assert!(desk.screen().contains("OFF"));
    }
}

#[test]
fn off_is_counted_in_the_first_row_of_every_place() {
    for size in SIZES {
        for keys in ["gb", "ga", "/ch1\ngd", "/ch1\nh", "/ch1\na6w", "/ch1\ngb?"] {
            let screen = scene(demo(), keys, size, false).screen();
            let first = screen.lines().next().unwrap();
            assert!(first.ends_with("6 OFF"), "{size:?} {keys:?}: {first}");
        }
    }
}

#[test]
fn each_place_has_its_own_keys_in_footer_and_help() {
    for (keys, title, key) in [
        ("gb", "keys of the building", "one line on"),
        ("ga", "keys of the amplifier", "try out"),
        ("/ch1\ngd", "keys of the drawing", "change what stands here"),
    ] {
        let mut desk = scene(demo(), keys, (160, 60), false);
        desk.keys("?");
        let screen = desk.screen();
        assert!(screen.contains(title) && screen.contains(key), "{screen}");
        desk.keys("\x1b");
        assert!(!desk.screen().contains(title));
    }
}
