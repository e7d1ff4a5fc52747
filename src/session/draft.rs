//! Typing a reading: from the first digit to the entry that is sent to the disk.

use super::act::New;
use super::keys::{Action, Place};
use super::mode::{Draft, DraftKind, Mode, Reads as Typed};
use super::{Effect, Message, Session};
use crate::analysis::{CheckDoubt, check_doubt, is_no_check};
use crate::quantity::{Hertz, Ohm, show};
use crate::site::{
    Check, Cut, Do, Entry, EntryId, Instrument, InstrumentId, Insulate, LineId, Read, Reads,
    StateId,
};
use jiff::Timestamp;

/// Said where an insulation reading is begun, or a figure is said to be one. 250 V and 500 V: IEC 60364-6,
/// as the lists have it.
pub(super) const INSULATION: &str =
    "250-500 V: all devices off, nobody on it; never core to core; discharge after";

impl Session {
    /// Begins a reading of the line under the cursor; on the rack list that of the known resistor.
    pub(super) fn start(&mut self, kind: DraftKind, text: &str) {
        let resistor = self.place == Place::Rack;
        let line = if resistor {
            Some(LineId::default())
        } else {
            self.cursor_line()
        };
        let Some(line) = line else {
            self.say("a reading belongs to a line: go to one with Up and Down, or / to find it");
            return;
        };
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        // What was done last stands until the next thing is done; what went wrong does not.
        self.forget_alarm();
        self.forget_dropped();
        self.look_at_first_page();
        if resistor {
            self.mode = Mode::Reading(Draft::new(line, DraftKind::Check, text));
            self.say("leads zeroed? what the meter shows, r, what the resistor is: 398r400");
            return;
        }
        let said = self.message.clone();
        let at = self.site.plan().line(&line);
        let on = at.and_then(|at| self.on_words(at));
        if kind == DraftKind::Insulation {
            self.say(INSULATION);
        } else if self.nothing_read() {
            self.say(if self.resistor_was_read() {
                "amplifier off, locked, line proved dead? a meter on a driven line dies"
            } else {
                "line proved dead? a meter on a driven line dies. resistor first, as 398r400"
            });
        }
        // On a walk a figure is taken where one stands: recorded, not weighed. Of an opened line it is
        // that of a side.
        let walks = matches!(self.place, Place::Walk | Place::Drawing);
        let side = self
            .walked()
            .filter(|_| walks)
            .and_then(|at| self.side_to_read(at));
        if let Some(side) = &side {
            self.say(match side {
                Cut::Far(node) if self.far_side_was_read(node) => {
                    "the far side again; Esc, then x corrects the one that stands"
                }
                _ => {
                    "all hands clear of the line, said aloud? no tone or test while hands are on it"
                }
            });
        }
        // Before insulation the panel says it: what is done with the cores has the row.
        if let Some(on) = on.filter(|_| kind != DraftKind::Insulation) {
            self.say(&format!(
                "{on}: no meter on it. Off, locked, proved dead first: g r"
            ));
        }
        if self.message != said {
            // It is true of this line, and while it is typed for.
            self.told = Some(self.message.text.clone());
        }
        let at_place = walks && self.walk_row() > 0;
        let cut = side.or_else(|| at_place.then(|| Cut::Whole(self.walk_at.clone())));
        self.mode = Mode::Reading(Draft {
            cut,
            ..Draft::new(line, kind, text)
        });
    }

    /// The figures of what is typed stand on the first page; dropped, the page looked at comes back.
    pub(super) fn look_at_first_page(&mut self) {
        self.desk.page_under = Some(self.page);
        self.page = 0;
    }

