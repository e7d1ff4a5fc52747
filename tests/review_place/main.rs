//! The review in the terminal: what stands in the way of signing, a word on each, the signature; every
//! act taken back; the place as it is drawn.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;
#[path = "../common/pen.rs"]
mod pen;
#[path = "../common/scenes.rs"]
mod scenes;

mod drawn;
mod parts;
mod printed;
mod signature;
mod words;

use desk::{Desk, DiskIs, demo, hall, opening};
use linewright::analysis::Analyst;
use linewright::report::{Assessment, Paper, pdf, record};
use linewright::review::{Break, seals};
use linewright::session::{Access, Event, Key, Printed, Resume};
use linewright::site::{Decision, Do, Ref};
use pen::{Pen, evening};

/// The desk in the review of that evening.
fn reviewing() -> Desk {
    let mut desk = Desk::at(evening());
    desk.keys("gv");
    desk
}

/// Sign, label and the rest of each row that an item has.
fn rows(desk: &Desk) -> Vec<String> {
    let screen = desk.screen();
    let list = screen.lines().skip(2).take_while(|row| !row.is_empty());
    list.map(|row| row.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

/// The row under the cursor.
fn row(desk: &Desk) -> String {
    let screen = desk.screen();
    let own = screen.lines().find(|row| row.starts_with('>')).unwrap();
    own.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn line(label: &str) -> Ref {
    Ref::Line(label.into())
}
