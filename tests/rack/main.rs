//! At the rack, told at the keyboard: the lists that are ticked before a line is touched and when it
//! goes back, the known resistor, and what stands where the act happens.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;
#[path = "../common/screen.rs"]
mod screen;

mod list;
mod meter;
mod refused;
mod ticked;

use desk::{Desk, DiskIs, demo, hall, hall_with, opening};
use linewright::quantity::Ohm;
use linewright::session::{Key, Resume, Session};
use linewright::site::{Amplifier, Design, Do, Line, Ref, TickIs};
use screen::{down_to, folded, panel, row};

/// What was ticked in this sitting and counts: the item, and what it is for.
fn ticks(desk: &Desk) -> Vec<String> {
    let log = desk.session.site().log();
    log.entries()
        .iter()
        .filter(|entry| entry.id.as_str().starts_with("deskdeskdeskdesk") && log.counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            Do::Tick(tick) => {
                let of: Vec<&str> = tick.of.iter().map(Ref::id).collect();
                let is = match &tick.is {
                    TickIs::Done => String::new(),
                    TickIs::NotHere(why) => format!(" not here: {why}"),
                };
                Some(format!("{} {}{is}", tick.item, of.join(",")))
            }
            _ => None,
        })
        .collect()
}

fn header(desk: &Desk) -> String {
    desk.screen().lines().next().unwrap().to_owned()
}

/// The cursor of the list on the first row that has these words.
#[track_caller]
fn go_to(desk: &mut Desk, words: &str) {
    desk.press(Key::Home);
    down_to(desk, &folded(words));
}
