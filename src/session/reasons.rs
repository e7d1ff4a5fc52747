//! Reasons for many rows in few keys: after each the cursor goes on to the next row that waits, and the
//! last reason of its kind is proposed again.

use super::Session;
use super::mode::{Purpose, Words};
use super::review_takes::takes_a_word;
use super::reviewed::Row;
use crate::review::{owed, past_due};
use crate::site::{Decision, Ref};
use jiff::civil::Date;

/// Reasons of one kind are proposed again to their like.
const fn reason_kind(purpose: &Purpose) -> Option<u8> {
    match purpose {
        Purpose::Accept(_) => Some(0),
        Purpose::Snag(_) => Some(1),
        Purpose::Skip(_) | Purpose::Later(_) => Some(2),
        Purpose::NotHere(..) => Some(3),
        _ => None,
    }
}

/// A snag as it is typed, `why, owner, date`: commas may stand in the reason.
pub(super) fn snag(text: &str, today: Date) -> Result<(Decision, String), String> {
    let (why, owner, due) = owed(text).map_err(|why| why.to_string())?;
    if let Some(past) = past_due(due, today) {
        return Err(past);
    }
    let is = Decision::Snag {
        owner: owner.to_owned(),
        due: Some(due),
    };
    Ok((is, why.to_owned()))
}

impl Session {
    /// On to the next row that waits for a word; from the last one to what was passed over, and when
    /// none is left to the row that is signed.
    pub(super) fn next_open_row(&mut self, said: &Ref) {
        let list = &self.review;
        let waits = |row: &Row| {
            !row.gone
                && row.item.open
                && row.item.of != *said
                && self.review_sent(&row.item.of).is_none()
        };
        let after = (list.at..list.rows.len()).find(|at| waits(&list.rows[*at]));
        let next = after.or_else(|| list.rows.iter().position(waits));
        self.review.at = match next {
            Some(at) => at + 1,
            // What a word does not settle, such as a short that is not OFF, keeps the cursor.
            None if self.rows_left(said) => self.review.at,
            None => 0,
        };
        self.page = 0;
    }

    /// A word is not all that this thing wants.
    fn rows_left(&self, of: &Ref) -> bool {
        let at = match of {
            Ref::Line(line) => self.site.plan().line(line),
            _ => None,
        };
        let stops = at.is_some_and(|at| {
            let line = self.analyst.line(at);
            line.is_stop(self.analyst.limits()) && !line.off
        });
        let mut rows = self.review.rows.iter();
        stops
            || rows.any(|row| {
                !row.gone && row.item.open && row.item.of == *of && !takes_a_word(row.item.matter)
            })
    }

    /// Kept for the next thing that the same is said of.
    pub(super) fn keep_reason(&mut self, purpose: &Purpose, text: &str) {
        if let Some(kind) = reason_kind(purpose) {
            self.review.reasons.insert(kind, text.to_owned());
        }
    }

    /// The reason given last for such a thing.
    pub(super) fn last_reason(&self, purpose: &Purpose) -> Option<&String> {
        self.review.reasons.get(&reason_kind(purpose)?)
    }

    /// Tab while a reason is typed: the last one, to be changed or taken as it is.
    pub(super) fn propose_reason(&mut self, words: &mut Words) {
        match self.last_reason(&words.purpose).cloned() {
            Some(reason) => {
                words.caret = reason.chars().count();
                words.text = reason;
            }
            None => self.say("no reason was given yet in this sitting: type it"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_snag_is_read_from_its_end_so_that_commas_may_stand_in_the_reason() {
        let today = "2026-12-01".parse().unwrap();
        let (is, why) = snag("LS-3 wet, LS-4 too, N. N., 2026-12-01", today).unwrap();
        assert_eq!(why, "LS-3 wet, LS-4 too");
        let due = Some("2026-12-01".parse().unwrap());
        let owner = "N. N.".to_owned();
        assert_eq!(is, Decision::Snag { owner, due });
        for wrong in [
            "wet",
            "wet, N. N.",
            "wet, N. N., soon",
            ", N. N., 2026-12-01",
        ] {
            assert!(snag(wrong, today).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_snag_is_not_due_before_the_day_it_is_said() {
        let today = "2026-11-25".parse().unwrap();
        let past = snag("wet, N. N., 2026-11-24", today).unwrap_err();
        assert_eq!(
            past,
            "2026-11-24 is past: a date from 2026-11-25 on was wanted"
        );
        assert!(snag("wet, N. N., 2026-11-25", today).is_ok());
    }
}
