//! A question that joined copies left, answered in the review: what two engineers said differently is told by
//! number, and one of it is chosen.
//!
//! Never here: which is right; what stands to choose between.

use super::act::{Acts, New};
use super::mode::{Mode, Purpose, Words};
use super::{Effect, Session};
use crate::report::{self, Question};
use crate::review::{self, ANSWERED};
use crate::site::Ref;
use jiff::Timestamp;

impl Session {
    /// Enter on a question.
    pub(super) fn start_choice(&mut self, of: Ref) {
        if !self.may_write() {
            return self.say_read_only();
        }
        match report::question(&self.site, &of) {
            None => self.say("no question stands on it any more: g v asks again"),
            Some(it) if self.is_to_be_chosen(&it) => {
                let count = it.choices.len();
                self.mode = Mode::Text(Words::new(Purpose::Choose(of, stamps(&it.choices))));
                self.say(&format!(
                    "which of them stands, 1 to {count}; it stands until it is changed"
                ));
            }
            Some(it) => self.say(&it.text),
        }
    }

    /// Whether it is answered by a choice; else something is to be drawn otherwise.
    pub(super) fn is_to_be_chosen(&self, question: &Question) -> bool {
        let first = question.choices.first();
        let answer = first.map(|(stamp, _)| review::answer(&self.site, stamp));
        question.choices.len() > 1 && matches!(answer, Some(Ok(_)))
    }

    /// Enter behind the number.
    pub(super) fn record_choice(
        &mut self,
        of: &Ref,
        listed: &[String],
        text: &str,
        now: Timestamp,
    ) -> Vec<Effect> {
        let text = text.trim();
        let question = report::question(&self.site, of);
        let choices = question.map_or(Vec::new(), |it| it.choices);
        let now_listed = stamps(&choices);
        if !choices.is_empty() && now_listed != listed {
            // The number was of another list: another hand's version of the site came in since.
            self.mode = Mode::Text(Words::new(Purpose::Choose(of.clone(), now_listed)));
            let count = choices.len();
            return self.alarm(format!(
                "the list has changed since it was shown: read it again, then its number, 1 to {count}"
            ));
        }
        let at = text.parse::<usize>().ok();
        let chosen = at.and_then(|at| choices.get(at.checked_sub(1)?));
        let answer = chosen.map(|(stamp, _)| review::answer(&self.site, stamp));
        let Some(Ok(what)) = answer else {
            let count = choices.len();
            return self.alarm(match count {
                0 => "no question stands on it any more; Esc leaves it".to_owned(),
                _ => format!("found {text:?}, the number of one of them was wanted, 1 to {count}"),
            });
        };
        self.mode = Mode::Key;
        // No act: to take it back would not bring the question back, but let what was listed first stand.
        let why = Some(ANSWERED.to_owned());
        let new = New {
            why,
            ..New::of(what)
        };
        let entries = self.entries_of(now, vec![new]);
        self.say(&format!("number {text} of {} stands", choices.len()));
        self.next_open_row(of);
        // Else u would take back what was done before it, unasked.
        self.acts = Acts::default();
        self.on_their_way(entries)
    }
}

/// What makes one choice another's neighbour and not itself.
fn stamps(choices: &[(String, String)]) -> Vec<String> {
    choices.iter().map(|(stamp, _)| stamp.clone()).collect()
}
