//! What is signed and stands as it was signed: said before it is changed, and when it was.

use super::Session;
use super::keys::{Action, Place};
use super::mode::{DraftKind, Mode, Purpose};
use crate::review;
use crate::site::{Do, Entry, Ref, in_order};

impl Session {
    /// Looks whether the last signature stands; what broke it first, where something did.
    ///
    /// Digests of a whole site take a while on a large one, so only a site that was signed pays, and
    /// only where something may have changed it.
    pub(super) fn look_at_seal(&mut self) -> Option<Ref> {
        let log = self.site.log();
        let signed = log
            .entries()
            .iter()
            .any(|entry| matches!(entry.what, Do::Seal(_)) && log.counts(&entry.id));
        if !signed {
            self.review.intact = false;
            return None;
        }
        let seals = review::seals(&self.site);
        let mut stand = seals.iter().filter(|it| log.counts(&it.entry.id));
        let last = stand.next_back();
        let broken = last
            .and_then(|it| it.breaks.first())
            .map(|it| it.of.clone());
        let intact = last.is_some() && broken.is_none();
        self.review.intact = intact;
        broken
    }

    /// After entries came: whether they broke a seal that stood, in words for the message.
    pub(super) fn seal_after(&mut self, whats: &[Do]) -> Option<String> {
        let was = self.review.intact;
        let again = |what: &Do| matches!(what, Do::Seal(_) | Do::Void(_) | Do::Edit(_));
        if !was && !whats.iter().any(again) {
            return None;
        }
        let of = self.look_at_seal().filter(|_| was)?;
        // The thing that was recorded of, where it is among what changed.
        let line = whats.iter().find_map(Do::line);
        Some(match line {
            Some(line) => format!("seal broken: {}", self.label_of(line)),
            None => format!("seal broken: {}", review::label_of(&self.site, &of)),
        })
    }

    /// What would be recorded next is about something signed. A note that comes later is no part of
    /// what was.
    pub(super) fn breaks_a_seal(&self) -> bool {
        self.review.intact
            && match &self.mode {
                Mode::Reading(draft) => draft.kind != DraftKind::Check,
                Mode::Text(words) => !matches!(
                    words.purpose,
                    Purpose::Find | Purpose::Elsewhere | Purpose::Sign | Purpose::Note(_)
                ),
                // One key answers, or ticks.
                Mode::Key => matches!(self.place, Place::Walk | Place::Rack),
                Mode::GoList => false,
            }
    }

    /// Whether a key that changes something at once would break a seal: it says so first, and does it
    /// when it is pressed again.
    pub(super) fn warns_first(&mut self, action: Action) -> bool {
        if !self.review.intact || self.review.warned.take() == Some(action) {
            return false;
        }
        self.review.warned = Some(action);
        self.alarm("signed: this breaks the seal. The same key once more does it".to_owned());
        true
    }

    /// Whether what `u` takes back was there when it was signed; the signature itself is withdrawn.
    pub(super) fn undoes_signed(&self) -> bool {
        let entries = self.acts.on_top();
        let log = self.site.log();
        let is_seal = |entry: &Entry| matches!(entry.what, Do::Seal(_));
        let seal = log.entries().iter().rfind(|it| is_seal(it));
        let before = |entry: &Entry| {
            !is_seal(entry) && seal.is_some_and(|seal| in_order(entry, seal).is_lt())
        };
        let mut known = entries.iter().filter_map(|id| log.get(id));
        known.any(before)
    }
}
