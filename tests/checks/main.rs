//! What every screen must hold, check by check. Checks that are held elsewhere too are named there:
//! signs read back, the three grounds and ASCII mode in tests/screens.rs, the count of fields of yes
//! or no in tests/house, bytes a key through a real terminal in tests/day.rs.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;

mod drawn;
mod kept;
mod keys_counted;
mod killed;
mod letters;
mod undo;

use desk::{Desk, DiskIs, demo, hall, opening, site_of};
use linewright::quantity::Ohm;
use linewright::session::keys::{self, Keys};
use linewright::session::{Action, Event, Key, Mode, ModeName, Place, Resume, Session};
use linewright::site::{Do, EntryId, Site};
use std::collections::{BTreeMap, BTreeSet};

/// What each line should read, as an engineer would type it; lines that were read are not there.
fn unread(desk: &Desk) -> BTreeMap<String, String> {
    let plan = desk.session.site().plan();
    (0..plan.lines.len())
        .filter(|at| !desk.session.analyst().line(*at).is_read())
        .map(|at| {
            let Ohm(ohm) = desk.session.analyst().line(at).design.expected.unwrap();
            (plan.lines[at].label.clone(), format!("{ohm:.0}"))
        })
        .collect()
}

type Facts = (BTreeSet<EntryId>, String);

/// The same facts, and the same bytes of `assess --json`.
#[track_caller]
fn same(is: &Facts, was: &Facts, act: &str) {
    assert_eq!(is.0, was.0, "{act:?}");
    assert!(is.1 == was.1, "{act:?}: other bytes");
}

/// Ids of the entries that count.
fn facts(desk: &Desk) -> BTreeSet<EntryId> {
    let log = desk.session.site().log();
    log.entries()
        .iter()
        .filter(|entry| log.counts(&entry.id) && !matches!(entry.what, Do::Void(_)))
        .map(|entry| entry.id.clone())
        .collect()
}

fn key(c: char) -> Key {
    match c {
        '\n' => Key::Enter,
        '\x1b' => Key::Esc,
        '\t' => Key::Tab,
        c => Key::Char(c),
    }
}
