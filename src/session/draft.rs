//! Typing a reading: from the first digit to the entry that is sent to the disk.

use super::keys::Place;
use super::mode::{Draft, DraftKind, Mode, Purpose, Reads as Typed, Words};
use super::{Effect, Message, Session};
use crate::quantity::{Hertz, Ohm, Volt};
use crate::site::{
    Cut, Do, Entry, EntryId, Instrument, InstrumentId, Insulate, LineId, Read, Reads, Repair,
    StateId,
};
use jiff::Timestamp;

impl Session {
    /// Begins a reading of the line under the cursor.
    pub(super) fn start(&mut self, kind: DraftKind, text: &str) {
        let Some(line) = self.cursor_line() else {
            self.say("a reading belongs to a line: go to one with Up and Down, or / to find it");
            return;
        };
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        self.message = Message::default();
        if kind == DraftKind::Insulation {
            self.say("cores joined, to earth, never core to core; devices off; discharge after");
        } else if self.nothing_read() {
            self.say("amplifier off, locked, line proved dead? a meter on a driven line dies");
        }
        // On a walk a figure is taken where one stands: recorded, not weighed.
        let at_place = matches!(self.place, Place::Walk | Place::Drawing) && self.walk_row() > 0;
        let cut = at_place.then(|| Cut::Whole(self.walk_at.clone()));
        self.mode = Mode::Reading(Draft {
            line,
            kind,
            text: text.to_owned(),
            corrects: None,
            cut,
        });
    }

    /// Takes the last reading up again as a correction, with one more letter behind it.
    pub(super) fn take_up_last(&mut self, letter: char) {
        // The line under the cursor if it was read, whenever that was; else the last reading of this
        // sitting, which the cursor has just left.
        let under = self.cursor_line().and_then(|line| {
            let at = self.site.plan().line(&line)?;
            self.analyst.line(at).taken.as_ref()?.entry.clone()
        });
        let last = under
            .as_ref()
            .or_else(|| self.acts.last_entry())
            .and_then(|id| self.sent(id))
            .and_then(|entry| match &entry.what {
                Do::Read(read) => Some((entry.id.clone(), read.clone())),
                _ => None,
            });
        let Some((id, read)) = last else {
            self.say("there is no reading of this sitting to put that behind: type digits first");
            return;
        };
        if let Some(at) = self.site.plan().line(&read.line) {
            self.show_line(at);
        }
        self.message = Message::default();
        self.mode = Mode::Reading(Draft {
            line: read.line,
            kind: if read.hz.get() == 0.0 {
                DraftKind::Dc
            } else {
                DraftKind::Impedance
            },
            text: format!("{}{letter}", read.text),
            corrects: Some(id),
            cut: None,
        });
    }

    /// An entry that counts, or is on its way to the disk.
    pub(super) fn sent(&self, id: &EntryId) -> Option<&Entry> {
        let log = self.site.log();
        let waiting = self.pending.iter().map(|pending| &pending.entry);
        log.get(id)
            .filter(|entry| log.counts(&entry.id))
            .or_else(|| waiting.into_iter().find(|entry| entry.id == *id))
    }

    /// The state that a line is in now: a repair begins the next one when it is typed, not when the
    /// disk has it.
    fn state(&self, line: &LineId) -> StateId {
        let waiting = || self.pending.iter().map(|pending| &pending.entry);
        let struck = |id: &EntryId| {
            waiting().any(|entry| matches!(&entry.what, Do::Void(void) if void.of.contains(id)))
        };
        waiting()
            .rfind(|entry| {
                matches!(&entry.what, Do::Repair(repair) if repair.line == *line)
                    && !struck(&entry.id)
            })
            .map_or_else(
                || self.site.history(line).state(),
                |repair| StateId(repair.id.0.clone()),
            )
    }

    /// Begins to say what was repaired on the line under the cursor.
    pub(super) fn start_repair(&mut self) {
        if !self.may_write() {
            self.say_read_only();
        } else if let Some(line) = self.cursor_line() {
            self.message = Message::default();
            self.mode = Mode::Text(Words::new(Purpose::Repair(line)));
        } else {
            self.say("a repair belongs to a line: go to one first");
        }
    }

    pub(super) fn say_read_only(&mut self) {
        if let super::Access::ReadsOnly(held_by) = &self.opening.access {
            self.message = Message {
                text: format!("not recorded, read only: {held_by}"),
                hint: "",
                alarm: true,
            };
        }
    }

