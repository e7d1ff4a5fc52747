//! A key that is held down repeats by itself. Only its first press ticks or answers, since nobody did what
//! the repeats would say.

use super::key::Key;
use super::keys::{Action, Place};
use super::{Effect, Session};
use crate::site::EntryId;
use jiff::{SignedDuration, Timestamp};

/// Keys of one kind that follow each other sooner than this come from a key held down. Windows of terminals repeat
/// one 25 to 40 times a second, a bare Linux console 10.9 times, every 92 ms; a fast finger goes down again every
/// 110 to 150 ms. All from memory, common practice, no source: it lies between the two. \[assumed\]
const REPEATS: SignedDuration = SignedDuration::from_millis(100);
/// A key held down comes again for the first time within this. \[assumed\]
const LONGEST_DELAY: SignedDuration = SignedDuration::from_millis(1200);
/// So many repeats tell a key held down from one that bounced.
const SURELY: usize = 2;

/// When Space came and what it did, to tell a key held down from one that is pressed.
#[derive(Clone, Debug, Default)]
pub(super) struct Held {
    /// When it came last.
    last: Option<Timestamp>,
    /// So many were swallowed since.
    swallowed: usize,
    /// The last one that was not came so soon behind another that it may be the first repeat.
    may_repeat: bool,
    /// What that one recorded: taken back once more repeats follow.
    did: Option<Vec<EntryId>>,
}

impl Session {
    /// The time of a key, kept; whether it is Space so soon after the last one that no finger pressed it anew.
    pub(super) fn is_held(&mut self, key: Key, now: Timestamp) -> bool {
        self.now = Some(now);
        if key != Key::Char(' ') {
            self.held = Held::default();
            return false;
        }
        let since = self
            .held
            .last
            .replace(now)
            .map(|last| now.duration_since(last));
        let within = |limit| since.is_some_and(|since| !since.is_negative() && since < limit);
        let held = within(REPEATS);
        if !held {
            self.held.swallowed = 0;
            self.held.may_repeat = within(LONGEST_DELAY);
            self.held.did = None;
        }
        held
    }

    /// What Space recorded, where it may have been a repeat; `before` is what was recorded last before it.
    pub(super) fn after_space(&mut self, held: bool, before: &[EntryId]) {
        let now = self.acts.on_top();
        if !held && self.held.may_repeat && now != before {
            self.held.did = Some(now);
        }
    }

    /// Whether it does what no repeat may: a row of the lists ticked, a loudspeaker called heard. Says so, and
    /// takes back what the first repeat did, which looked like a finger's.
    pub(super) fn swallows(&mut self, action: Action, now: Timestamp) -> Option<Vec<Effect>> {
        let what = match (action, self.place) {
            (Action::Tick, Place::Rack) => "tick",
            (Action::Answer, Place::Walk) => "answer",
            _ => return None,
        };
        self.held.swallowed += 1;
        let surely = self.held.swallowed >= SURELY;
        let did = self.held.did.take_if(|_| surely);
        let effects = match did {
            Some(ids) if self.acts.on_top() == ids => self.undo(now),
            _ => Vec::new(),
        };
        self.say(&format!("Space held: one {what} a press"));
        Some(effects)
    }
}
