//! Typing a reading: from the first digit to the entry that is sent to the disk.

use super::act::{Act, Pending};
use super::mode::{Draft, DraftKind, Mode, Purpose, Reads as Typed, Words};
use super::{Effect, Message, Session};
use crate::quantity::{Hertz, Ohm, Volt, show};
use crate::site::{
    Do, Entry, EntryId, Instrument, InstrumentId, Insulate, LineId, Read, Reads, Repair, Void,
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
        } else if self.counter == 0 {
            self.say("amplifier off, locked, line proved dead? a meter on a driven line dies");
        }
        self.mode = Mode::Reading(Draft {
            line,
            kind,
            text: text.to_owned(),
            corrects: None,
        });
    }

    /// Takes the last reading up again as a correction, with one more letter behind it.
    pub(super) fn take_up_last(&mut self, letter: char) {
        let last = self
            .acts
            .last_entry()
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
        });
    }

    /// An entry that counts, or is on its way to the disk.
    fn sent(&self, id: &EntryId) -> Option<&Entry> {
        let log = self.site.log();
        let waiting = self.pending.iter().map(|pending| &pending.entry);
        log.get(id)
            .filter(|entry| log.counts(&entry.id))
            .or_else(|| waiting.into_iter().find(|entry| entry.id == *id))
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

    fn say_read_only(&mut self) {
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
        let state = self.site.history(&draft.line).state();
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
                cut: None,
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
        let after = self.site.history(line).state();
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

    /// Sends an entry to the disk. It counts in no figure before the disk has it; `u` and a
    /// multiplier typed ahead of the disk mean it all the same.
    pub(super) fn send(
        &mut self,
        at: Timestamp,
        what: Do,
        corrects: Option<EntryId>,
    ) -> Vec<Effect> {
        self.counter += 1;
        let id = EntryId(format!("{}-{}", self.opening.writer, self.counter));
        // Whole seconds: what stands in the file is what the screen shows.
        let at = Timestamp::from_second(at.as_second()).unwrap_or(at);
        let entry = Entry {
            at,
            id,
            by: self.opening.by.clone(),
            what,
            act: None,
            row: None,
            corrects,
            why: None,
        };
        self.message = Message {
            text: format!("being written: {}", self.title(&entry)),
            ..Message::default()
        };
        if !matches!(entry.what, Do::Void(_)) {
            self.acts.push(Act::Entries {
                ids: vec![entry.id.clone()],
                line: entry.what.line().cloned(),
                what: self.title(&entry),
            });
        }
        self.pending.push(Pending {
            entry: entry.clone(),
            refused: None,
        });
        vec![Effect::Record(vec![entry])]
    }

    /// The disk has these entries: now they count.
    pub(super) fn recorded(&mut self, ids: &[EntryId]) {
        for id in ids {
            let Some(at) = self
                .pending
                .iter()
                .position(|pending| pending.entry.id == *id)
            else {
                continue;
            };
            let entry = self.pending.remove(at).entry;
            let is_strike = matches!(entry.what, Do::Void(_));
            let touched = {
                let mut touched = self.site.log().touched(&entry);
                self.site.apply(entry.clone());
                touched.extend(self.site.log().touched(&entry));
                touched
            };
            self.analyst.touched(&self.site, &touched);
            if !is_strike {
                let (words, alarm) = self.outcome(&entry);
                self.message = Message {
                    text: format!(
                        "recorded {}  {}{words}",
                        self.clock(entry.at),
                        self.title(&entry)
                    ),
                    hint: "u takes it back",
                    alarm,
                };
            }
        }
    }

    /// What a rack reading came to, for the message that stays when the cursor has moved on.
    fn outcome(&self, entry: &Entry) -> (String, bool) {
        let Do::Read(read) = &entry.what else {
            return (String::new(), false);
        };
        let Some(at) = self
            .site
            .plan()
            .line(&read.line)
            .filter(|_| !read.is_dc() && read.cut.is_none())
        else {
            return (String::new(), false);
        };
        let deviation = self
            .analyst
            .line(at)
            .verdict
            .and_then(|verdict| verdict.deviation);
        let deviation =
            deviation.map_or_else(String::new, |it| format!("  {}", show::signed_percent(it)));
        let standing = self.standing(at, false);
        (
            format!("{deviation}  {}", standing.word),
            standing.tone != super::view::Tone::Plain,
        )
    }

    /// The disk refused these entries: they stay, marked, and are tried again on Enter.
    pub(super) fn refused(&mut self, ids: &[EntryId], why: &str) {
        for pending in self
            .pending
            .iter_mut()
            .filter(|pending| ids.contains(&pending.entry.id))
        {
            pending.refused = Some(why.to_owned());
        }
        self.message = Message {
            text: format!("NOT RECORDED: {why}. Enter on its line tries again"),
            hint: "",
            alarm: true,
        };
    }

    /// Sends again what the disk refused.
    pub(super) fn send_again(&mut self) -> Vec<Effect> {
        let again: Vec<Entry> = self
            .pending
            .iter_mut()
            .filter_map(|pending| pending.refused.take().map(|_| pending.entry.clone()))
            .collect();
        if again.is_empty() {
            Vec::new()
        } else {
            vec![Effect::Record(again)]
        }
    }

    /// Takes the last act back.
    pub(super) fn undo(&mut self, now: Timestamp) -> Vec<Effect> {
        match self.acts.pop() {
            None => {
                self.say("nothing of this sitting is left to take back");
                Vec::new()
            }
            Some(Act::Dropped(draft)) => {
                if let Some(at) = self.site.plan().line(&draft.line) {
                    self.show_line(at);
                }
                self.mode = Mode::Reading(draft);
                self.message = Message {
                    text: "brought back what was dropped".into(),
                    ..Message::default()
                };
                Vec::new()
            }
            Some(Act::DroppedWords(words)) => {
                if let Purpose::Repair(line) = &words.purpose
                    && let Some(at) = self.site.plan().line(line)
                {
                    self.show_line(at);
                }
                self.mode = Mode::Text(words);
                self.say("brought back what was dropped");
                Vec::new()
            }
            Some(act @ Act::Entries { .. }) => {
                let Act::Entries { ids, line, what } = &act else {
                    return Vec::new();
                };
                let effects = self.send(now, Do::Void(Void { of: ids.clone() }), None);
                if let Some(at) = line.as_ref().and_then(|line| self.site.plan().line(line)) {
                    self.show_line(at);
                }
                self.message = Message {
                    text: format!("taken back: {what}"),
                    hint: "r does it again",
                    alarm: false,
                };
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
            return Vec::new();
        };
        let effects = self.send(now, Do::Void(Void { of: vec![strike] }), None);
        if let Act::Entries { line, what, .. } = &undone.act {
            self.message = Message {
                text: format!("done again: {what}"),
                hint: "u takes it back",
                alarm: false,
            };
            if let Some(at) = line.as_ref().and_then(|line| self.site.plan().line(line)) {
                self.show_line(at);
            }
        }
        self.acts.push_again(undone.act);
        effects
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

    /// An entry in a few words.
    pub(super) fn title(&self, entry: &Entry) -> String {
        let plan = self.site.plan();
        let label = |line: &LineId| {
            plan.line(line)
                .map_or_else(|| line.to_string(), |at| plan.lines[at].label.clone())
        };
        match &entry.what {
            Do::Read(read) => {
                let figure = match read.value {
                    crate::quantity::Value::Ohm(ohm) => show::ohm(ohm),
                    crate::quantity::Value::Open => "open".to_owned(),
                    crate::quantity::Value::Short => "short".to_owned(),
                };
                let load = match (plan.line(&read.line), read.value) {
                    (Some(at), crate::quantity::Value::Ohm(ohm)) if !read.is_dc() => {
                        let volts = plan.lines[at].volts;
                        format!("  {}", show::watt(crate::verdict::load(volts, ohm)))
                    }
                    _ => String::new(),
                };
                let kind = if read.is_dc() { "  ohmmeter" } else { "" };
                format!("{}{kind}  {figure}{load}", label(&read.line))
            }
            Do::Insulate(it) => format!("{}  insulation {}", label(&it.line), it.text),
            Do::Repair(it) => format!("{}  repaired: {}", label(&it.line), it.what),
            Do::Void(_) => "a strike".to_owned(),
            _ => "an entry".to_owned(),
        }
    }

    /// The time of day where the site is.
    pub(super) fn clock(&self, at: Timestamp) -> String {
        at.to_zoned_datetime(self.opening.zone.clone())
            .strftime("%H:%M")
            .to_string()
    }

    /// Says something on the message line.
    pub(super) fn say(&mut self, text: &str) {
        self.message = Message {
            text: text.to_owned(),
            ..Message::default()
        };
    }
}