    /// Enter on a draft: records it if it reads to something.
    pub(super) fn record_draft(&mut self, draft: &Draft, now: Timestamp) -> Vec<Effect> {
        let typed = match draft.read() {
            Ok(typed) => typed,
            Err(error) => {
                self.message = Message {
                    text: error.to_string(),
                    hint: "",
                    alarm: true,
                };
                return Vec::new();
            }
        };
        let Some(at) = self.site.plan().line(&draft.line) else {
            self.say("this line is no longer on the site: Esc drops the entry");
            return Vec::new();
        };
        let Some((instrument_id, instrument)) = self.instrument(draft.kind) else {
            self.say("no instrument of that kind on this site: record it with `linewright record`");
            return Vec::new();
        };
        let state = self.state(&draft.line);
        let (line, text) = (draft.line.clone(), draft.figure_text().to_owned());
        let what = match typed {
            Typed::Meter(value, step) => Do::Read(Read {
                line,
                state,
                value,
                step_ohm: Ohm(step.get().max(instrument.step_ohm.map_or(0.0, Ohm::get))),
                text,
                instrument: instrument_id,
                hz: match draft.kind {
                    DraftKind::Dc => Hertz(0.0),
                    _ => instrument.hz.unwrap_or_else(|| self.site.test_hz()),
                },
                phase_deg: None,
                cut: draft.cut.clone(),
                note: None,
            }),
            Typed::Insulation(value, leg, volts) => {
                let output = &self.site.plan().outputs[self.site.plan().lines[at].output];
                // IEC 60364-6: 250 V for SELV and PELV circuits, 500 V up to 500 V.
                let usual = Volt(if output.elv { 250.0 } else { 500.0 });
                let test_v = volts.unwrap_or(usual);
                Do::Insulate(Insulate {
                    line,
                    state,
                    value,
                    text,
                    instrument: instrument_id,
                    test_v,
                    leg,
                    after_s: None,
                    note: None,
                })
            }
        };
        let was_read = self.analyst.line(at).is_read();
        let effects = self.send(now, what, draft.corrects.clone());
        self.mode = Mode::Key;
        if draft.cut.is_some() || matches!(self.place, Place::Walk | Place::Drawing) {
            self.after_cut(draft);
            return effects;
        }
        // A first reading, or a correction, hands on to the next line that waits; reading a line
        // again is done to look at it.
        if draft.kind == DraftKind::Impedance && (!was_read || draft.corrects.is_some()) {
            match self.next_unread(Some(at)) {
                Some(next) => self.show_line(next),
                None => self.page = 0,
            }
        }
        effects
    }

    /// Enter on the words of a repair.
    pub(super) fn record_repair(
        &mut self,
        line: &LineId,
        what: &str,
        now: Timestamp,
    ) -> Vec<Effect> {
        if what.trim().is_empty() {
            self.say("say in a word what was done, such as: joint before LS-7 remade");
            return Vec::new();
        }
        let after = self.state(line);
        self.mode = Mode::Key;
        let what = what.trim().to_owned();
        self.send(
            now,
            Do::Repair(Repair {
                line: line.clone(),
                after,
                what,
                place: None,
                cause: None,
            }),
            None,
        )
    }

    /// The instrument that a draft is read with: the one used last for its kind, else the first.
    pub(super) fn instrument(&self, kind: DraftKind) -> Option<(InstrumentId, Instrument)> {
        let wanted = match kind {
            DraftKind::Impedance => Reads::Impedance,
            DraftKind::Dc => Reads::Dc,
            DraftKind::Insulation => Reads::Insulation,
        };
        let plan = self.site.plan();
        let of_kind = |id: &InstrumentId| plan.instrument(id).filter(|it| it.reads == wanted);
        let last = self
            .site
            .log()
            .entries()
            .iter()
            .rev()
            .find_map(|entry| match &entry.what {
                Do::Read(read) => of_kind(&read.instrument).map(|_| read.instrument.clone()),
                Do::Insulate(it) => of_kind(&it.instrument).map(|_| it.instrument.clone()),
                _ => None,
            });
        let id = last.or_else(|| {
            plan.instruments
                .iter()
                .find(|(_, it)| it.reads == wanted)
                .map(|(id, _)| id.clone())
        })?;
        let instrument = plan.instrument(&id)?.clone();
        Some((id, instrument))
    }
}
