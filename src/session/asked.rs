//! What is asked once before it is done: the same key, pressed once more, does it. Any other key is a no.
//!
//! Never here: what is recorded and taken back with one key, which is nearly all there is.

use super::Session;
use super::keys::Action;

impl Session {
    /// Asks before a key does what it is pressed for; false where it was asked just now, by this key.
    pub(super) fn asks_first(&mut self, action: Action, question: String) -> bool {
        if self.asked.take() == Some(action) {
            return false;
        }
        self.asked = Some(action);
        self.alarm(question);
        true
    }
}
