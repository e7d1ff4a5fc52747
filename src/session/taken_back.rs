//! Acts taken back and done again: each with one key, a strike that the log keeps. A signature alone is
//! asked about, and what one stands for.

use super::act::Act;
use super::keys::{Action, Place};
use super::record::is_split;
use super::{Effect, Message, Session};
use crate::review;
use crate::site::{Cut, Decide, Do, Entry, EntryId, LineId, NodeId, Note, Ref, Void};
use jiff::Timestamp;

impl Session {
    /// The last act of the sitting before, so far as it is on the disk: `u` still takes it back.
    pub(super) fn take_up_acts(&mut self, ids: &[EntryId]) {
        let log = self.site.log();
        let known: Vec<&Entry> = ids.iter().filter_map(|id| log.get(id)).collect();
        let own = |entry: &&Entry| entry.by == self.opening.by && log.counts(&entry.id);
        if self.may_write()
            && known.len() == ids.len()
            && let Some(first) = known.first()
            && known.iter().all(own)
        {
            let act = Act::Entries {
                ids: ids.to_vec(),
                line: first.what.line().cloned(),
                what: self.title(first),
            };
            self.acts.push(act);
        }
    }

    /// Takes the last act back.
    pub(super) fn undo(&mut self, now: Timestamp) -> Vec<Effect> {
        if let Some(effects) = self.bring_back() {
            return effects;
        }
        if self.asks_to_undo() {
            return Vec::new();
        }
        match self.acts.pop() {
            None => {
                self.say("nothing of this sitting is left to take back");
                Vec::new()
            }
            Some(Act::Entries { ids, line, what }) if self.is_design(&ids) => {
                self.undo_design(Act::Entries { ids, line, what }, now)
            }
            Some(act) => {
                let Act::Entries { ids, line, what } = &act;
                let effects = self.send(now, Do::Void(Void { of: ids.clone() }), None);
                let first = ids.first().cloned();
                self.show_line_of(line.clone(), first.as_ref());
                self.message = Message {
                    text: format!("taken back: {what}"),
                    hint: "r does it again",
                    alarm: false,
                };
                // On the rack list one stands again on what was taken back.
                let said = match ids.first().and_then(|id| self.sent(id)) {
                    Some(entry) if self.place == Place::Review => match &entry.what {
                        Do::Decide(decide) => Some(decide.of.clone()),
                        _ => None,
                    },
                    _ => None,
                };
                if said.is_some() {
                    self.stand_on_item(said.as_ref());
                }
                let tick = match ids.first().and_then(|id| self.sent(id)) {
                    Some(entry) if self.place == Place::Rack => match &entry.what {
                        Do::Tick(tick) => Some(tick.clone()),
                        _ => None,
                    },
                    _ => None,
                };
                if let Some(tick) = tick {
                    self.stand_on_ticked(&tick);
                }
                // On a walk at the place of it.
                let node = match ids.first().and_then(|id| self.sent(id)) {
                    Some(entry) if self.place == Place::Walk => place_on_cable(&entry.what),
                    _ => None,
                };
                if let Some(node) = node {
                    self.walk_at = node;
                }
                let strike = self.pending.last().map(|pending| pending.entry.id.clone());
                self.acts.keep_undone(act, strike);
                effects
            }
        }
    }

    /// Does again what was taken back last.
    pub(super) fn redo(&mut self, now: Timestamp) -> Vec<Effect> {
        let Some(undone) = self.acts.pop_undone() else {
            self.say("nothing was taken back that could be done again");
            return Vec::new();
        };
        let Some(strike) = undone.strike else {
            return self.redo_design(undone.act, now);
        };
        let effects = self.send(now, Do::Void(Void { of: vec![strike] }), None);
        let Act::Entries { ids, line, what } = &undone.act;
        self.message = Message {
            text: format!("done again: {what}"),
            hint: "u takes it back",
            alarm: false,
        };
        let first = ids.first().cloned();
        self.show_line_of(line.clone(), first.as_ref());
        self.acts.push_again(undone.act);
        effects
    }

    /// Stands on the line of an act again: what is typed next is of the line that the message names. What was
    /// decided or noted of a line has it too, where lines are in sight.
    fn show_line_of(&mut self, line: Option<LineId>, first: Option<&EntryId>) {
        // One that is done again is struck until the disk has that.
        let entry = || self.site.log().get(first?).or_else(|| self.sent(first?));
        let said_of = || match &entry()?.what {
            Do::Decide(Decide { of, .. }) | Do::Note(Note { of, .. }) => match of {
                Ref::Line(line) if self.place == Place::Survey => Some(line.clone()),
                _ => None,
            },
            _ => None,
        };
        let line = line.or_else(said_of);
        if let Some(at) = line.and_then(|line| self.site.plan().line(&line)) {
            self.show_line(at);
        }
    }

    /// Whether `u` is to be pressed once more: a signature is not withdrawn by a stray key, that of an
    /// earlier sitting least of all, nor what one stands for.
    fn asks_to_undo(&mut self) -> bool {
        // A key that is held down or hammered has not read the question.
        if self.asked == Some(Action::Undo) && self.was_asked_just_now() {
            return true;
        }
        let on_top = self.acts.on_top();
        let log = self.site.log();
        let mut known = on_top.iter().filter_map(|id| log.get(id));
        let seal = known.find_map(|entry| match &entry.what {
            Do::Seal(seal) => Some((seal, entry)),
            _ => None,
        });
        let Some((seal, entry)) = seal else {
            return self.undoes_signed() && self.warns_first(Action::Undo);
        };
        let of = review::scope_words(&self.site, &seal.scope);
        let (name, at) = (&seal.name, self.day_and_clock(entry.at));
        let question =
            format!("this withdraws what {name} signed for {of}, {at}: u once more does it");
        self.asks_first(Action::Undo, question)
    }
}

/// The place on a line's cable where something was done; none at its rack.
fn place_on_cable(what: &Do) -> Option<NodeId> {
    match what {
        Do::Listen(listen) => Some(listen.at.clone()),
        Do::Read(read) => match read.cut.as_ref()? {
            Cut::Near(node) | Cut::Far(node) | Cut::Whole(node) => Some(node.clone()),
        },
        Do::Tick(tick) if is_split(&tick.item) => tick.of.iter().find_map(|of| match of {
            Ref::Node(node) => Some(node.clone()),
            _ => None,
        }),
        _ => None,
    }
}
