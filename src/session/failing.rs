//! When the outside fails: entries that the disk refuses, a site file that another hand changed, a
//! folder that is gone, a lock that becomes free. What is said, what is kept, what can be done.
//!
//! An entry that was refused stays on its line, marked, under its id, however often it is tried.

use super::act::Pending;
use super::keys::Action;
use super::mode::{Mode, Purpose, Words};
use super::view::{Line, Section, Tone, message_rows};
use super::{Access, Effect, Message, Session};
use crate::site::{Do, Entry, EntryId, Site, WriterId};

/// What the engineer wants done about the files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Join what an older version in the file's place lacks, and what closed journals hold.
    Join,
    /// Save in this folder or file, and go on there.
    Elsewhere(String),
    /// Write here: whoever did has closed.
    TakeOver,
}

/// What a copy in the folder holds that the site lacks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Which copy, how much, by whom.
    pub holds: String,
    /// That, and what can be done about it.
    pub told: String,
}

/// What the outside tells of the site's files.
#[derive(Clone, Debug)]
pub enum News {
    /// These entries can never be recorded as they are, and why.
    Unfit(Vec<(EntryId, String)>),
    /// Time to try again what the disk refused.
    Retry,
    /// Whoever writes here has recorded something: this is the site now.
    Fresh(Box<Site>),
    /// What was to be joined is joined: the site, and how many entries were new here.
    Joined(Box<Site>, usize),
    /// This opening writes now.
    Writes {
        /// What stands where it writes.
        site: Box<Site>,
        /// As whom; who wrote before goes on under the old name.
        writer: WriterId,
        /// All was saved in another place: what was recorded since in the old one goes there too.
        elsewhere: bool,
        /// What is said.
        words: String,
    },
    /// A wish that could not be met, and why.
    Refused(String),
}

/// What is remembered of an outage.
#[derive(Clone, Debug, Default)]
pub(super) struct Outage {
    /// Sent again by the clock: one more refusal is no news, and what stands on the message line is.
    quietly: Vec<EntryId>,
}

impl Session {
    /// Takes news of the files in.
    pub(super) fn hear(&mut self, news: News) -> Vec<Effect> {
        match news {
            News::Unfit(refused) => self.unfit(refused),
            News::Retry => {
                let again = self.take_refused();
                self.outage.quietly = again.iter().map(|entry| entry.id.clone()).collect();
                if !again.is_empty() {
                    return vec![Effect::Record(again)];
                }
            }
            News::Fresh(site) => {
                self.site = *site;
                self.redraw();
                self.look_at_seal();
            }
            News::Joined(site, new) => {
                self.site = *site;
                self.redraw();
                self.look_at_seal();
                self.offer(Vec::new());
                let s = if new == 1 { "y" } else { "ies" };
                self.say(&format!("joined: {new} entr{s} that lacked here"));
            }
            News::Writes {
                site,
                writer,
                elsewhere,
                words,
            } => return self.writes(*site, writer, elsewhere, &words),
            News::Refused(why) => {
                self.message = Message {
                    text: why,
                    hint: "",
                    alarm: true,
                };
            }
        }
        Vec::new()
    }

    /// What there is to say of the site at its opening: all of it where two rows hold that, else the first,
    /// and that there is more. The site's panel keeps all of it.
    pub(super) fn tell(&mut self, notices: Vec<String>) {
        self.say_all(&notices);
        self.notices = notices;
    }

    /// What copies hold: on the site's panel as long as it is so, on the message line where the last opening did
    /// not tell the very same.
    pub(super) fn offer(&mut self, copies: Vec<Offer>) {
        let told: Vec<String> = copies.iter().map(|it| it.told.clone()).collect();
        let is_new = |it: &&String| !self.offers_told.contains(*it);
        let new: Vec<String> = told.iter().filter(is_new).cloned().collect();
        if !new.is_empty() {
            let all: Vec<String> = self.notices.iter().cloned().chain(new).collect();
            self.say_all(&all);
        }
        let old = std::mem::take(&mut self.offered);
        self.notices
            .retain(|it| !old.iter().any(|old| old.told == *it));
        self.notices.extend(told.iter().cloned());
        self.offers_told = told;
        self.offered = copies;
    }

    fn say_all(&mut self, notices: &[String]) {
        let all = Message {
            text: notices.join("; "),
            ..Message::default()
        };
        let rows = message_rows(&all, self.size.0);
        let whole = !rows.iter().any(|row| row.text().contains('~'));
        self.message = match notices {
            [first, _, ..] if !whole => Message {
                text: first.clone(),
                hint: "more under g s",
                alarm: false,
            },
            _ => all,
        };
    }

    /// The same on the site's panel.
    pub(super) fn notices_section(&self, width: usize) -> Section {
        let mut section = Section::default();
        if !self.notices.is_empty() {
            section = Section::titled("told at the opening");
        }
        for words in &self.notices {
            section.words(" - ", words, width, Tone::Plain);
        }
        section
    }

    /// Entries that no disk would be asked to take: they are no acts, and are not tried again.
    fn unfit(&mut self, refused: Vec<(EntryId, String)>) {
        for (id, why) in refused {
            self.pending.retain(|pending| pending.entry.id != id);
            self.acts.forget(&id);
            self.message = Message {
                text: format!("NOT RECORDED, and it cannot be as it is: {why}"),
                hint: "",
                alarm: true,
            };
        }
    }

