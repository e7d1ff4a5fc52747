//! The one key table: mode and place, key, action, hint. Footer, help and dispatch all read it.
//!
//! To add a key: its action in [`Action`], a row in the file of its place under `table/`, and its arm in
//! `update/`.
//!
//! Never here: what an action does to the session.

mod footer;
mod names;
mod row;
mod table;

pub use footer::{footer, letters, reading_footer};
pub use names::{Action, ModeName, Place};
pub use row::{Keys, Row};

use super::key::Key;

/// Every row of the table. Within one mode and place no key stands twice.
pub fn table() -> impl Iterator<Item = &'static Row> {
    table::TABLE.into_iter().flatten()
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
    use super::table::ALL;
    use super::*;
    use Key::{
        BackTab, Backspace, Char, Down, End, Enter, Esc, F1, Home, Left, PageDown, PageUp, Right,
        Tab, Up,
    };
    use Place::Survey;

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
