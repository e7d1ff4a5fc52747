//! Words that are being typed: what they are for, and where the caret stands in them.

use super::design::Thing;
use super::mode::Draft;
use crate::site::{LineId, NodeId, Ref};
use serde::{Deserialize, Serialize};

/// Words being typed, and for what.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    /// For what.
    pub purpose: Purpose,
    /// As typed.
    pub text: String,
    /// Characters before the caret.
    pub caret: usize,
    /// What was found where, picked from the suspects: of a repair alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Found>,
}

/// A fault that a repair mended, as the engineer picked it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Found {
    /// The fault's word.
    pub cause: String,
    /// Where it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<NodeId>,
}

/// What words are typed for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Purpose {
    /// Finding a line by part of its label.
    Find,
    /// What was repaired on a line.
    Repair(LineId),
    /// What file the hand-over record goes to.
    Record,
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
    /// Why a flagged thing is accepted as it is.
    Accept(Ref),
    /// Why a thing is left open, who sees to it, by when.
    Snag(Ref),
    /// Why an unread line, or what was not listened to, is left for later.
    Skip(Ref),
    /// Which of the things that two engineers said differently stands, by its number; the stamps of what was
    /// listed.
    Choose(Ref, Vec<String>),
    /// What the review is of, and what is signed for.
    Scope,
    /// Name and role of whoever signs.
    Sign,
}

impl Purpose {
    /// The line that the words are for, where they are for one.
    #[must_use]
    pub const fn line(&self) -> Option<&LineId> {
        match self {
            Self::Repair(line)
            | Self::Later(line)
            | Self::TryOut(line)
            | Self::Note(Ref::Line(line))
            | Self::Accept(Ref::Line(line))
            | Self::Snag(Ref::Line(line))
            | Self::Skip(Ref::Line(line)) => Some(line),
            Self::ReadingNote(draft) => Some(&draft.line),
            Self::Find
            | Self::Note(_)
            | Self::NotHere(..)
            | Self::Elsewhere
            | Self::Record
            | Self::Add(..)
            | Self::Change(_)
            | Self::Gone(_)
            | Self::Accept(_)
            | Self::Snag(_)
            | Self::Skip(_)
            | Self::Choose(..)
            | Self::Scope
            | Self::Sign => None,
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

impl Purpose {
    /// Whether it is said in the review.
    #[must_use]
    pub const fn is_review(&self) -> bool {
        matches!(
            self,
            Self::Accept(_) | Self::Snag(_) | Self::Skip(_) | Self::Scope | Self::Sign
        )
    }
}

impl Words {
    /// No words yet, for this purpose.
    #[must_use]
    pub const fn new(purpose: Purpose) -> Self {
        Self {
            purpose,
            text: String::new(),
            caret: 0,
            found: None,
        }
    }

    fn byte(&self) -> usize {
        self.text
            .char_indices()
            .nth(self.caret)
            .map_or(self.text.len(), |(at, _)| at)
    }

    /// A character at the caret.
    pub fn insert(&mut self, c: char) {
        let at = self.byte();
        self.text.insert(at, c);
        self.caret += 1;
    }

    /// The character before the caret gone; false when there is none.
    pub fn backspace(&mut self) -> bool {
        if self.caret == 0 {
            return false;
        }
        self.caret -= 1;
        let at = self.byte();
        self.text.remove(at);
        true
    }

    /// The caret by some characters, kept within the text.
    pub fn step(&mut self, by: isize) {
        self.caret = self
            .caret
            .saturating_add_signed(by)
            .min(self.text.chars().count());
    }
}
