//! What is said on the message line, at the widths there are: whole where two rows hold it, and never
//! without its end, where the keys stand.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, hall, opening};
use linewright::session::view::message_rows;
use linewright::session::{Event, Key, Message, Offer, Resume};
use linewright::storage::{InCopy, Notice, StoreError};

fn shown(text: &str, columns: usize) -> String {
    let message = Message {
        text: text.to_owned(),
        ..Message::default()
    };
    let rows = message_rows(&message, columns);
    assert!(rows.len() <= 2, "{columns}: {text}");
    let rows: Vec<String> = rows.iter().map(|row| row.text()).collect();
    assert!(
        rows.iter().all(|row| row.chars().count() <= columns),
        "{rows:?}"
    );
    let words: Vec<String> = rows
        .iter()
        .flat_map(|row| {
            row.split_whitespace()
                .map(str::to_owned)
                .collect::<Vec<_>>()
        })
        .collect();
    words.join(" ")
}

/// One of each, with names as long as they come.
fn notices() -> Vec<String> {
    let journal = || "glasshouse-20261126-101500.ron.journal-abcdefghijklmnop-12".to_owned();
    let name = || "glasshouse-20261126-101500.ron".to_owned();
    let why = || "permission denied (os error 13)".to_owned();
    let all = [
        Notice::Recovered {
            count: 128,
            readings: true,
            last: "CH-12 416 ohm 14:07".into(),
        },
        Notice::InJournal {
            count: 128,
            readings: false,
            last: "CH-12 416 ohm 14:07".into(),
        },
        Notice::ChangedOutside {
            name: name(),
            since: "2026-11-26 10:15".into(),
        },
        Notice::Torn { journal: journal() },
        Notice::Damaged {
            journal: journal(),
            lines: (1..20).collect(),
            missing: 3,
        },
        Notice::Older {
            journal: journal(),
            name: name(),
            count: 128,
        },
        Notice::Unread {
            journal: format!("/home/engineer/sites/{}", journal()).into(),
            why: why(),
        },
        Notice::Copy(InCopy {
            copy: name(),
            name: "glasshouse.ron".into(),
            count: 128,
            readings: 12,
            by: vec!["engineer A".into(), "engineer B".into()],
            called: Some("Old glasshouse".into()),
        }),
        Notice::CopyUnread {
            copy: name(),
            why: why(),
        },
        Notice::ClockBehind {
            now: "2026-11-26 10:15".into(),
            newest: "2026-11-27 10:15".into(),
        },
        Notice::MoreJournals {
            name: name(),
            more: 12,
        },
        Notice::WritesElsewhere {
            who: "engineer B".into(),
            machine: "laptop-2".into(),
            at: "2026-11-26 10:15".into(),
        },
        Notice::Aside { file: journal() },
        Notice::NoLock { name: name() },
        Notice::NotYet { why: why() },
        Notice::NotSaved { why: why() },
        Notice::NoSync { why: why() },
    ];
    let replaced = StoreError::Replaced {
        path: name().into(),
        lacks: 128,
    };
    let all = all.iter().map(ToString::to_string);
    all.chain([replaced.to_string()]).collect()
}

#[test]
fn no_notice_loses_a_word_in_its_middle_nor_the_key_that_it_names() {
    for words in notices() {
        let whole: Vec<&str> = words.split_whitespace().collect();
        for columns in [60, 80, 160] {
            let row = shown(&words, columns);
            // Whole words and the mark, in their order; a path longer than a row goes on in the next.
            let long = whole.iter().any(|word| word.len() > columns - 2);
            let cut = row
                .split_whitespace()
                .any(|word| word != "~" && !whole.contains(&word));
            assert!(!cut || long, "{columns}: {row}");
            for key in ["g j joins", "close and open it again"] {
                if words.contains(key) {
                    assert!(row.contains(key), "{columns}: {row}");
                }
            }
        }
    }
}

#[test]
fn several_notices_at_the_opening_are_counted_and_the_sites_panel_has_all_of_them() {
    let all: Vec<String> = notices().into_iter().take(8).collect();
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(hall());
        desk.keys("/h-1\n").resize(columns, rows);
        desk.event(Event::Told(all.clone()));
        assert_eq!(desk.message(), all[0], "the first of them whole");
        assert!(
            desk.screen().contains("more under g s"),
            "{}",
            desk.screen()
        );
        // The panel has them on its pages.
        desk.keys("gs");
        let mut seen = String::new();
        for _ in 0..12 {
            seen.push_str(&desk.screen());
            desk.press(Key::Tab);
        }
        assert!(seen.contains("told at the opening"), "{seen}");
        assert!(seen.contains("128 entries"), "{seen}");
    }
    // One alone, and two that two rows hold, are said whole.
    let mut desk = Desk::at(hall());
    desk.event(Event::Told(vec!["one thing".into(), "another".into()]));
    assert_eq!(desk.message(), "one thing; another");
}

#[test]
fn what_a_copy_holds_is_told_once_and_again_when_that_changes() {
    let offer = |count: usize| {
        format!(
            "\"S (copy).ron\" is a copy of this site and holds {count} entries that S.ron lacks"
        )
    };
    let open = |resume: Option<Resume>, told: Vec<String>, count: usize| {
        let mut desk = Desk::with(hall(), opening("deskdeskdeskdesk"), resume);
        let before = desk.message().to_owned();
        if !told.is_empty() {
            desk.event(Event::Told(told));
        }
        desk.event(Event::Offered(vec![Offer {
            holds: String::new(),
            told: offer(count),
        }]));
        (desk, before)
    };
    let (first, _) = open(None, Vec::new(), 2);
    assert_eq!(first.message(), offer(2));
    // The same at the next opening: the panel has it, the message line keeps what it has to say.
    let text = first.session.resume().to_text();
    let again = |count, told: Vec<String>| open(Resume::from_text(&text), told, count);
    let (mut second, before) = again(2, Vec::new());
    assert_eq!(second.message(), before);
    second.keys("gs");
    assert!(
        screen::panel(&second).contains(&offer(2)),
        "{}",
        second.screen()
    );
    assert_eq!(again(2, vec!["one thing".into()]).0.message(), "one thing");
    // Written on since, it is told again.
    assert_eq!(again(3, Vec::new()).0.message(), offer(3));
}

#[test]
fn a_figure_said_to_be_of_insulation_brings_its_caution_however_it_was_typed() {
    for keys in ["200Mi", "i200M", "200i"] {
        for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
            let mut desk = Desk::at(hall());
            desk.resize(columns, rows).keys(keys);
            let screen = desk.screen();
            let words: Vec<&str> = screen.split_whitespace().collect();
            let words = words.join(" ");
            for caution in [
                "250-500 V",
                "all devices off, nobody on it",
                "discharge after",
            ] {
                assert!(words.contains(caution), "{keys} {columns}: {screen}");
            }
            assert!(
                columns == 60 || words.contains("250 to 500 V on it; discharge after"),
                "{screen}"
            );
        }
    }
    // A figure of impedance after all: nothing of it is left.
    let mut desk = Desk::at(hall());
    desk.keys("200ii");
    assert!(!desk.screen().contains("250"), "{}", desk.screen());
    // It is gone with what was typed.
    let mut desk = Desk::at(hall());
    desk.keys("i\x1b");
    assert_eq!(desk.message(), "");
}
