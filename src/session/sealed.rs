//! What is signed and stands as it was signed: said before it is changed, and when it was.

use super::Session;
use super::keys::Place;
use super::mode::{DraftKind, Mode, Purpose};
use crate::review;
use crate::site::{Do, Ref};

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

    /// What would be recorded next is about something signed.
    pub(super) fn breaks_a_seal(&self) -> bool {
        self.review.intact
            && match &self.mode {
                Mode::Reading(draft) => draft.kind != DraftKind::Check,
                Mode::Text(words) => !matches!(
                    words.purpose,
                    Purpose::Find | Purpose::Elsewhere | Purpose::TryOut(_) | Purpose::Sign
                ),
                // One key answers, or ticks.
                Mode::Key => matches!(self.place, Place::Walk | Place::Rack),
                Mode::GoList => false,
            }
    }
}
