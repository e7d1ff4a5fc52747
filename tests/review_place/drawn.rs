//! The place as it is drawn, at every size.

use super::*;

#[test]
fn at_any_size_it_is_drawn_and_in_ascii_every_figure_stands_in_the_same_cell() {
    for (columns, rows) in [
        (160, 48),
        (100, 30),
        (60, 20),
        (40, 10),
        (39, 9),
        (1, 1),
        (0, 0),
    ] {
        let mut ascii = opening("deskdeskdeskdesk");
        ascii.ascii = true;
        let mut plain = Desk::with(evening(), ascii, None);
        let mut drawn = Desk::at(evening());
        for desk in [&mut plain, &mut drawn] {
            desk.resize(columns, rows).keys("gv");
            desk.press(Key::End);
        }
        let cells = |text: String| -> Vec<char> {
            text.chars()
                .map(|c| if c.is_ascii() { c } else { '|' })
                .collect()
        };
        assert!(plain.screen().is_ascii());
        let (a, b) = (cells(plain.screen()), cells(drawn.screen()));
        assert_eq!(a.len(), b.len());
        assert!(a.iter().zip(&b).all(|(a, b)| a == b || "-+|".contains(*a)));
    }
}

/// What is typed behind `gv`: `@` is the key Down, `^` Home.
const SCENES: [(&str, &str); 6] = [
    ("begins", ""),
    ("parts", "v"),
    ("of_a_part", "vcar park\n"),
    ("snag_typed", "lshort near the rack, N. N., 2026-12-01"),
    ("settled_one", "lshort near the rack, N. N., 2026-12-01\n"),
    (
        "to_be_signed",
        "lshort near the rack, N. N., 2026-12-01\n 20 W wanted here\nllocked room\n\n",
    ),
];

#[test]
fn the_place_looks_as_it_was_read_and_agreed() {
    for (name, keys) in SCENES {
        for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
            let mut desk = Desk::at(evening());
            desk.resize(columns, rows).keys("gv");
            for key in keys.chars() {
                match key {
                    '@' => desk.press(Key::Down),
                    '^' => desk.press(Key::Home),
                    key => desk.keys(&key.to_string()),
                };
            }
            insta::assert_snapshot!(format!("review_{name}_{columns}x{rows}"), desk.screen());
        }
    }
    let mut desk = scenes::scene(demo(), "gv", (80, 24), true);
    insta::assert_snapshot!("review_demo_ascii_80x24", scenes::without_colours(&desk));
    scenes::each_page(&mut desk, |desk, page| {
        scenes::tones_stay_apart(&format!("review page {page}"), desk);
        let wide = scenes::too_wide("review", desk, 80);
        assert!(wide.is_empty(), "{wide:?}");
    });
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(demo());
        desk.resize(columns, rows).keys("gv");
        insta::assert_snapshot!(format!("review_demo_{columns}x{rows}"), desk.screen());
    }
}