    /// Back to the page that was looked at before a reading was begun.
    pub(super) fn page_back(&mut self) {
        if let Some(page) = self.desk.page_under.take() {
            self.page = page;
        }
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
    pub(super) fn state(&self, line: &LineId) -> StateId {
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
        if let Typed::Check(shown, step, known) = typed {
            return self.record_check(draft, (shown, step), known, now);
        }
        let Some(at) = self.site.plan().line(&draft.line) else {
            self.say("this line is no longer on the site: Esc drops the entry");
            return Vec::new();
        };
        let Some((instrument_id, instrument)) = self.instrument(draft.kind) else {
            self.say("no instrument of that kind on this site: g i, then a, adds one");
            return Vec::new();
        };
        if self.asks_of_reading(draft) {
            return Vec::new();
        }
        let assumed = matches!(typed, Typed::Insulation(_, _, None));
        let state = self.state(&draft.line);
        let (line, text) = (draft.line.clone(), draft.figure_text().to_owned());
        let what = match typed {
            Typed::Check(..) => return Vec::new(),
            Typed::Meter(value, step, phase_deg) => Do::Read(Read {
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
                phase_deg,
                cut: draft.cut.clone(),
                note: draft.note.clone(),
            }),
            Typed::Insulation(value, leg, volts) => {
                let test_v = volts.unwrap_or_else(|| self.usual_test_v(at));
                Do::Insulate(Insulate {
                    line,
                    state,
                    value,
                    text,
                    instrument: instrument_id,
                    test_v,
                    leg,
                    after_s: None,
                    note: draft.note.clone(),
                })
            }
        };
        // What is typed is recorded: what comes next is looked at from its first page on.
        self.desk.page_under = None;
        self.page = 0;
        let was_read = self.is_read_ahead(at);
        let suspects = draft
            .impedance()
            .and_then(|read| self.suspects(at, Some(read)));
        let misfit = suspects.is_some_and(|it| it.fits_nothing());
        let effects = if draft.more.is_empty() {
            self.send(now, what, draft.corrects.clone())
        } else {
            let more = self.pasted(draft);
            self.send_all(
                now,
                std::iter::once(what).chain(more).map(New::of).collect(),
            )
        };
        self.misfit = self.pending.last().map(|it| it.entry.id.clone());
        self.misfit.take_if(|_| !misfit || !draft.more.is_empty());
        let sent = self.pending.last().map(|it| it.entry.id.clone());
        self.assumed_volts.extend(sent.filter(|_| assumed));
        self.mode = Mode::Key;
        if draft.cut.is_some() || matches!(self.place, Place::Walk | Place::Drawing) {
            self.after_cut(draft);
            return effects;
        }
        // The picture of the building, and of an amplifier, is gone through by the one who looks at it;
        // on the rack list the cursor is on a tick.
        if matches!(self.place, Place::Building | Place::Amplifier | Place::Rack) {
            return effects;
        }
        // A first reading, or a correction, hands on to the next line that waits; reading a line
        // again is done to look at it.
        let goes_on = !was_read || draft.corrects.is_some() || !draft.more.is_empty();
        if draft.kind == DraftKind::Impedance && goes_on {
            self.hand_on(at);
        }
        effects
    }

    /// A known resistor on its way to the disk.
    fn record_check(
        &mut self,
        draft: &Draft,
        (value, step): (Ohm, Ohm),
        known: Option<Ohm>,
        now: Timestamp,
    ) -> Vec<Effect> {
        let Some((instrument, made)) = self.instrument(DraftKind::Check) else {
            self.say("no meter on this site: g i, then a, adds one");
            return Vec::new();
        };
        let Some(known_ohm) = known.or_else(|| self.known_resistor()) else {
            self.message = Message {
                text: "what is it known to be? put that behind r: 398r400".into(),
                hint: "",
                alarm: true,
            };
            return Vec::new();
        };
        if self.asks_of_check(draft, (value, step), known_ohm, &made) {
            return Vec::new();
        }
        self.mode = Mode::Key;
        let check = Check {
            visit: self.site.visit(),
            instrument,
            known_ohm,
            value,
            step_ohm: Ohm(step.get().max(made.step_ohm.map_or(0.0, Ohm::get))),
            text: draft.figure_text().to_owned(),
            note: draft.note.clone(),
        };
        let effects = self.send(now, Do::Check(check), draft.corrects.clone());
        if draft.corrects.is_none() {
            self.after_resistor();
        }
        effects
    }

    /// Whether a known resistor that no meter could read so is asked about first: it would turn over what
    /// is held of every line read with that meter.
    fn asks_of_check(
        &mut self,
        draft: &Draft,
        (value, step): (Ohm, Ohm),
        known: Ohm,
        made: &Instrument,
    ) -> bool {
        let figures = self.site.figures();
        let read = (value, step);
        let doubt = check_doubt(draft.figure_text(), read, known, made.accuracy, figures);
        let question = match doubt {
            None => return false,
            Some(CheckDoubt::Beyond(words)) => format!("{words} Enter once more records it"),
            Some(CheckDoubt::NoMeter(words, alike)) => {
                let before = self
                    .known_resistor()
                    .filter(|it| *it != known && !is_no_check(read, *it, made.accuracy, figures));
                let fits = match (before, alike) {
                    (Some(before), _) => {
                        format!(" {}, known before, would fit.", show::ohm(before))
                    }
                    (None, Some(alike)) => format!(" {alike}."),
                    (None, None) => String::new(),
                };
                format!("{words}{fits} Enter once more records it")
            }
        };
        self.asks_first(Action::Enter, question)
    }

    /// What the known resistor of the last check is.
    fn known_resistor(&self) -> Option<Ohm> {
        let log = self.site.log();
        let mut checks = log.beside_lines().rev();
        checks.find_map(|entry| match &entry.what {
            Do::Check(check) if log.counts(&entry.id) => Some(check.known_ohm),
            _ => None,
        })
    }

    /// Reads with the next instrument of the kind that is typed for.
    pub(super) fn next_instrument(&mut self, kind: DraftKind) {
        let Some((now, made)) = self.instrument(kind) else {
            self.say("no instrument of that kind on this site: g i, then a, adds one");
            return;
        };
        let plan = self.site.plan();
        let kin: Vec<InstrumentId> = plan
            .instruments
            .iter()
            .filter(|(_, it)| it.reads == made.reads)
            .map(|(id, _)| id.clone())
            .collect();
        let at = kin.iter().position(|id| *id == now).unwrap_or(0);
        let next = kin[(at + 1) % kin.len()].clone();
        if next == now {
            self.say(&format!("{} is the only one of its kind here", made.label));
            return;
        }
        let words = plan.instrument(&next).map(|it| {
            format!(
                "read with {} from here on, {}",
                it.label,
                show::percent(it.accuracy)
            )
        });
        self.chosen.retain(|id| !kin.contains(id));
        self.chosen.push(next);
        self.say(&words.unwrap_or_default());
    }

    /// The instrument that a draft is read with: the one chosen, else the one used last for its
    /// kind, else the first.
    pub(super) fn instrument(&self, kind: DraftKind) -> Option<(InstrumentId, Instrument)> {
        let wanted = match kind {
            DraftKind::Impedance | DraftKind::Check => Reads::Impedance,
            DraftKind::Dc => Reads::Dc,
            DraftKind::Insulation => Reads::Insulation,
        };
        let plan = self.site.plan();
        let of_kind = |id: &InstrumentId| plan.instrument(id).filter(|it| it.reads == wanted);
        if let Some(id) = self.chosen.iter().find(|id| of_kind(id).is_some()) {
            return plan.instrument(id).map(|it| (id.clone(), it.clone()));
        }
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
