//! What is drawn: contrast, figures that are not cut, labels in wide letters.

use super::*;

/// Nine palettes of terminals in common use, their values from memory: black, red, yellow, cyan, white.
const PALETTES: [[u32; 5]; 9] = [
    [0x000000, 0xcd0000, 0xcdcd00, 0x00cdcd, 0xe5e5e5],
    [0x000000, 0xaa0000, 0xaa5500, 0x00aaaa, 0xaaaaaa],
    [0x000000, 0x800000, 0x808000, 0x008080, 0xc0c0c0],
    [0x0c0c0c, 0xc50f1f, 0xc19c00, 0x3a96dd, 0xcccccc],
    [0x000000, 0xc23621, 0xadad27, 0x33bbc8, 0xcbcccd],
    [0x2e3436, 0xcc0000, 0xc4a000, 0x06989a, 0xd3d7cf],
    [0x000000, 0xbb0000, 0xbbbb00, 0x00bbbb, 0xbbbbbb],
    [0x073642, 0xdc322f, 0xb58900, 0x2aa198, 0xeee8d5],
    [0x000000, 0xc91b00, 0xc7c400, 0x00c5c7, 0xc7c7c7],
];

/// Relative luminance and contrast as WCAG 2.2 defines them (1.4.3).
fn contrast(a: u32, b: u32) -> f64 {
    let luminance = |rgb: u32| {
        let part = |shift: u32| {
            let value = f64::from((rgb >> shift) & 255) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn check_5_text_on_each_ground_is_read_in_nine_palettes_light_or_dark() {
    assert!(
        (contrast(0, 0xff_ffff) - 21.0).abs() < 1e-9,
        "WCAG's own example"
    );
    for (at, [black, red, yellow, cyan, white]) in PALETTES.into_iter().enumerate() {
        // The two colours of each ground are both painted, so the terminal's own ground, light or
        // dark, has no part in it.
        for (name, text, ground) in [
            ("out", black, yellow),
            ("stop", white, red),
            ("typed", black, cyan),
        ] {
            let ratio = contrast(text, ground);
            let least = if at == 0 { 4.5 } else { 3.0 };
            assert!(ratio >= least, "palette {at}, {name}: {ratio:.2}");
        }
    }
}

/// Every page of the panel where the cursor stands, as screens.
fn pages(desk: &mut Desk) -> Vec<String> {
    let mut out = vec![desk.screen()];
    for _ in 0..20 {
        desk.press(Key::Tab);
        let screen = desk.screen();
        if screen == out[0] {
            break;
        }
        out.push(screen);
    }
    out
}

#[test]
fn check_7_no_figure_is_cut_at_any_of_three_sizes_and_no_row_is_wider_than_its_place() {
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(demo());
        desk.resize(columns, rows);
        desk.press(Key::Home);
        for _ in 0..70 {
            for screen in pages(&mut desk) {
                for row in screen.lines() {
                    let cells: Vec<char> = row.chars().collect();
                    for pair in cells.windows(2) {
                        let figure = pair[0].is_ascii_digit() || "%.".contains(pair[0]);
                        assert!(!(figure && pair[1] == '~'), "{columns}x{rows}: {row}");
                    }
                }
            }
            let view = desk.session.view();
            for line in view.tree.iter().map(|row| &row.line) {
                assert!(line.width() <= view.tree_width, "{:?}", line.text());
            }
            for line in view.panel.iter().flatten() {
                assert!(
                    line.width() <= view.panel_width,
                    "{columns}: {:?}",
                    line.text()
                );
            }
            for line in [&view.header, &view.message, &view.entry, &view.footer] {
                assert!(line.width() <= columns, "{columns}: {:?}", line.text());
            }
            desk.press(Key::Down);
        }
    }
}

#[test]
fn check_7_a_resize_keeps_what_is_typed_in_every_place() {
    for keys in [
        "41", "w700", "jremade", "n dusty", "gr398r4", "gr lno", "41ntight",
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(keys);
        let before = (desk.typed(), desk.session.mode().clone());
        assert!(before.0.is_some(), "{keys}");
        for size in [(60, 20), (1, 1), (160, 48), (0, 0), (80, 24)] {
            desk.resize(size.0, size.1);
        }
        assert_eq!(
            (desk.typed(), desk.session.mode().clone()),
            before,
            "{keys}"
        );
    }
}

#[test]
fn check_7_wide_and_combining_labels_move_no_wall_and_cut_no_figure() {
    let schedule = desk::HALL
        .replace(
            "Balcony",
            "\u{5927}\u{5ef3}\u{306e}\u{4e8c}\u{968e}\u{5e2d}\u{306e}\u{5965}",
        )
        .replace("H-2", "\u{5317}-2")
        .replace("Hall", "Cafe\u{301} a\u{300} la\u{308}ngst");
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(site_of(&schedule, "\u{97f3}\u{97ff}"));
        desk.resize(columns, rows);
        for keys in ["336\n", "410\n", "", "w", "gr"] {
            desk.keys(keys);
            let view = desk.session.view();
            for line in view.tree.iter().map(|row| &row.line) {
                assert!(line.width() <= view.tree_width, "{:?}", line.text());
            }
            let buffer = desk.buffer(linewright::tui::Theme::Colour);
            for y in 2..buffer.area.height - 4 {
                let wall = u16::try_from(view.tree_width).unwrap();
                assert_eq!(
                    buffer[(wall, y)].symbol(),
                    "\u{2502}",
                    "{columns}x{rows} row {y}"
                );
            }
        }
        assert_eq!(desk.readings().len(), 2);
    }
}
