//! What the program takes as true when something is recorded: a reading is held against the drawing it
//! was read of, readings of one thing that do not agree are told, and what cannot be so is asked about.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;
#[path = "../common/screen.rs"]
mod screen;

mod agree;
mod asked;
mod insulation;
mod redrawn;

use desk::{Desk, demo, hall};
use linewright::analysis::LineResult;
use linewright::session::{Event, Key};
use linewright::verdict::LineWord;
use screen::{panel, row};

fn line<'a>(desk: &'a Desk, label: &str) -> &'a LineResult {
    let at = desk.session.site().plan().line_labelled(label).unwrap();
    desk.session.analyst().line(at)
}

/// What stands in the way of signing, as `label: words`.
fn in_the_way(desk: &Desk, label: &str) -> Vec<String> {
    use linewright::review::review;
    use linewright::site::Ref;
    let review = review(desk.session.site(), desk.session.analyst(), &Ref::Site);
    let open = review.open().filter(|item| item.label == label);
    open.map(|item| item.words.clone()).collect()
}

/// The hall with H-2 ticked OFF, so that whether a line is OFF is told, and the cursor on L-1.
fn one_is_off() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    while !row(&desk).contains("H-2") {
        desk.press(Key::Down);
    }
    desk.keys(" ").keys("\x1b/l1\n");
    desk
}

fn insulations(desk: &Desk) -> usize {
    use linewright::site::Do;
    let sent = desk.sent.iter().flatten();
    sent.filter(|entry| matches!(entry.what, Do::Insulate(_)))
        .count()
}
