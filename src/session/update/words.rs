//! What a key does while words are typed: a note, a design, a search, a reason.

use crate::session::key::Key;
use crate::session::keys::{Action, Place};
use crate::session::mode::{Draft, Mode, Purpose, Words};
use crate::session::{Effect, Message, Session};
use jiff::Timestamp;

/// The most characters that words have.
const LONGEST_WORDS: usize = 200;
/// The most characters of a design, which may be a paste of rows.
const LONGEST_DESIGN: usize = 4000;

/// The most characters that words typed for this purpose may have.
pub(in crate::session) fn longest(words: &Words) -> usize {
    if words.purpose.is_design() {
        LONGEST_DESIGN
    } else {
        LONGEST_WORDS
    }
}

impl Session {
    pub(super) fn act_on_words(
        &mut self,
        mut words: Words,
        action: Action,
        key: Key,
        now: Timestamp,
    ) -> Vec<Effect> {
        match (action, key) {
            (Action::Type, Key::Char(c)) if words.text.chars().count() < longest(&words) => {
                self.forget_alarm();
                self.begin_over(&mut words, c);
                words.insert(c)
            }
            (Action::Backspace, _) => {
                let gone = !words.backspace() && words.text.is_empty();
                if let (true, Purpose::ReadingNote(draft)) = (gone, &words.purpose) {
                    self.mode = Mode::Reading(draft.as_ref().clone());
                    return Vec::new();
                }
                if gone {
                    if words.purpose == Purpose::Find {
                        self.drop_find();
                    }
                    return Vec::new();
                }
            }
            (Action::NextPage | Action::PreviousPage, _) => {
                self.mode = Mode::Text(words);
                self.turn_page(action);
                return Vec::new();
            }
            (Action::CaretLeft, _) => words.step(-1),
            (Action::CaretRight, _) => words.step(1),
            (Action::CaretFirst, _) => words.step(isize::MIN),
            (Action::CaretLast, _) => words.step(isize::MAX),
            (Action::Help, Key::Char(c)) if !words.text.is_empty() => words.insert(c),
            (Action::Help, _) => self.open_help(),
            (Action::Up | Action::Down, _) if words.purpose.is_design() => {
                self.step_design(&mut words, action == Action::Down);
            }
            (Action::Up | Action::Down, _) if matches!(words.purpose, Purpose::Repair(_)) => {
                self.pick_found(&mut words, action == Action::Down);
            }
            (Action::Up | Action::Down, _) if words.purpose == Purpose::Scope => {
                self.step_part(&mut words, action == Action::Down);
            }
            (Action::Up | Action::Down, _)
                if words.purpose.is_review()
                    || matches!(words.purpose, Purpose::Later(_) | Purpose::NotHere(..)) =>
            {
                self.propose_reason(&mut words);
            }
            (Action::Up | Action::Down, _) if words.purpose == Purpose::Find => {
                self.next_match(action == Action::Down);
            }
            (Action::Escape, _) => {
                if let Purpose::ReadingNote(draft) = words.purpose {
                    // One step back: the words stay with the figure.
                    let note = Some(words.text).filter(|text| !text.trim().is_empty());
                    self.mode = Mode::Reading(Draft { note, ..*draft });
                    return Vec::new();
                }
                // What was told of the words goes with them.
                self.message = Message::default();
                if words.purpose == Purpose::Find {
                    self.drop_find();
                } else if matches!(words.purpose, Purpose::TryOut(_)) {
                    self.say("dropped what was tried out: nothing was changed");
                } else if words.purpose != Purpose::Scope
                    && !words.text.trim().is_empty()
                    && !self.is_untouched(&words)
                {
                    self.drop_words(words);
                }
                return Vec::new();
            }
            (Action::Enter, _) => {
                self.mode = Mode::Text(words.clone());
                return match &words.purpose {
                    Purpose::Find => {
                        self.mode = Mode::Key;
                        self.take_find();
                        Vec::new()
                    }
                    Purpose::Elsewhere => self.save_elsewhere(&words.text),
                    Purpose::Record => self.print(&words.text),
                    Purpose::Choose(of, listed) => self.record_choice(of, listed, &words.text, now),
                    design if design.is_design() => {
                        self.record_design(&words.purpose, &words.text, now)
                    }
                    review if review.is_review() => self.record_review(&words, now),
                    _ => self.record_words(&words, now),
                };
            }
            _ => {}
        }
        if words.purpose == Purpose::Find
            && matches!(action, Action::Type | Action::Help | Action::Backspace)
            && self.place != Place::Help
        {
            self.show_first_match(&words.text);
        }
        if matches!(words.purpose, Purpose::TryOut(_)) {
            // What it comes to stands on the first page.
            self.page = 0;
        }
        self.mode = Mode::Text(words);
        Vec::new()
    }
}
