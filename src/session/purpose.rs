//! What words are typed for.

use super::design::Thing;
use super::mode::Draft;
use crate::site::{LineId, Ref};
use serde::{Deserialize, Serialize};

/// What words are typed for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Purpose {
    /// Finding a line by part of its label.
    Find,
    /// What was repaired on a line.
    Repair(LineId),
    /// Where to save, when the folder takes nothing any more.
    Elsewhere,
    /// Why an unread line is left for later.
    Later(LineId),
    /// A note on anything.
    Note(Ref),
    /// A note that is recorded with a reading.
    ReadingNote(Box<Draft>),
    /// Why an item of the rack list does not exist here: the item, and what it is for.
    NotHere(String, Vec<Ref>),
    /// Something new, and the item it is added at.
    Add(Thing, Ref),
    /// An item as it is to be.
    Change(Ref),
    /// Why an item is not there.
    Gone(Ref),
    /// What is tried out on a line.
    TryOut(LineId),
}

impl Purpose {
    /// The line that the words are for, where they are for one.
    #[must_use]
    pub const fn line(&self) -> Option<&LineId> {
        match self {
            Self::Repair(line)
            | Self::Later(line)
            | Self::TryOut(line)
            | Self::Note(Ref::Line(line)) => Some(line),
            Self::ReadingNote(draft) => Some(&draft.line),
            Self::Find
            | Self::Note(_)
            | Self::NotHere(..)
            | Self::Elsewhere
            | Self::Add(..)
            | Self::Change(_)
            | Self::Gone(_) => None,
        }
    }

    /// Whether the design is what is typed.
    #[must_use]
    pub const fn is_design(&self) -> bool {
        matches!(
            self,
            Self::Add(..) | Self::Change(_) | Self::Gone(_) | Self::TryOut(_)
        )
    }
}
