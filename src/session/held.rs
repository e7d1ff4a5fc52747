//! A key that is held down repeats by itself. Only its first press ticks or answers, since nobody did what
//! the repeats would say.
//!
//! The first repeat comes as late as a second press would. So a Space that may be one waits for a tenth of a
//! second: it is carried out where no other follows it sooner than a finger could, with the time of its press.

use super::Session;
use super::event::Event;
use super::key::Key;
use super::keys::{self, Action, Place};
use jiff::{SignedDuration, Timestamp};

/// Keys of one kind that follow each other sooner than this come from a key held down. Windows of terminals repeat
/// one 25 to 40 times a second, a bare Linux console 10.9 times, every 92 ms; a fast finger goes down again every
/// 110 to 150 ms. All from memory, common practice, no source: it lies between the two. \[assumed\]
const REPEATS: SignedDuration = SignedDuration::from_millis(100);
/// A key held down comes again for the first time within this. \[assumed\]
const LONGEST_DELAY: SignedDuration = SignedDuration::from_millis(1200);

/// When Space came, to tell a key held down from one that is pressed.
#[derive(Clone, Debug, Default)]
pub(super) struct Held {
    /// When it came last.
    last: Option<Timestamp>,
    /// When the one came that is not carried out yet, since it may be the first repeat.
    waits: Option<Timestamp>,
}

/// Whether the later of the two came sooner than that after the other.
fn is_within(limit: SignedDuration, last: Timestamp, now: Timestamp) -> bool {
    let since = now.duration_since(last);
    !since.is_negative() && since < limit
}

impl Session {
    /// When a Space that waits is due: by then [`Event::Waited`] is to come.
    #[must_use]
    pub fn waits_until(&self) -> Option<Timestamp> {
        self.held.waits?.checked_add(REPEATS).ok()
    }

    /// The Space that waited and is to be carried out before this event: time showed that a finger pressed it,
    /// or another key comes.
    pub(super) fn due_before(&mut self, event: &Event) -> Option<Event> {
        let at = self.held.waits?;
        let is_due = match event {
            Event::Key(Key::Char(' '), now) | Event::Waited(now) => !is_within(REPEATS, at, *now),
            Event::Key(..) | Event::Paste(_) => true,
            _ => false,
        };
        is_due.then(|| {
            self.held.waits = None;
            Event::Key(Key::Char(' '), at)
        })
    }

    /// Whether it is a Space that waits, or that a key held down repeated: then nothing is done.
    pub(super) fn holds_back(&mut self, event: &Event) -> bool {
        let now = match event {
            Event::Key(Key::Char(' '), now) => *now,
            Event::Key(..) | Event::Paste(_) => {
                self.held = Held::default();
                return false;
            }
            _ => return false,
        };
        let last = self.held.last.replace(now);
        let within = |limit| last.is_some_and(|last| is_within(limit, last, now));
        // What no repeat may do: a row of the lists ticked, a loudspeaker called heard.
        let action = keys::action(self.mode_name(), self.place, Key::Char(' '));
        let what = match (action, self.place) {
            (Some(Action::Tick), Place::Rack) => "tick",
            (Some(Action::Answer), Place::Walk) => "answer",
            _ => return false,
        };
        if within(REPEATS) {
            self.held.waits = None;
            // A question that was asked stands.
            if self.asked.is_none() {
                self.say(&format!("Space held: one {what} a press"));
            }
            return true;
        }
        self.held.waits = within(LONGEST_DELAY).then_some(now);
        self.held.waits.is_some()
    }
}
