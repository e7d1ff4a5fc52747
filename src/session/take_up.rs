//! A reading taken up again to be corrected: that of the line under the cursor, then its earlier ones,
//! or the last that was made. Which it is stands on the message line, and the same key takes up the next.

use super::keys::Place;
use super::mode::{Draft, DraftKind, Mode};
use super::{Message, Session};
use crate::quantity::{Value, show};
use crate::site::{Do, Entry, EntryId, LineId};
use std::collections::HashSet;

/// The key that is named where there are two.
const SWAPS: char = 'x';

impl Session {
    /// Takes a reading up again as a correction, with one more letter behind it: on the rack list the
    /// last that was made, elsewhere that of the line under the cursor, where it was read.
    pub(super) fn take_up_last(&mut self, letter: char) {
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        let (own, made) = (self.readings_of_line(), self.last_made());
        // On the rack list nothing stands for a line: the last that was made comes first there, else last.
        let mut all: Vec<EntryId> = match self.place {
            Place::Rack => made.into_iter().chain(own).collect(),
            _ => own.into_iter().chain(made).collect(),
        };
        let mut seen = HashSet::new();
        all.retain(|id| seen.insert(id.clone()));
        if all.is_empty() {
            self.say("there is no reading of this sitting to put that behind: type digits first");
            return;
        }
        let first = all.remove(0);
        self.acts.taken_up_from = None;
        self.acts.others = all;
        self.take_up(&first, letter);
    }

    /// The same key once more, before anything else was typed: the next reading, round to the first.
    pub(super) fn take_up_other(&mut self, draft: Draft) {
        if self.acts.others.is_empty() {
            self.mode = Mode::Reading(draft);
            self.say("there is no other reading to correct: Backspace, or Esc drops it");
            return;
        }
        let next = self.acts.others.remove(0);
        self.acts.others.extend(draft.corrects);
        self.take_up(&next, SWAPS);
    }

    /// Whether a draft is a reading as it was taken up, nothing typed behind it yet.
    pub(super) fn is_as_taken_up(&self, draft: &Draft) -> bool {
        let entry = draft.corrects.as_ref().and_then(|id| self.sent(id));
        entry
            .and_then(|entry| taken_up(entry, SWAPS))
            .is_some_and(|it| it.text == draft.text)
    }

    fn take_up(&mut self, id: &EntryId, letter: char) {
        let Some(entry) = self.sent(id).cloned() else {
            return;
        };
        let Some(draft) = taken_up(&entry, letter) else {
            return;
        };
        if self.place != Place::Rack
            && let Some(at) = self.site.plan().line(&draft.line)
        {
            // Dropped, it leaves the cursor where the key was pressed.
            let from = self.cursor.clone();
            self.show_line(at);
            if self.cursor != from {
                self.acts.taken_up_from.get_or_insert(from);
            }
        }
        let mut text = format!(
            "{} of {}",
            self.corrected_words(&entry),
            self.clock(entry.at)
        );
        let other = self.acts.others.first().and_then(|id| self.sent(id));
        if let Some(other) = other.filter(|_| letter == SWAPS) {
            text = format!("{text}; {SWAPS} again: {}", self.corrected_words(other));
        }
        // The letter stands behind the figure for a range that was left out; another figure is typed over it.
        let ranged = draft.text.ends_with(SWAPS);
        self.message = Message {
            text: format!("corrects {text}"),
            hint: if ranged {
                "type its range, 10 or 100; Backspace: retype"
            } else {
                ""
            },
            ..Message::default()
        };
        self.look_at_first_page();
        self.mode = Mode::Reading(draft);
    }

    /// `H-1 far side of LS-3 short`, `known resistor 398 ohm`.
    fn corrected_words(&self, entry: &Entry) -> String {
        match &entry.what {
            Do::Read(it) => {
                let label = self.label_of(&it.line);
                let cut = it
                    .cut
                    .as_ref()
                    .map(|cut| format!(" {}", self.cut_words(cut)));
                let kind = if it.is_dc() { " ohmmeter" } else { "" };
                let cut = cut.unwrap_or_default();
                format!("{label}{kind}{cut} {}", show::value(it.value))
            }
            Do::Check(it) => format!("known resistor {}", show::ohm(it.value)),
            _ => self.title(entry),
        }
    }

    /// Readings of the line under the cursor, in its state as it is: on a walk the last first, wherever it
    /// was taken; elsewhere the one at the rack that counts, then the others.
    fn readings_of_line(&self) -> Vec<EntryId> {
        let Some(line) = self.cursor_line() else {
            return Vec::new();
        };
        let stands = |entry: &&Entry| {
            matches!(&entry.what, Do::Read(read) if read.line == line)
                && !self.is_struck_ahead(&entry.id)
        };
        let waiting = self.pending.iter().map(|it| &it.entry).rev().filter(stands);
        let history = self.site.history(&line);
        let state = self.state(&line);
        let recorded = history.in_state(&self.site, &state).rev().filter(stands);
        let mut recorded: Vec<EntryId> = recorded.map(|it| it.id.clone()).collect();
        if !matches!(self.place, Place::Walk | Place::Drawing)
            && let Some(at) = self.site.plan().line(&line)
            && let Some(taken) = &self.analyst.line(at).taken
            && let Some(first) = recorded
                .iter()
                .position(|id| Some(id) == taken.entry.as_ref())
        {
            let first = recorded.remove(first);
            recorded.insert(0, first);
        }
        let waiting = waiting.map(|it| it.id.clone());
        waiting.chain(recorded).collect()
    }

    /// The reading made last in this sitting, of a line or of a known resistor.
    fn last_made(&self) -> Option<EntryId> {
        let made = |entry: &&Entry| {
            matches!(entry.what, Do::Read(_) | Do::Check(_)) && !self.is_struck_ahead(&entry.id)
        };
        let log = self.site.log();
        let mut own = self.of_this_sitting().rev().filter(made);
        let waits = |entry: &Entry| log.get(&entry.id).is_none();
        let last = own.find(|entry| waits(entry) || log.counts(&entry.id));
        last.map(|entry| entry.id.clone())
    }
}

/// A reading as a draft that corrects it; a letter stands behind a figure alone.
fn taken_up(entry: &Entry, letter: char) -> Option<Draft> {
    let (line, kind, figure, text) = match &entry.what {
        Do::Read(it) => {
            let kind = match it.is_dc() {
                true => DraftKind::Dc,
                false => DraftKind::Impedance,
            };
            let figure = matches!(it.value, Value::Ohm(_));
            (it.line.clone(), kind, figure, &it.text)
        }
        Do::Check(it) => (LineId::default(), DraftKind::Check, true, &it.text),
        _ => return None,
    };
    let text = match figure {
        true => format!("{text}{letter}"),
        false => text.clone(),
    };
    let mut draft = Draft::new(line, kind, &text);
    draft.corrects = Some(entry.id.clone());
    if let Do::Read(it) = &entry.what {
        draft.cut.clone_from(&it.cut);
        draft.note.clone_from(&it.note);
    }
    Some(draft)
}
