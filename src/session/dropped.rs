//! What Esc dropped: `u` brings it back as the very next key, once. Whatever else is done in between
//! lets it go, so that `u` never means something of three screens before.

use super::act::Dropped;
use super::keys::{Action, ModeName};
use super::mode::{Draft, Mode, Words};
use super::{Effect, Message, Session};

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
        self.drop_typed(Mode::Reading(draft), &what);
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
            text: format!("dropped, not recorded: {what}"),
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
        self.say("brought back what was dropped");
        Some(Vec::new())
    }
}
