//! Acts, which `u` takes back one by one, and entries that are not on the disk yet.

use super::keys::Place;
use super::mode::Mode;
use super::tree::RowId;
use crate::site::{Do, Entry, EntryId, LineId};

/// An entry that is not on the disk yet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pending {
    /// The entry.
    pub entry: Entry,
    /// Why the disk refused it; none while it is being written.
    pub refused: Option<String>,
}

/// An entry to be.
#[derive(Clone, Debug)]
pub(super) struct New {
    /// What was done.
    pub what: Do,
    /// The entry it takes the place of.
    pub corrects: Option<EntryId>,
    /// Why.
    pub why: Option<String>,
}

impl New {
    /// An entry that corrects nothing and gives no reason.
    pub const fn of(what: Do) -> Self {
        Self {
            what,
            corrects: None,
            why: None,
        }
    }
}

/// Something that `u` takes back.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Act {
    /// Entries recorded together, and the line they were for.
    Entries {
        /// Their ids.
        ids: Vec<EntryId>,
        /// The line.
        line: Option<LineId>,
        /// What they were, for the message.
        what: String,
    },
}

/// What `u` brings back as the very next key, and only then.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) enum Dropped {
    /// Nothing.
    #[default]
    Nothing,
    /// What was typed, and the place it was typed in.
    Typed(Box<Mode>, Place),
    /// It was brought back: dropped once more it is gone.
    BroughtBack,
}

impl Dropped {
    /// Keeps what was dropped; false where that was brought back before, and is gone now.
    pub fn keep(&mut self, typed: Mode, place: Place) -> bool {
        let once = *self != Self::BroughtBack;
        *self = match once {
            true => Self::Typed(Box::new(typed), place),
            false => Self::Nothing,
        };
        once
    }
}

/// Acts of this opening, and those that were taken back.
#[derive(Clone, Debug, Default)]
pub(super) struct Acts {
    done: Vec<Act>,
    undone: Vec<Undone>,
    /// What was dropped last.
    pub dropped: Dropped,
    /// What was dropped was brought back by the key before.
    pub just_back: bool,
    /// The readings that the key which took one up takes up next, pressed once more and again.
    pub others: Vec<EntryId>,
    /// Where the cursor stood when a reading of another line was taken up.
    pub taken_up_from: Option<RowId>,
}

/// An act taken back, with the entry that took it back.
#[derive(Clone, Debug)]
pub(super) struct Undone {
    /// The act.
    pub act: Act,
    /// The strike, where entries were struck.
    pub strike: Option<EntryId>,
}

impl Acts {
    /// A new act: what was taken back before can no longer be done again.
    pub fn push(&mut self, act: Act) {
        self.done.push(act);
        self.undone.clear();
    }

    /// An entry that will never be recorded is no part of an act. An act that it was to strike
    /// stands, and can be taken back again.
    pub fn forget(&mut self, id: &EntryId) {
        self.done.retain_mut(|Act::Entries { ids, .. }| {
            ids.retain(|it| it != id);
            !ids.is_empty()
        });
        let struck = |undone: &Undone| undone.strike.as_ref() == Some(id);
        if let Some(at) = self.undone.iter().position(struck) {
            self.done.push(self.undone.remove(at).act);
        }
    }

    /// Ids of the entries of the act on top: what a later sitting may still take back.
    pub fn on_top(&self) -> Vec<EntryId> {
        let last = self.done.last();
        last.map_or_else(Vec::new, |Act::Entries { ids, .. }| ids.clone())
    }

    /// What the act was that this entry belongs to.
    pub fn title_of(&self, id: &EntryId) -> Option<&str> {
        self.done.iter().rev().find_map(|act| match act {
            Act::Entries { ids, what, .. } if ids.contains(id) => Some(what.as_str()),
            _ => None,
        })
    }

    /// The last act, to be taken back.
    pub fn pop(&mut self) -> Option<Act> {
        self.done.pop()
    }

    /// Keeps an act that was taken back.
    pub fn keep_undone(&mut self, act: Act, strike: Option<EntryId>) {
        self.undone.push(Undone { act, strike });
    }

    /// The act taken back last.
    pub fn pop_undone(&mut self) -> Option<Undone> {
        self.undone.pop()
    }

    /// An act done again: others that were taken back stay so.
    pub fn push_again(&mut self, act: Act) {
        self.done.push(act);
    }
}
