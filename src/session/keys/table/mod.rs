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
const ALL: &[Place] = &[
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
const TABLE: [&[Row]; 13] = [
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

/// Every row of the table. Within one mode and place no key stands twice.
pub fn table() -> impl Iterator<Item = &'static Row> {
    TABLE.into_iter().flatten()
}

/// What a key does in a mode and place; none where it does nothing.
#[must_use]
pub fn action(mode: ModeName, place: Place, key: Key) -> Option<Action> {
    rows(mode, place)
        .find(|row| row.answers(key))
        .map(|row| row.action)
}

/// The rows that hold in a mode and place, in the order of the table.
pub fn rows(mode: ModeName, place: Place) -> impl Iterator<Item = &'static Row> {
    table().filter(move |row| row.mode == mode && row.places.contains(&place))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::keys::footer;

    const MODES: [ModeName; 4] = [
        ModeName::Key,
        ModeName::Reading,
        ModeName::Text,
        ModeName::GoList,
    ];

    #[test]
    fn no_key_stands_twice_in_a_place() {
        let keys = (' '..='~').map(Char).chain([
            Enter,
            Esc,
            Tab,
            BackTab,
            Backspace,
            Key::Delete,
            Up,
            Down,
            Left,
            Right,
            Home,
            End,
            PageUp,
            PageDown,
            F1,
        ]);
        for key in keys {
            for mode in MODES {
                for place in ALL.iter().copied() {
                    let found: Vec<_> = rows(mode, place)
                        .filter(|row| !matches!(row.keys, Keys::Printable) && row.answers(key))
                        .map(|row| row.action)
                        .collect();
                    assert!(found.len() <= 1, "{mode:?} {place:?} {key:?}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn digits_points_commas_and_the_letters_of_a_figure_are_never_commands() {
        for c in "0123456789.,".chars() {
            assert_eq!(
                action(ModeName::Key, Survey, Char(c)),
                Some(Action::StartReading)
            );
        }
        for c in "kmx".chars() {
            assert_eq!(
                action(ModeName::Key, Survey, Char(c)),
                Some(Action::TakeUpLast)
            );
        }
        assert_eq!(action(ModeName::Key, Survey, Char('v')), None);
    }

    #[test]
    fn every_footer_fits_its_width_and_names_the_way_to_all_keys() {
        for width in [60, 80, 100, 160] {
            for place in ALL.iter().copied() {
                let line = footer(ModeName::Key, place, true, width);
                assert!(line.len() <= width, "{width}: {line:?}");
                assert!(line.ends_with("? keys"), "{line:?}");
            }
            for mode in [ModeName::Reading, ModeName::Text, ModeName::GoList] {
                assert!(footer(mode, Survey, true, width).len() <= width);
            }
        }
    }

    #[test]
    fn every_key_has_its_sentence_for_the_help() {
        for row in table() {
            assert!(
                !row.help.is_empty() && !row.shown.is_empty(),
                "{:?}",
                row.action
            );
        }
    }
}
