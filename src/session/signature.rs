//! The signature: the one thing that is asked, by a name that is typed. It seals what was measured and
//! decided; it says of nothing that it is safe.

use super::mode::{Mode, Purpose, Words};
use super::{Effect, Message, Session};
use crate::review::{self, Signing};
use crate::site::{Do, whole_second};
use jiff::Timestamp;

/// What the screen says while the digests are taken.
pub(super) const SIGNING: &str = "signing ... keys typed now are not taken";

/// Name and role as they are typed.
fn name_and_role(text: &str) -> Option<(String, String)> {
    let (name, role) = text.split_once(',')?;
    let (name, role) = (name.trim(), role.trim());
    (!name.is_empty() && !role.is_empty()).then(|| (name.to_owned(), role.to_owned()))
}

impl Session {
    pub(super) fn start_signature(&mut self) {
        if !self.may_write() {
            return self.say_read_only();
        }
        if self.review.in_the_way() > 0 {
            return self.refuse_to_sign(self.review.in_the_way());
        }
        self.mode = Mode::Text(Words::new(Purpose::Sign));
        let whose = match &self.review.part {
            None => String::new(),
            Some(_) => format!("for {} alone: ", self.signed_for()),
        };
        self.say(&format!(
            "{whose}name and role, such as: N. N., commissioning engineer"
        ));
    }

    fn refuse_to_sign(&mut self, count: usize) {
        let mut rows = self.review.rows.iter();
        let worst = rows.find(|row| !row.gone && row.item.open);
        let worst = worst.map_or_else(String::new, |row| format!(", first {}", row.item.label));
        let stand = if count == 1 { "stands" } else { "stand" };
        let whose = self.signed_for();
        self.alarm(format!(
            "not signed: {count} {stand} in the way of {whose}{worst}"
        ));
        if self.review.part.is_none() {
            self.message.hint = "v signs a part";
        }
    }

    /// Signs for what the review is of, with figures at rest.
    pub(super) fn sign(&mut self, text: &str, now: Timestamp) -> Vec<Effect> {
        let Some((name, role)) = name_and_role(text) else {
            let text = "name, comma, role were wanted, such as: N. N., commissioning engineer";
            return self.alarm(text.to_owned());
        };
        if !self.pending.is_empty() {
            let count = self.pending.len();
            return self.alarm(format!("not signed: {count} not on the disk yet"));
        }
        let at = whole_second(now);
        let mut entries = self.site.log().entries().iter();
        if entries.any(|entry| entry.at.as_second() == at.as_second()) {
            let text = "not yet signed: the last entry is of this very second; Enter once more";
            return self.alarm(text.to_owned());
        }
        self.review.signing = Some(Signing {
            scope: self.scope(),
            name,
            role,
            at,
            by: self.opening.by.clone(),
        });
        self.mode = Mode::Key;
        self.message = Message {
            text: SIGNING.to_owned(),
            ..Message::default()
        };
        Vec::new()
    }

    /// Digests of a large site take seconds: the screen says so first, and what is typed in them is no
    /// command.
    #[must_use]
    pub const fn is_signing(&self) -> bool {
        self.review.signing.is_some()
    }

    /// The signature itself, as soon as the screen has said that it begins; what is at hand then is
    /// what is signed.
    pub(super) fn sign_now(&mut self) -> Vec<Effect> {
        let Some(signing) = self.review.signing.take() else {
            return Vec::new();
        };
        let now = signing.at;
        self.analyst.settle(&self.site, None);
        match review::seal(&self.site, &self.analyst, &signing) {
            Ok(seal) => self.send(now, Do::Seal(seal), None),
            Err(open) => {
                self.look_again();
                self.refuse_to_sign(open.len());
                Vec::new()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_signature_wants_a_name_and_a_role() {
        let wanted = Some(("N. N.".to_owned(), "engineer, acoustics".to_owned()));
        assert_eq!(name_and_role(" N. N., engineer, acoustics"), wanted);
        for wrong in ["N. N.", "N. N.,", ", engineer", ""] {
            assert_eq!(name_and_role(wrong), None, "{wrong}");
        }
    }
}
