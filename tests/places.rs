//! The drawing, the building and the amplifier as they are drawn: snapshots at three sizes, in ASCII,
//! without colours; every figure whole.
//!
//! After a change: `INSTA_UPDATE=always cargo test --test places`, then read every changed file.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, demo, empty, hall, opening, text_of};
use linewright::session::Key;
use linewright::site::Site;
use linewright::tui::Theme;
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

const SIZES: [(usize, usize); 3] = [(60, 20), (80, 24), (160, 48)];

type Scene = (&'static str, fn() -> Site, &'static str);

/// A name, a site, the keys that lead there; `<` is Left, `>` Right, `v` Down.
const SCENES: [Scene; 13] = [
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
];

fn scene(site: Site, keys: &str, size: (usize, usize), ascii: bool) -> Desk {
    let mut opening = opening("deskdeskdeskdesk");
    opening.ascii = ascii;
    let mut desk = Desk::with(site, opening, None);
    desk.resize(size.0, size.1);
    for key in keys.chars() {
        match key {
            '<' => desk.press(Key::Left),
            '>' => desk.press(Key::Right),
            'v' => desk.press(Key::Down),
            key => desk.keys(&key.to_string()),
        };
    }
    desk
}

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
    for (name, keys) in [("building", "gb"), ("amplifier", "/ch1\nga")] {
        let desk = scene(demo(), keys, (80, 24), true);
        insta::assert_snapshot!(format!("{name}_ascii_80x24"), desk.screen());
    }
}

fn cells(buffer: &Buffer) -> impl Iterator<Item = (u16, u16, &Cell)> {
    let area = buffer.area;
    (0..area.height).flat_map(move |y| (0..area.width).map(move |x| (x, y, &buffer[(x, y)])))
}

#[test]
fn ascii_draws_every_figure_in_the_cell_where_line_drawing_has_it() {
    for (name, site, keys) in SCENES {
        for size in SIZES {
            let drawn = scene(site(), keys, size, false).buffer(Theme::Colour);
            let plain = scene(site(), keys, size, true).buffer(Theme::Colour);
            for ((x, y, a), (_, _, b)) in cells(&drawn).zip(cells(&plain)) {
                let at = || format!("{name} {size:?} at {x},{y}: {a:?} {b:?}");
                assert!(b.symbol().is_ascii(), "{}", at());
                let limb = !a.symbol().is_ascii();
                let same = a.symbol() == b.symbol() || limb && "|-+`#".contains(b.symbol());
                assert!(
                    same && (a.fg, a.bg, a.modifier) == (b.fg, b.bg, b.modifier),
                    "{}",
                    at()
                );
            }
        }
    }
}

#[test]
fn three_grounds_are_painted_and_without_colours_the_tones_stay_apart() {
    for (name, site, keys) in SCENES {
        let desk = scene(site(), keys, (80, 24), false);
        let (colour, plain) = (desk.buffer(Theme::Colour), desk.buffer(Theme::Plain));
        assert_eq!(text_of(&colour), text_of(&plain), "{name}");
        for ((x, y, colour), (_, _, plain)) in cells(&colour).zip(cells(&plain)) {
            assert_eq!(
                (plain.fg, plain.bg),
                (Color::Reset, Color::Reset),
                "{name} at {x},{y}"
            );
            let wanted = match (colour.bg, colour.fg) {
                (Color::Reset, Color::Reset) => continue,
                (Color::Yellow, Color::Black) => Modifier::BOLD,
                (Color::Red, Color::White) => Modifier::BOLD | Modifier::REVERSED,
                (Color::Cyan, Color::Black) => Modifier::UNDERLINED,
                other => panic!("{name} at {x},{y}: {other:?}"),
            };
            assert!(plain.modifier.contains(wanted), "{name} at {x},{y}");
        }
    }
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
        "gbvv<>",
        "aA1\ngb>vv<\n",
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
