//! What a key does while a reading is typed.

use crate::session::draft::INSULATION;
use crate::session::key::Key;
use crate::session::keys::Action;
use crate::session::mode::{Draft, DraftKind, Mode};
use crate::session::{Effect, Message, Session};
use jiff::Timestamp;

/// The most characters that a reading has.
pub(in crate::session) const LONGEST_DRAFT: usize = 24;

impl Session {
    pub(super) fn act_on_draft(
        &mut self,
        mut draft: Draft,
        action: Action,
        key: Key,
        now: Timestamp,
    ) -> Vec<Effect> {
        let more = !draft.more.is_empty();
        match (action, key) {
            (
                Action::Type
                | Action::Ohmmeter
                | Action::InsulationKind
                | Action::Backspace
                | Action::KnownResistor
                | Action::Phase
                | Action::ReadingNote,
                _,
            ) if more => self.say("a paste is recorded as it is: Enter records, Esc drops it"),
            // `o` wrote the whole word; whoever types it out means no more by it.
            (Action::Type | Action::Phase | Action::ReadingNote, Key::Char('p' | 'e' | 'n'))
                if draft.text == "open" => {}
            // Whoever writes `open` out means its letters.
            (Action::Phase | Action::ReadingNote, Key::Char(c)) if draft.text.starts_with('o') => {
                draft.text.push(c);
            }
            (Action::ReadingNote, _) => {
                self.note_of_reading(draft);
                return Vec::new();
            }
            (Action::Phase, _) => match draft.kind {
                DraftKind::Impedance if !draft.text.contains('p') => draft.text.push('p'),
                _ => self.say("a phase stands behind an impedance, once: 205p-23"),
            },
            (Action::KnownResistor, _) => match draft.kind {
                DraftKind::Insulation => self.say("r belongs behind a meter's figure: 398r400"),
                _ if draft.text.contains('r') => self.say("r stands there already"),
                _ => {
                    draft.kind = DraftKind::Check;
                    draft.text.push('r');
                    self.say("leads zeroed? behind r what the resistor is: 398r400");
                }
            },
            (Action::NextInstrument, _) => self.next_instrument(draft.kind),
            (Action::Type, Key::Char('x')) if self.is_as_taken_up(&draft) => {
                self.take_up_other(draft);
                return Vec::new();
            }
            (Action::Type, Key::Char(c)) if draft.text.len() < LONGEST_DRAFT => {
                self.forget_alarm();
                draft.text.push(c);
            }
            (Action::Ohmmeter | Action::InsulationKind, _) if draft.kind == DraftKind::Check => {
                self.say("a known resistor is read with the meter");
            }
            (Action::Ohmmeter, _) => {
                draft.kind = if draft.kind == DraftKind::Dc {
                    DraftKind::Impedance
                } else {
                    DraftKind::Dc
                };
            }
            (Action::InsulationKind, _) if draft.kind == DraftKind::Insulation => {
                draft.kind = DraftKind::Impedance;
                if self.message.text == INSULATION {
                    self.message = Message::default();
                }
            }
            (Action::InsulationKind, _) => {
                draft.kind = DraftKind::Insulation;
                self.say(INSULATION);
                self.told = Some(INSULATION.to_owned());
            }
            (Action::Backspace, _) => {
                self.forget_alarm();
                let gone = draft.text.pop().is_none();
                // What is corrected, and the flow of a split, is left by Esc alone: what is typed next
                // would be another reading.
                if gone && (draft.corrects.is_some() || draft.is_of_a_side()) {
                    self.say("nothing is typed any more: Esc drops it");
                } else if draft.text.is_empty() && draft.corrects.is_none() && !draft.is_of_a_side()
                {
                    return Vec::new();
                }
                let line = !draft.line.as_str().is_empty();
                if draft.kind == DraftKind::Check && line && !draft.text.contains('r') {
                    draft.kind = DraftKind::Impedance;
                }
            }
            (Action::Escape, _) => {
                self.drop_draft(draft);
                return Vec::new();
            }
            (Action::Enter, _) => {
                self.mode = Mode::Reading(draft.clone());
                return self.record_draft(&draft, now);
            }
            (Action::Up | Action::Down, _) => {
                self.say("a reading is being typed: Enter records it, Esc drops it");
            }
            (Action::NextPage | Action::PreviousPage, _) => {
                self.mode = Mode::Reading(draft);
                self.turn_page(action);
                return Vec::new();
            }
            (Action::Help, _) => self.open_help(),
            _ => {}
        }
        self.mode = Mode::Reading(draft);
        Vec::new()
    }
}
