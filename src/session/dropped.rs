//! What Esc dropped: `u` brings it back as the very next key, once. Whatever else is done in between
//! lets it go, so that `u` never means something of three screens before.

use super::act::Dropped;
use super::keys::{Action, ModeName};
use super::mode::{Draft, Mode, Words};
use super::{Effect, Message, Session};
use jiff::Timestamp;

/// Said of what Esc leaves.
const DROPPED: &str = "dropped, not recorded: ";
/// What can be done about a drop, on the message line.
const HINT: &str = "u brings it back";

impl Session {
    /// A reading that Esc leaves. A draft of nothing is no loss.
    pub(super) fn drop_draft(&mut self, draft: Draft) {
        self.page_back();
        if let Some(from) = self.acts.taken_up_from.take()
            && draft.corrects.is_some()
            && self.row_at(&from).is_some()
        {
            self.cursor = from;
        }
        if draft.text.trim().is_empty() && draft.note.is_none() && draft.more.is_empty() {
            self.forget_alarm();
            return;
        }
        let more = match draft.more.len() {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        let what = format!("{}{more}", draft.text);
        // What stands open stays so, and hands may be on it.
        let open = draft.is_of_a_side().then(|| {
            let at = self.site.plan().line(&draft.line)?;
            self.open_split_ahead(at)
        });
        let open = open.flatten().map(|node| self.node_label(&node));
        self.drop_typed(Mode::Reading(draft), &what);
        if let Some(place) = open {
            let open = format!("; still OPEN before {place}: b when closed");
            self.message.text.push_str(&open);
        }
    }

    /// A new entry is begun: that another was dropped before it is no caution of this one.
    pub(super) fn forget_dropped(&mut self) {
        if self.message.text.starts_with(DROPPED) {
            self.message = Message::default();
        }
    }

    /// Words that Esc leaves.
    pub(super) fn drop_words(&mut self, words: Words) {
        let what = words.text.clone();
        self.drop_typed(Mode::Text(words), &what);
    }

    fn drop_typed(&mut self, typed: Mode, what: &str) {
        let place = self.stands_in();
        let back = self.acts.dropped.keep(typed, place);
        self.message = Message {
            text: format!("{DROPPED}{what}"),
            hint: if back { HINT } else { "" },
            alarm: false,
        };
    }

    /// A command is about to be done: all but a look at the panel, and Esc held down, lets go what was
    /// dropped.
    pub(super) fn let_go(&mut self, action: Option<Action>) {
        if self.mode_name() != ModeName::Key {
            return;
        }
        let looks = matches!(
            action,
            Some(Action::NextPage | Action::PreviousPage | Action::Escape)
        );
        let typed = matches!(self.acts.dropped, Dropped::Typed(..));
        if typed && (looks || action == Some(Action::Undo)) {
            return;
        }
        self.acts.dropped = Dropped::Nothing;
        if self.message.hint == HINT {
            self.message.hint = "";
        }
    }

    /// What was dropped by the key before, typed again where it was; none where nothing was.
    pub(super) fn bring_back(&mut self) -> Option<Vec<Effect>> {
        let Dropped::Typed(typed, place) = std::mem::take(&mut self.acts.dropped) else {
            return None;
        };
        self.acts.dropped = Dropped::BroughtBack;
        self.place = place;
        let line = match &*typed {
            Mode::Reading(draft) => Some(&draft.line),
            Mode::Text(words) => words.purpose.line(),
            Mode::Key | Mode::GoList => None,
        };
        if let Some(at) = line.and_then(|line| self.site.plan().line(line)) {
            self.show_line(at);
        }
        self.mode = *typed;
        // The caution it was begun with is as true as it was then.
        let caution = match &self.mode {
            Mode::Reading(draft) if draft.is_of_a_side() => {
                ". Hands clear? no tone or test while hands are on it".to_owned()
            }
            Mode::Reading(draft) => self.caution_of_draft(draft),
            _ => String::new(),
        };
        self.say(&match caution.is_empty() {
            true => {
                "brought back what was dropped; u again: what was recorded before it".to_owned()
            }
            false => format!("brought back{caution}"),
        });
        self.acts.just_back = true;
        Some(Vec::new())
    }

    /// `u` as the very next key after what was dropped was brought back: it is dropped as it was, and the act
    /// before it is taken back.
    pub(super) fn undo_past_dropped(&mut self, now: Timestamp) -> Vec<Effect> {
        let typed = std::mem::replace(&mut self.mode, Mode::Key);
        let typed = match typed {
            Mode::Reading(draft) => draft.text,
            Mode::Text(words) => words.text,
            Mode::Key | Mode::GoList => String::new(),
        };
        self.acts.dropped = Dropped::Nothing;
        self.page_back();
        let effects = self.undo(now);
        if !self.message.alarm {
            self.message.text = format!("dropped {typed}; {}", self.message.text);
        }
        effects
    }
}
