//! What a key does while nothing is typed, and what a letter of the list behind `g` does.

use crate::session::key::Key;
use crate::session::keys::{Action, Place};
use crate::session::mode::{DraftKind, Mode};
use crate::session::{Effect, Message, Session};
use jiff::Timestamp;

impl Session {
    pub(super) fn act_on_key(&mut self, action: Action, key: Key, now: Timestamp) -> Vec<Effect> {
        let letter = match key {
            Key::Char(c) => c,
            _ => ' ',
        };
        match action {
            Action::StartReading => self.start(DraftKind::Impedance, &letter.to_string()),
            Action::StartOpen => self.start(DraftKind::Impedance, "open"),
            Action::StartOhmmeter => self.start(DraftKind::Dc, ""),
            Action::StartInsulation => {
                self.start(DraftKind::Insulation, if letter == '>' { ">" } else { "" });
            }
            Action::StartRepair => self.start_repair(),
            Action::Later => self.start_later(),
            Action::Note => self.start_note(),
            Action::NextInstrument if self.place == Place::Walk => self.next_tone(),
            Action::NextInstrument => self.next_instrument(DraftKind::Impedance),
            Action::NextTick => self.go_rack(),
            Action::Tick => return self.tick_here(now),
            Action::TickEverywhere => return self.tick_everywhere(now),
            Action::NotHere => {
                self.start_not_here();
                self.asks_what_was_not_heard();
            }
            Action::Accept => self.start_accept(),
            Action::LeaveOpen => self.start_leave_open(),
            Action::Scope => self.start_scope(),
            Action::StartWalk => self.start_walk(),
            Action::Answer => return self.answer(key, now),
            Action::Break => return self.break_here(now),
            Action::GoNext => self.go_to_next_place(),
            Action::Escape if self.place == Place::Rack => self.leave_rack(),
            Action::Escape if self.place != Place::Survey => self.place = Place::Survey,
            Action::Escape => {
                self.end_filter();
            }
            Action::Add => self.start_add(),
            Action::Another if self.touches_signed(&self.anchor()) && self.warns_first(action) => {}
            Action::Another => return self.add_another(now),
            Action::Change => self.start_change(),
            Action::Gone => self.start_gone(),
            Action::TryOut => {
                self.go_to_amplifier();
                self.start_trial();
            }
            Action::TakeUpLast => self.take_up_last(letter),
            Action::Up
            | Action::Down
            | Action::PageUp
            | Action::PageDown
            | Action::First
            | Action::Last => match self.place {
                Place::Walk | Place::Drawing => self.travel_walk(action),
                Place::Rack => self.travel_rack(action),
                Place::Review => self.travel_review(action),
                Place::Kit => self.travel_kit(action),
                Place::Building | Place::Amplifier => self.travel_outputs(action),
                Place::Survey | Place::Help => self.travel(action),
            },
            Action::Fold | Action::Unfold if self.place == Place::Rack => {
                self.step_amplifier(action == Action::Unfold);
            }
            Action::Fold | Action::Unfold if self.place != Place::Survey => {
                self.step_aside(action == Action::Unfold);
            }
            Action::Fold => self.fold(),
            Action::Unfold => self.unfold(),
            Action::Enter if self.place == Place::Review && !self.any_refused() => {
                self.enter_review();
            }
            Action::Enter if self.place == Place::Review => return self.send_again(),
            Action::Enter if matches!(self.place, Place::Building | Place::Amplifier) => {
                self.place = Place::Survey;
                self.page = 0;
            }
            Action::Enter => {
                let line = self.cursor_line();
                if self.any_refused() && line.is_some_and(|line| self.is_refused(&line)) {
                    return self.send_again();
                }
                if self.place == Place::Rack {
                    self.enter_rack();
                } else {
                    self.go_in();
                }
            }
            Action::NextPage | Action::PreviousPage => self.turn_page(action),
            Action::Filter => self.next_filter(),
            Action::Undo => return self.undo(now),
            Action::Redo => return self.redo(now),
            Action::Find => self.start_find(),
            Action::GoList => self.mode = Mode::GoList,
            Action::Help => self.open_help(),
            Action::Print => self.start_print(now),
            Action::Quit => return self.quit(),
            _ => {}
        }
        Vec::new()
    }

    pub(super) fn act_on_go_list(&mut self, action: Action, now: Timestamp) -> Vec<Effect> {
        if matches!(
            action,
            Action::StartWalk | Action::GoRack | Action::GoAmplifier | Action::GoDrawing
        ) {
            self.stand_on_reviewed();
        }
        match action {
            Action::GoNextUnread => self.go_next_unread(),
            Action::StartWalk => self.start_walk(),
            Action::GoRack => self.go_rack(),
            Action::GoOrder => self.next_order(),
            Action::GoSite => {
                self.place = Place::Survey;
                self.travel(Action::First);
            }
            Action::GoBuilding => self.go_to_building(),
            Action::GoAmplifier => self.go_to_amplifier(),
            Action::GoReview => self.go_review(),
            Action::GoKit => self.go_kit(),
            Action::NewVisit => self.start_visit(now),
            Action::GoDrawing => self.open_drawing(),
            Action::GoBack => self.retrace(false),
            Action::GoForward => self.retrace(true),
            Action::Find => self.start_find(),
            Action::Help => self.open_help(),
            Action::Print => self.start_print(now),
            Action::SaveElsewhere | Action::JoinOlder | Action::TakeOver => {
                return self.wish(action);
            }
            _ => {}
        }
        Vec::new()
    }

    fn quit(&mut self) -> Vec<Effect> {
        let refused = self
            .pending
            .iter()
            .filter(|pending| pending.refused.is_some())
            .count();
        if refused > 0 && !self.leaving {
            self.leaving = true;
            self.message = Message {
                text: format!(
                    "{refused} not on the disk: Enter tries again, g e saves elsewhere; q again \
                     leaves them"
                ),
                hint: "",
                alarm: true,
            };
            return Vec::new();
        }
        if let Some(to) = self.printing.now.clone().filter(|_| !self.leaving) {
            self.leaving = true;
            return self.alarm(format!(
                "{to} is still being written; q again leaves without it"
            ));
        }
        if self.says_what_is_open() {
            return Vec::new();
        }
        vec![Effect::Leave]
    }

    fn is_refused(&self, line: &crate::site::LineId) -> bool {
        self.pending
            .iter()
            .any(|pending| pending.refused.is_some() && pending.entry.what.line() == Some(line))
    }
}
