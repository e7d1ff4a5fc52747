//! One row of the key table.

use super::names::{Action, ModeName, Place};
use crate::session::key::Key;

/// The keys that one row of the table answers to.
#[derive(Clone, Copy, Debug)]
pub enum Keys {
    /// These keys.
    These(&'static [Key]),
    /// Any digit, point or comma.
    Digits,
    /// Any character that can be printed.
    Printable,
}

/// One row of the key table.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The mode it holds in.
    pub mode: ModeName,
    /// The places it holds in.
    pub places: &'static [Place],
    /// The keys.
    pub keys: Keys,
    /// How the keys are written on the screen.
    pub shown: &'static str,
    /// What they do.
    pub action: Action,
    /// The footer's word; empty where the footer leaves it to the help.
    pub brief: &'static str,
    /// The help's sentence.
    pub help: &'static str,
}

impl Row {
    /// Whether the row answers to this key.
    pub(super) fn answers(&self, key: Key) -> bool {
        match self.keys {
            Keys::These(keys) => keys.contains(&key),
            Keys::Digits => {
                matches!(key, Key::Char(c) if c.is_ascii_digit() || c == '.' || c == ',')
            }
            Keys::Printable => matches!(key, Key::Char(c) if !c.is_control()),
        }
    }

    /// Whether it is a letter of a reading, which stands beside what is typed as far as there is room.
    pub(super) fn is_letter(&self) -> bool {
        self.mode == ModeName::Reading && self.shown.starts_with(|c: char| c.is_ascii_lowercase())
    }
}
