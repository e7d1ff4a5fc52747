//! An event in, the new state and the effects out.

use super::draft::INSULATION;
use super::key::Key;
use super::keys::{self, Action, Place};
use super::mode::{Draft, DraftKind, Mode, Purpose, Words};
use super::{Effect, Event, Message, Session};
use crate::analysis::Progress;
use jiff::Timestamp;

/// No reading is longer than this.
pub(super) const LONGEST_DRAFT: usize = 24;
/// Words are no longer than this, in characters.
const LONGEST_WORDS: usize = 200;

/// A design may be a paste of rows.
const LONGEST_DESIGN: usize = 4000;

pub(super) fn longest(words: &Words) -> usize {
    if words.purpose.is_design() {
        LONGEST_DESIGN
    } else {
        LONGEST_WORDS
    }
}

/// Takes an event in. After every key that changed where the engineer stands, the place to stand is
/// among the effects.
pub fn update(session: &mut Session, event: Event) -> Vec<Effect> {
    let pressed = matches!(event, Event::Key(..) | Event::Paste(_));
    let idle = matches!(event, Event::Idle);
    let (before, said) = (session.spot(), session.message.clone());
    let (asked, typing) = (session.asked.is_some(), session.mode != Mode::Key);
    let mut steps = pressed;
    // A signature is not to be followed by what was typed while it was made.
    if pressed && session.is_signing() {
        return Vec::new();
    }
    let mut effects = match event {
        Event::Key(Key::Clear, _) => {
            session.asked = None;
            session.clear_typed();
            Vec::new()
        }
        Event::Key(key, now) => {
            let action = keys::action(session.mode_name(), session.place, key);
            session.let_go(action);
            let just_back = std::mem::take(&mut session.acts.just_back);
            let last_key = session.now;
            let held = session.is_held(key, now);
            if session.asked != action {
                session.asked = None;
            }
            steps = !matches!(
                action,
                Some(Action::Escape | Action::GoBack | Action::GoForward)
            );
            let swallowed = action
                .filter(|_| held)
                .and_then(|it| session.swallows(it, now));
            let top = session.acts.on_top();
            let effects = match (swallowed, action) {
                (Some(effects), _) => effects,
                _ if just_back && key == Key::Char('u') && !held => session.undo_past_dropped(now),
                (None, Some(action)) => session.act(action, key, now),
                (None, None) => session.unknown_key(key),
            };
            session.after_space(held || key != Key::Char(' '), &top);
            session.after_a_night(last_key, now);
            effects
        }
        Event::Opened(now) => {
            session.opened(now);
            Vec::new()
        }
        Event::Resize(columns, rows) => {
            session.size = (columns, rows);
            Vec::new()
        }
        Event::Recorded(ids) => {
            session.recorded(&ids);
            session.look_again();
            Vec::new()
        }
        Event::NotRecorded(ids, why) => {
            session.refused(&ids, &why);
            Vec::new()
        }
        Event::Say(text) => {
            session.say(&text);
            Vec::new()
        }
        Event::Told(notices) => {
            session.tell(notices);
            Vec::new()
        }
        Event::Paste(text) => {
            session.let_go(None);
            session.asked = None;
            session.paste(&text);
            Vec::new()
        }
        Event::Replaced(site) => {
            session.replace(*site);
            session.look_again();
            Vec::new()
        }
        Event::Idle if session.is_signing() => session.sign_now(),
        Event::Idle => match session.analyst.catch_up(&session.site) {
            Progress::Rest => {
                session.look_again();
                Vec::new()
            }
            Progress::GoOn => vec![Effect::GoOn],
            Progress::Away(ahead) => vec![Effect::Reckon(ahead)],
        },
        Event::News(news) => session.hear(news),
        Event::Printed(printed) => {
            session.printed(printed);
            Vec::new()
        }
        Event::Reckoned(reckoned) => {
            session.analyst.take(*reckoned);
            vec![Effect::GoOn]
        }
    };
    session.clamp();
    if matches!(session.place, Place::Walk | Place::Drawing) {
        session.clamp_walk();
    }
    if session.place == Place::Help {
        session.clamp_help();
    }
    // What was told of one place has no meaning in another; what was done, and how it is taken back,
    // stands until the next act.
    if session.message == said {
        let elsewhere = session.stands_in() != before.place;
        let no_more_asked = asked && session.asked.is_none();
        if no_more_asked || elsewhere && !said.alarm && said.hint.is_empty() {
            session.message = Message::default();
        }
    }
    session.forget_told(&before, &said, typing);
    if steps && session.stands_in() != before.place {
        session.trail.keep(before);
    }
    session.look_closer();
    if !idle {
        session.follow_side();
    }
    session.follow_pace();
    session.try_out();
    let text = session.resume().to_text();
    if text != session.remembered {
        session.remembered.clone_from(&text);
        // The five lines stand until something is done.
        session.tour &= !pressed;
        session.another_day.take_if(|_| pressed);
        effects.push(Effect::Remember(text));
    }
    effects
}

impl Session {
    fn act(&mut self, action: Action, key: Key, now: Timestamp) -> Vec<Effect> {
        if self.place == Place::Help {
            return self.act_in_help(action);
        }
        match std::mem::replace(&mut self.mode, Mode::Key) {
            Mode::Key => self.act_on_key(action, key, now),
            Mode::Reading(draft) => self.act_on_draft(draft, action, key, now),
            Mode::Text(words) => self.act_on_words(words, action, key, now),
            Mode::GoList => self.act_on_go_list(action, now),
        }
    }

