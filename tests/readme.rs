//! The README's screen is the real one.
//!
//! After a change of the screen: `cargo test --test readme -- --ignored` puts the new one in.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::session::{Access, Effect, Event, Key, Opening, Session, update};
use linewright::storage::format1;
use linewright::tui::{Theme, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// The demo after `/th-1` and Enter, as a terminal of 80 x 24 shows it.
fn screen() -> String {
    let site = format1::read("demo", &std::fs::read("sites/glasshouse.ron").unwrap())
        .unwrap()
        .site;
    let opening = Opening {
        by: "engineer A".into(),
        writer: "readme2readme234".into(),
        access: Access::Writes,
        zone: jiff::tz::TimeZone::UTC,
        ascii: true,
    };
    let mut session = Session::new(site, opening, None);
    update(&mut session, Event::Resize(80, 24));
    let now = "2026-11-24T12:00:00Z".parse().unwrap();
    for key in "/th-1".chars().map(Key::Char).chain([Key::Enter]) {
        update(&mut session, Event::Key(key, now));
    }
    let mut waiting = vec![Event::Idle];
    while let Some(event) = waiting.pop() {
        for effect in update(&mut session, event) {
            match effect {
                Effect::GoOn => waiting.push(Event::Idle),
                Effect::Reckon(ahead) => waiting.push(Event::Reckoned(Box::new(ahead.run()))),
                _ => {}
            }
        }
    }
    let area = Rect::new(0, 0, 80, 24);
    let mut buffer = Buffer::empty(area);
    draw(&session.view(), Theme::Plain, area, &mut buffer);
    (0..24)
        .map(|y| {
            let row: String = (0..80).map(|x| buffer[(x, y)].symbol()).collect();
            row.trim_end().to_owned() + "\n"
        })
        .collect()
}

fn parts(readme: &str) -> (&str, &str, &str) {
    let (head, rest) = readme.split_once("```text\n").unwrap();
    let (screen, tail) = rest.split_once("```\n").unwrap();
    (head, screen, tail)
}

#[test]
fn the_screen_in_the_readme_is_the_real_one() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    assert_eq!(
        parts(&readme).1,
        screen(),
        "run `cargo test --test readme -- --ignored`"
    );
}

#[test]
#[ignore = "writes README.md"]
fn put_the_real_screen_into_the_readme() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    let (head, _, tail) = parts(&readme);
    std::fs::write(
        "README.md",
        format!("{head}```text\n{}```\n{tail}", screen()),
    )
    .unwrap();
}
