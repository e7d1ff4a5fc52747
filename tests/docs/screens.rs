//! Every screen on a page is the one that the keys named there make.

use super::blocks::{Piece, block_after, cut, join, pages};
use super::desk::{Desk, demo, empty, opening};
use super::pen::evening;
use linewright::session::{Event, Key};
use linewright::tui::Theme;
use std::path::Path;

/// The page with its real screens: one desk goes through it from top to bottom.
fn filled(page: &Path) -> (String, String) {
    let text = std::fs::read_to_string(page).unwrap();
    let mut pieces = cut(&text);
    let mut desk: Option<Desk> = None;
    for at in 0..pieces.len() {
        let Piece::Order(word, what) = &pieces[at] else {
            continue;
        };
        match word.as_str() {
            "desk" => desk = Some(sit_down(what)),
            "keys" => type_keys(desk.as_mut().expect("a desk before keys"), what),
            "screen" => {
                let desk = desk.as_mut().expect("a desk before a screen").rest();
                let screen = super::desk::text_of(&desk.buffer(Theme::Plain));
                *block_after(&mut pieces, at) = screen;
            }
            _ => {}
        }
    }
    (text, join(&pieces))
}

fn sit_down(what: &str) -> Desk {
    let mut words = what.split(' ');
    let site = match words.next() {
        Some("demo") => demo(),
        Some("empty") => empty(),
        Some("evening") => evening(),
        other => panic!("{other:?} is no site"),
    };
    let (columns, rows) = words.next().and_then(|it| it.split_once('x')).unwrap();
    let ascii = words.next() == Some("ascii");
    let opening = linewright::session::Opening {
        ascii,
        ..opening("desk2desk3desk4de")
    };
    let mut desk = Desk::with(site, opening, None);
    desk.event(Event::Resize(
        columns.parse().unwrap(),
        rows.parse().unwrap(),
    ));
    desk
}

/// Keys as a page writes them: characters, and `{Enter}` and the like.
fn type_keys(desk: &mut Desk, keys: &str) {
    let mut rest = keys;
    while let Some(c) = rest.chars().next() {
        let named = rest.strip_prefix('{').and_then(|it| it.split_once('}'));
        let (key, after) = match named {
            Some((name, after)) => (named_key(name), after),
            None => (Key::Char(c), &rest[c.len_utf8()..]),
        };
        desk.press(key);
        rest = after;
    }
    desk.rest();
}

fn named_key(name: &str) -> Key {
    match name {
        "Enter" => Key::Enter,
        "Esc" => Key::Esc,
        "Tab" => Key::Tab,
        "Backspace" => Key::Backspace,
        "Delete" => Key::Delete,
        "Up" => Key::Up,
        "Down" => Key::Down,
        "Left" => Key::Left,
        "Right" => Key::Right,
        "Home" => Key::Home,
        "End" => Key::End,
        "PageDown" => Key::PageDown,
        "PageUp" => Key::PageUp,
        other => panic!("{other:?} is no key"),
    }
}

#[test]
fn every_screen_on_a_page_is_the_real_one() {
    let mut screens = 0;
    for page in pages() {
        let (text, real) = filled(&page);
        assert!(
            text == real,
            "{}: run `cargo test --test docs -- --ignored` and read what changed",
            page.display()
        );
        screens += text.matches("<!-- screen -->").count();
    }
    assert!(screens > 0);
}

/// Puts the real screens into the pages.
pub fn write() {
    for page in pages() {
        let (text, real) = filled(&page);
        if text != real {
            std::fs::write(page, real).unwrap();
        }
    }
}
