//! An event in, the new state and the effects out.

mod command;
mod reading;
mod words;

pub(super) use reading::LONGEST_DRAFT;
pub(super) use words::longest;

use super::key::Key;
use super::keys::{self, Action, Place};
use super::mode::{DraftKind, Mode};
use super::{Effect, Event, Message, Session};
use crate::analysis::Progress;
use jiff::Timestamp;

/// Takes an event in. After every key that changed where the engineer stands, the place to stand is
/// among the effects.
pub fn update(session: &mut Session, event: Event) -> Vec<Effect> {
    let mut effects = match session.due_before(&event) {
        Some(waited) => take_in(session, waited),
        None => Vec::new(),
    };
    if !session.holds_back(&event) {
        effects.extend(take_in(session, event));
    }
    effects
}

fn take_in(session: &mut Session, event: Event) -> Vec<Effect> {
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
            let last_key = session.now.replace(now);
            // The first of two keys answers nothing yet.
            if session.asked != action && action != Some(Action::GoList) {
                session.asked = None;
            }
            steps = !matches!(
                action,
                Some(Action::Escape | Action::GoBack | Action::GoForward)
            );
            let effects = match action {
                _ if just_back && key == Key::Char('u') => session.undo_past_dropped(now),
                Some(action) => session.act(action, key, now),
                None => session.unknown_key(key, now),
            };
            session.after_a_night(last_key, now);
            effects
        }
        Event::Opened => {
            session.offer_visit(session.opening.at);
            Vec::new()
        }
        // What waited was carried out before.
        Event::Waited(_) => Vec::new(),
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
        Event::Offered(copies) => {
            session.offer(copies);
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

    /// Ctrl-U: nothing is typed nor picked as found any more, and the entry is open as before; with none open,
    /// nothing.
    fn clear_typed(&mut self) {
        match &mut self.mode {
            // What the figure was said to be went with it: the next may be another.
            Mode::Reading(draft) => {
                draft.text.clear();
                if draft.kind != DraftKind::Check {
                    draft.kind = DraftKind::Impedance;
                }
            }
            Mode::Text(words) => {
                words.text.clear();
                words.caret = 0;
                words.found = None;
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

    fn unknown_key(&mut self, key: Key, now: Timestamp) -> Vec<Effect> {
        if self.mode == Mode::GoList {
            self.mode = Mode::Key;
        }
        // A prompt that the program opened by itself does not keep anyone from taking back the act before.
        if key == Key::Char('u')
            && matches!(&self.mode, Mode::Reading(draft) if draft.text.is_empty())
        {
            self.mode = Mode::Key;
            return self.undo(now);
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
            _ if self.place == Place::Walk
                && matches!(key, Key::Char('a' | 'e' | 'y') | Key::Delete) =>
            {
                "the cable is changed in its drawing: g d, then a adds, e changes".to_owned()
            }
            _ => format!("{} does nothing here: ? shows the keys", key.name()),
        };
        self.say(&text);
        if self.mode == Mode::Key {
            self.told = Some(text);
        }
        Vec::new()
    }

    /// What was wrong with the text is gone once the text changes; a caution stands.
    pub(super) fn forget_alarm(&mut self) {
        if self.message.alarm {
            self.message = Message::default();
        }
    }

    /// Reckons anew all that follows from the drawing.
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
