//! The key table: a file for the keys of each place, and one for what is typed.
//!
//! A row reads: the places it holds in, its keys, how they are written on the screen, what they do, the
//! footer's word (or none, where the footer leaves the key to the help), the sentence of the help.
//!
//! Never here: what an action does to the session.

use super::names::{Action, ModeName, Place};
use super::row::{Keys, Row};
use crate::session::key::Key;
use Key::{
    BackTab, Backspace, Char, Clear, Delete, Down, End, Enter, Esc, F1, Home, Left, PageDown,
    PageUp, Right, Tab, Up,
};
use Place::{Amplifier, Building, Drawing, Help, Kit, Rack, Review, Survey, Walk};

/// Where a line stands under the cursor.
const WORK: &[Place] = &[Survey, Walk, Drawing, Building, Amplifier];
/// Where a reading that was made can be taken up again.
const READINGS: &[Place] = &[Survey, Walk, Rack, Drawing, Building, Amplifier];
/// Wherever something can be done.
const DESK: &[Place] = &[
    Survey, Walk, Rack, Drawing, Building, Amplifier, Review, Kit,
];
/// Everywhere.
pub(super) const ALL: &[Place] = &[
    Survey, Walk, Rack, Drawing, Building, Amplifier, Review, Kit, Help,
];
/// Where the design is changed.
const DESIGN: &[Place] = &[Survey, Drawing, Building, Amplifier];

/// Rows of one mode, written as the head of this module says.
macro_rules! rows {
    ($mode:ident: $(
        $places:tt $keys:tt $shown:literal => $action:ident $($brief:literal)?, $help:literal;
    )*) => {
        &[$(Row {
            mode: ModeName::$mode,
            places: places!($places),
            keys: keys!($keys),
            shown: $shown,
            action: Action::$action,
            brief: concat!($($brief)?),
            help: $help,
        }),*]
    };
}

macro_rules! places {
    ([$($place:ident),*]) => { &[$($place),*] };
    ($named:ident) => { $named };
}

macro_rules! keys {
    ([$($key:expr),*]) => { Keys::These(&[$($key),*]) };
    ($kind:ident) => { Keys::$kind };
}

mod anywhere;
mod design;
mod go_list;
mod help;
mod kit;
mod line;
mod movement;
mod rack;
mod reading;
mod review;
mod typing_reading;
mod typing_words;
mod walk;

/// All rows. Within one mode and place the footer and the help show them in this order.
pub(super) const TABLE: [&[Row]; 13] = [
    walk::ROWS,
    reading::ROWS,
    design::ROWS,
    kit::ROWS,
    review::ROWS,
    rack::ROWS,
    movement::ROWS,
    line::ROWS,
    anywhere::ROWS,
    help::ROWS,
    typing_reading::ROWS,
    typing_words::ROWS,
    go_list::ROWS,
];