    /// From now on this opening writes, and what waits is sent again.
    fn writes(
        &mut self,
        site: Site,
        writer: WriterId,
        elsewhere: bool,
        words: &str,
    ) -> Vec<Effect> {
        let before = std::mem::replace(&mut self.site, site);
        if elsewhere {
            self.record_once_more(before.log().entries());
        }
        if self.opening.access != Access::Writes {
            // Entries of a writer are counted from 1; saved elsewhere the count goes on.
            self.opening.writer = writer;
            self.counter = 0;
        }
        self.opening.access = Access::Writes;
        self.redraw();
        self.say(words);
        let all: Vec<Entry> = self
            .pending
            .iter_mut()
            .map(|pending| {
                pending.refused = None;
                pending.entry.clone()
            })
            .collect();
        if all.is_empty() {
            Vec::new()
        } else {
            vec![Effect::Record(all)]
        }
    }

    /// What was recorded in the old place while it was being saved in the new one: it waits again,
    /// before all else, until the new place has it too.
    fn record_once_more(&mut self, entries: &[Entry]) {
        let mut log = self.site.log().clone();
        let lacking = entries.iter().filter(|entry| log.add((*entry).clone()));
        let again = lacking.map(|entry| Pending {
            entry: entry.clone(),
            refused: None,
        });
        self.pending.splice(0..0, again);
    }

    /// The disk refused these entries: they stay, marked, and are tried again.
    pub(super) fn refused(&mut self, ids: &[EntryId], why: &str) {
        for pending in self
            .pending
            .iter_mut()
            .filter(|pending| ids.contains(&pending.entry.id))
        {
            pending.refused = Some(why.to_owned());
        }
        let quiet = std::mem::take(&mut self.outage.quietly);
        if ids.iter().all(|id| quiet.contains(id)) {
            return;
        }
        // The reason in short: what to do must fit on the line; the panel has the whole.
        let short = why.split(':').next().unwrap_or(why);
        self.message = Message {
            text: format!("NOT RECORDED: {short}. Enter tries again, g e saves elsewhere"),
            hint: "",
            alarm: true,
        };
    }

    /// Whether something waits that the disk refused.
    #[must_use]
    pub fn any_refused(&self) -> bool {
        self.pending.iter().any(|it| it.refused.is_some())
    }

    /// Sends again what the disk refused.
    pub(super) fn send_again(&mut self) -> Vec<Effect> {
        let again = self.take_refused();
        if again.is_empty() {
            Vec::new()
        } else {
            vec![Effect::Record(again)]
        }
    }

    /// Refused entries, now on their way again.
    pub(super) fn take_refused(&mut self) -> Vec<Entry> {
        self.pending
            .iter_mut()
            .filter_map(|pending| pending.refused.take().map(|_| pending.entry.clone()))
            .collect()
    }

    /// Asks for what a key of the go-list stands for.
    pub(super) fn wish(&mut self, action: Action) -> Vec<Effect> {
        let writes = self.may_write();
        match action {
            Action::SaveElsewhere if writes => {
                self.mode = Mode::Text(Words::new(Purpose::Elsewhere));
            }
            Action::JoinOlder if writes && self.asks_to_join() => {}
            Action::JoinOlder if writes => return vec![Effect::Wish(Wish::Join)],
            Action::TakeOver if !writes => return vec![Effect::Wish(Wish::TakeOver)],
            Action::TakeOver => self.say("you write here already"),
            _ => self.say_read_only(),
        }
        Vec::new()
    }

    /// Whether it is asked first: what copies hold comes in for good, readings that take the place of
    /// these among it.
    fn asks_to_join(&mut self) -> bool {
        let copies: Vec<&str> = self.offered.iter().map(|it| it.holds.as_str()).collect();
        if copies.is_empty() {
            return false;
        }
        let seal = match self.review.intact.is_empty() {
            true => "",
            false => "what is signed may no longer stand; ",
        };
        let question = format!(
            "{}: {seal}no key takes a join back. g j once more joins",
            copies.join("; ")
        );
        self.asks_first(Action::JoinOlder, question)
    }

    /// Enter behind the folder to save to.
    pub(super) fn save_elsewhere(&mut self, to: &str) -> Vec<Effect> {
        let to = to.trim().to_owned();
        if to.is_empty() {
            self.say("a folder or a file to save to was wanted, such as /media/stick");
            return Vec::new();
        }
        self.mode = Mode::Key;
        self.say(&format!("saving to {to}"));
        vec![Effect::Wish(Wish::Elsewhere(to))]
    }

    /// What the disk refused of a line, and what can be done, before all else on its panel.
    pub(super) fn refused_part(&self, at: usize, width: usize) -> Option<Section> {
        let line = &self.site.plan().lines[at].id;
        let mut section = Section::default();
        for pending in &self.pending {
            let Some(why) = pending
                .refused
                .as_ref()
                .filter(|_| pending.entry.what.line() == Some(line))
            else {
                continue;
            };
            // What was read, without the load that follows from it: the page's number stands beside it.
            let title = self.title(&pending.entry);
            let what = match (&pending.entry.what, title.split_once(", ")) {
                (Do::Read(_), Some((read, _))) => read.replacen(" reads ", " ", 1),
                _ => title,
            };
            section.words(" ", &format!("NOT RECORDED  {what}"), width, Tone::Alarm);
            section.words("   ", why, width, Tone::Plain);
        }
        if section.0.is_empty() {
            return None;
        }
        let todo = "tried every 5 s; Enter tries now, g e saves elsewhere";
        section.words("   ", todo, width, Tone::Plain);
        section.push(Line::default());
        Some(section)
    }
}