    /// Ctrl-U: nothing is typed any more, and the entry is open as before; with none open, nothing.
    fn clear_typed(&mut self) {
        match &mut self.mode {
            Mode::Reading(draft) => draft.text.clear(),
            Mode::Text(words) => {
                words.text.clear();
                words.caret = 0;
            }
            Mode::Key | Mode::GoList => return,
        }
        self.forget_alarm();
    }

    fn act_in_help(&mut self, action: Action) -> Vec<Effect> {
        match action {
            Action::Up => self.help_top = self.help_top.saturating_sub(1),
            Action::Down => self.help_top += 1,
            Action::PageUp => self.help_top = self.help_top.saturating_sub(self.body_height() - 1),
            Action::PageDown => self.help_top += self.body_height() - 1,
            _ => self.place = self.under_help,
        }
        Vec::new()
    }

    fn open_help(&mut self) {
        self.under_help = self.place;
        self.place = Place::Help;
        self.help_top = 0;
    }

    fn act_on_key(&mut self, action: Action, key: Key, now: Timestamp) -> Vec<Effect> {
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
            Action::NotHere => self.start_not_here(),
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
            Action::Another if self.warns_first(action) => {}
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

    fn act_on_draft(
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

    /// What was wrong with the text is gone once the text changes; a caution stands.
    pub(super) fn forget_alarm(&mut self) {
        if self.message.alarm {
            self.message = Message::default();
        }
    }

    fn act_on_words(
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
            (Action::Down, _) if matches!(words.purpose, Purpose::Repair(_)) => {
                self.pick_found(&mut words);
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
        self.mode = Mode::Text(words);
        Vec::new()
    }

    fn act_on_go_list(&mut self, action: Action, now: Timestamp) -> Vec<Effect> {
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

    fn unknown_key(&mut self, key: Key) -> Vec<Effect> {
        if self.mode == Mode::GoList {
            self.mode = Mode::Key;
        }
        // A minus is not dropped from what is typed on behind it: no such figure is one, and that is said.
        let minus = key == Key::Char('-') && self.mode == Mode::Key;
        if minus && (self.place == Place::Rack || self.cursor_line().is_some()) {
            self.start(DraftKind::Impedance, "-");
            return Vec::new();
        }
        let text = match &self.mode {
            Mode::Reading(_) => format!(
                "{} does not belong in a reading: ? shows what does",
                key.name()
            ),
            _ => format!("{} does nothing here: ? shows the keys", key.name()),
        };
        self.say(&text);
        Vec::new()
    }

    /// What stands now and what waits, for whoever comes back to the screen.
    pub(super) fn say_where(&mut self) {
        let plan = self.site.plan();
        if plan.amplifiers.is_empty() {
            return self.say("nothing stands here yet: a adds an amplifier; ? shows every key");
        }
        let read = (0..plan.lines.len())
            .filter(|at| self.analyst.line(*at).is_read())
            .count();
        let last = self.analyst.last_reading();
        let last = last.map(|entry| {
            let title = self.title(entry).replacen(" reads ", ": ", 1);
            format!(", last {title} at {}", self.clock(entry.at))
        });
        let next = self
            .next_unread(None)
            .map(|at| plan.lines[at].label.as_str());
        let next = next.map_or_else(String::new, |label| format!(", next unread {label}"));
        let text = format!(
            "{read} of {} lines read{}{next}",
            plan.lines.len(),
            last.unwrap_or_default()
        );
        self.say(&text);
    }

    /// All that follows from the drawing anew.
    pub(super) fn redraw(&mut self) {
        self.analyst = self.analyst.anew(&self.site);
        self.worked = super::pace::Worked::default();
        self.rebuild_rows();
    }

    /// Takes a site that another hand changed; where the engineer stands and types stays.
    fn replace(&mut self, site: crate::site::Site) {
        self.site = site;
        self.redraw();
        self.look_at_seal();
        self.say("the site file was changed by another hand; both are joined here");
    }

    /// A half entry that was brought back would take the next keys: it is said aloud.
    pub(super) fn say_resumed_draft(&mut self) {
        if let Mode::Reading(draft) = &self.mode {
            let label = self.label_of(&draft.line);
            // The caution it was begun with is as true as it was then.
            let caution = self.caution_of_draft(draft);
            self.message = Message {
                text: format!(
                    "half typed for {label}: {}  Enter records it, Esc drops it{caution}",
                    draft.text
                ),
                hint: "",
                alarm: true,
            };
        }
    }

    /// The same of words.
    pub(super) fn say_resumed_words(&mut self) {
        if let Mode::Text(words) = &self.mode
            && words.purpose.is_design()
        {
            self.message = Message {
                text: format!("half typed: {}  Enter takes it, Esc drops it", words.text),
                hint: "",
                alarm: true,
            };
        }
    }

    fn is_refused(&self, line: &crate::site::LineId) -> bool {
        self.pending
            .iter()
            .any(|pending| pending.refused.is_some() && pending.entry.what.line() == Some(line))
    }

    /// The suspects of the line under the cursor are reckoned when it is looked at.
    fn look_closer(&mut self) {
        if let Some(at) = self
            .cursor_line()
            .and_then(|line| self.site.plan().line(&line))
        {
            self.analyst.look(&self.site, at);
        }
    }
}
