//! A key that is held down comes again by itself: what it ticks is ticked once, since nobody did the rest.

use super::key::Key;
use super::keys::{Action, Place};
use super::{Effect, Session};
use jiff::{SignedDuration, Timestamp};

/// Keys of one kind that follow each other sooner than this come from a key held down: keyboards repeat
/// one 10 to 40 times a second, and a finger goes down again six or seven times at most. \[assumed\]
const REPEATS: SignedDuration = SignedDuration::from_millis(120);

impl Session {
    /// The time of a key, kept; whether it is Space so soon after the last one that no finger pressed it anew.
    pub(super) fn is_held(&mut self, key: Key, now: Timestamp) -> bool {
        self.now = Some(now);
        if key != Key::Char(' ') {
            self.space = None;
            return false;
        }
        let since = self.space.replace(now).map(|last| now.duration_since(last));
        since.is_some_and(|since| !since.is_negative() && since < REPEATS)
    }

    /// Whether it does what no repeat may: a row of the lists ticked, a loudspeaker called heard. Says so.
    pub(super) fn swallows(&mut self, action: Action) -> Option<Vec<Effect>> {
        let what = match (action, self.place) {
            (Action::Tick, Place::Rack) => "tick",
            (Action::Answer, Place::Walk) => "answer",
            _ => return None,
        };
        self.say(&format!("Space held: one {what} a press"));
        Some(Vec::new())
    }
}
