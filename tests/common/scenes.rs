//! Scenes: a site and the keys that lead to a screen worth a picture; and what every such screen must
//! hold, wherever its test stands.
#![allow(dead_code)]

use crate::desk::{Desk, opening, text_of};
use linewright::session::Key;
use linewright::session::view::text::width;
use linewright::site::Site;
use linewright::tui::Theme;
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// A name, a site, the keys that lead there.
pub type Scene = (&'static str, fn() -> Site, &'static str);

/// The sizes of a small screen, the usual one and a large one.
pub const SIZES: [(usize, usize); 3] = [(60, 20), (80, 24), (160, 48)];

/// The desk of a scene; `<` is Left, `>` Right, `%` Down, `^` Home, `@` a rest until there is nothing
/// left to reckon.
pub fn scene(site: Site, keys: &str, size: (usize, usize), ascii: bool) -> Desk {
    let mut opening = opening("deskdeskdeskdesk");
    opening.ascii = ascii;
    let mut desk = Desk::with(site, opening, None);
    desk.resize(size.0, size.1);
    for key in keys.chars() {
        match key {
            '<' => desk.press(Key::Left),
            '>' => desk.press(Key::Right),
            '%' => desk.press(Key::Down),
            '^' => desk.press(Key::Home),
            '@' => desk.rest(),
            key => desk.keys(&key.to_string()),
        };
    }
    desk
}

/// Every cell with its place.
pub fn cells(buffer: &Buffer) -> impl Iterator<Item = (u16, u16, &Cell)> {
    let area = buffer.area;
    (0..area.height).flat_map(move |y| (0..area.width).map(move |x| (x, y, &buffer[(x, y)])))
}

/// Goes through the pages of the panel from the one shown, until that comes again.
pub fn each_page(desk: &mut Desk, mut look: impl FnMut(&mut Desk, usize)) {
    // While something is typed Tab goes on to another kind of thing.
    if desk.typed().is_some() {
        return look(desk, 0);
    }
    let first = desk.session.view().panel;
    for page in 0..20 {
        look(desk, page);
        desk.press(Key::Tab);
        if desk.session.view().panel == first {
            return;
        }
    }
}

/// ASCII mode has no byte over 127, and every figure in the cell where line drawing has it.
pub fn same_in_ascii(name: &str, drawn: &Desk, plain: &Desk) {
    let (a, b) = (drawn.buffer(Theme::Colour), plain.buffer(Theme::Colour));
    for ((x, y, a), (_, _, b)) in cells(&a).zip(cells(&b)) {
        let at = || format!("{name} at {x},{y}: {a:?} {b:?}");
        assert!(b.symbol().is_ascii(), "{}", at());
        let limb = !a.symbol().is_ascii();
        let same = a.symbol() == b.symbol() || limb && "|-+`#".contains(b.symbol());
        let style = (a.fg, a.bg, a.modifier) == (b.fg, b.bg, b.modifier);
        assert!(same && style, "{}", at());
    }
}

/// Three grounds are painted and no other, each with its own text colour; without colours the same
/// cells stand apart by their modifiers, and the text is the same.
pub fn tones_stay_apart(name: &str, desk: &Desk) {
    let (colour, plain) = (desk.buffer(Theme::Colour), desk.buffer(Theme::Plain));
    assert_eq!(text_of(&colour), text_of(&plain), "{name}");
    for ((x, y, colour), (_, _, plain)) in cells(&colour).zip(cells(&plain)) {
        let none = (Color::Reset, Color::Reset);
        assert_eq!((plain.fg, plain.bg), none, "{name} at {x},{y}");
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

/// Rows that are wider than their place, which the terminal cuts without a sign, and a message that
/// does not fit.
pub fn too_wide(name: &str, desk: &Desk, columns: usize) -> Vec<String> {
    let view = desk.session.view();
    let mut rows = vec![
        ("header", view.header.text(), columns),
        ("message", view.message.text(), columns),
        ("footer", view.footer.text(), columns),
        ("entry", view.entry.text(), columns),
    ];
    let above = view.above.iter().map(|row| row.text());
    rows.extend(above.map(|text| ("message's first row", text, columns)));
    let left = view.tree.iter().map(|row| row.line.text());
    rows.extend(left.map(|text| ("left", text, view.tree_width.max(1))));
    let panel = view.panel.iter().flatten().map(|row| row.text());
    rows.extend(panel.map(|text| ("panel", text, view.panel_width)));
    let mut out: Vec<String> = rows
        .into_iter()
        .filter(|(_, text, room)| width(text) > *room)
        .map(|(what, text, room)| format!("{name}, {what}: {room} cells for {text:?}"))
        .collect();
    if columns >= 80 && width(desk.message()) + 2 > columns {
        out.push(format!("{name}, message: {:?}", desk.message()));
    }
    // Where it is narrower it may take two rows, and is cut in neither.
    let said = [view.above.unwrap_or_default().text(), view.message.text()].concat();
    let words = |text: &str| text.replace(' ', "");
    if !words(&said).starts_with(&words(desk.message())) {
        out.push(format!("{name}, message cut: {said:?}"));
    }
    out
}

/// A screen without colours, and under it which of its cells stand out: `b` bold, `u` underlined, `r`
/// reversed, `R` reversed and bold; rows with none are left out.
pub fn without_colours(desk: &Desk) -> String {
    let buffer = desk.buffer(Theme::Plain);
    let mut out = text_of(&buffer);
    for y in 0..buffer.area.height {
        let mark = |x: u16| {
            let modifier = buffer[(x, y)].modifier;
            let reversed = modifier.contains(Modifier::REVERSED);
            match (reversed, modifier.contains(Modifier::BOLD)) {
                (true, true) => 'R',
                (true, false) => 'r',
                _ if modifier.contains(Modifier::UNDERLINED) => 'u',
                (false, true) => 'b',
                (false, false) => ' ',
            }
        };
        let row: String = (0..buffer.area.width).map(mark).collect();
        if !row.trim().is_empty() {
            out.push_str(&format!("{y:2} {}\n", row.trim_end()));
        }
    }
    out
}

/// What every screen must hold, on every page of these scenes at these sizes: the same cells in ASCII,
/// tones apart without colours, no row wider than its place.
#[track_caller]
pub fn what_every_screen_must_hold(scenes: &[Scene], sizes: &[(usize, usize)]) {
    let mut wide = Vec::new();
    for (name, site, keys) in scenes {
        for size in sizes.iter().copied() {
            let mut drawn = scene(site(), keys, size, false);
            let mut plain = scene(site(), keys, size, true);
            each_page(&mut drawn, |drawn, page| {
                let name = format!("{name} {size:?} page {page}");
                same_in_ascii(&name, drawn, &plain);
                tones_stay_apart(&name, drawn);
                wide.extend(too_wide(&name, drawn, size.0));
                plain.press(Key::Tab);
            });
        }
    }
    assert!(wide.is_empty(), "{}", wide.join("\n"));
}
