//! Words that are recorded: what was repaired, why a line is left for later, notes, what does not
//! exist here.

use super::act::New;
use super::keys::Action;
use super::mode::{Draft, Found, Mode, Purpose, Words};
use super::tree::RowId;
use super::{Effect, Message, Place, Session};
use crate::diagnosis::FaultKind;
use crate::quantity::{DecimalSign, reading};
use crate::review::{causes_over_lines, says_all_heard};
use crate::site::{Decide, Decision, Do, LineId, Note, Ref, Repair, StateId, Tick, TickIs};
use jiff::Timestamp;

/// So many of the suspects are offered as what was found.
const MOST_FOUND: usize = 6;

/// Asked where the list says that every zone was heard, and not all was.
const WHAT_NOT_HEARD: &str = "what was not heard, and why, such as: LS-6 of W-1, driver dead";

impl Session {
    /// After `l` on the rack list: of what says that every zone was heard it is asked what was not.
    pub(super) fn asks_what_was_not_heard(&mut self) {
        let purpose = match &self.mode {
            Mode::Text(words) => Some(&words.purpose),
            _ => None,
        };
        if matches!(purpose, Some(Purpose::NotHere(item, _)) if says_all_heard(item)) {
            self.say(WHAT_NOT_HEARD);
        }
    }

    fn start_words(&mut self, purpose: Purpose) {
        self.message = Message::default();
        self.mode = Mode::Text(Words::new(purpose));
    }

    /// Begins to say what was repaired on the line under the cursor.
    pub(super) fn start_repair(&mut self) {
        if !self.may_write() {
            self.say_read_only();
        } else if let Some(line) = self.cursor_line() {
            self.start_words(Purpose::Repair(line));
            let at = self.cursor_line().and_then(|id| self.site.plan().line(&id));
            let open = at.and_then(|at| self.still_open(at));
            let open = open.map_or_else(String::new, |open| format!("{open}. "));
            self.say(&format!(
                "{open}what was done, in a word; Tab picks what was found from the suspects"
            ));
        } else {
            self.say("a repair belongs to a line: go to one first");
        }
    }

    /// Begins to say why the line under the cursor is left for later.
    pub(super) fn start_later(&mut self) {
        let at = self.cursor_line().and_then(|id| self.site.plan().line(&id));
        match at {
            _ if !self.may_write() => self.say_read_only(),
            Some(at) if self.analyst.line(at).is_read() => {
                self.say("this line is read: what is left open on it is said in the review");
            }
            Some(at) => {
                let line = self.site.plan().lines[at].id.clone();
                self.start_words(Purpose::Later(line));
            }
            None => self.say("only a line is left for later: go to one first"),
        }
    }

    /// Begins a note on what the cursor is on.
    pub(super) fn start_note(&mut self) {
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        let of = match &self.cursor {
            RowId::Line(_) if self.place == Place::Walk && !self.walk_at.is_rack() => {
                Ref::Node(self.walk_at.clone())
            }
            RowId::Line(line) => Ref::Line(line.clone()),
            RowId::Output(output) => Ref::Output(output.clone()),
            RowId::Amplifier(amplifier) => Ref::Amplifier(amplifier.clone()),
            RowId::Zone(_, line) => match self.site.plan().line(line) {
                Some(at) => Ref::Zone(self.site.plan().lines[at].zone.clone()),
                None => Ref::Site,
            },
            RowId::WholeZone(zone) => Ref::Zone(zone.clone()),
            RowId::Site => Ref::Site,
        };
        self.start_words(Purpose::Note(of));
    }

    /// From the figure to a note that is recorded with it.
    pub(super) fn note_of_reading(&mut self, mut draft: Draft) {
        if let Err(error) = draft.read() {
            self.message = Message {
                text: format!("the figure first: {error}"),
                hint: "",
                alarm: true,
            };
            self.mode = Mode::Reading(draft);
            return;
        }
        let text = draft.note.take().unwrap_or_default();
        let mut words = Words::new(Purpose::ReadingNote(Box::new(draft)));
        words.caret = text.chars().count();
        words.text = text;
        self.mode = Mode::Text(words);
    }

    /// Tab on the words of a repair: what was found, from the suspects, and round to nothing said; backwards where
    /// it is not `on`.
    pub(super) fn pick_found(&mut self, words: &mut Words, on: bool) {
        let Purpose::Repair(line) = &words.purpose else {
            return;
        };
        let offered = self.may_be_found(line);
        let now = words.found.as_ref();
        let at = offered.iter().position(|it| Some(it) == now);
        let next = match (on, at) {
            (true, at) => at.map_or(0, |at| at + 1),
            // Before the first nothing is said; before that the last.
            (false, None) => offered.len().saturating_sub(1),
            (false, Some(at)) => at.checked_sub(1).unwrap_or(offered.len()),
        };
        let next = offered.get(next).cloned();
        self.say(&match (&next, offered.is_empty()) {
            (Some(found), _) => {
                let words = self.found_words(found);
                format!("found: {words}   Tab: another, or nothing said")
            }
            (None, true) => "no suspects are known: what was found is not said".to_owned(),
            (None, false) => "what was found is not said   Tab: from the suspects".to_owned(),
        });
        words.found = next;
    }

    /// What may have been found on a line, likeliest first: its own suspects, and what only the whole building
    /// shows of it and is mended there, such as swapped labels.
    fn may_be_found(&self, line: &LineId) -> Vec<Found> {
        let at = self.site.plan().line(line);
        let suspects = at.and_then(|at| self.analyst.suspects(at));
        let own = suspects.iter().flat_map(|it| &it.hints);
        let own = own
            .filter(|hint| !matches!(hint.fault, FaultKind::None | FaultKind::TwoFaults))
            .map(|hint| {
                let place = hint.places.first().map(|(node, ..)| (**node).clone());
                (hint.probability.get(), hint.fault.as_str(), place)
            });
        let wide = self.analyst.site_hints().iter();
        let wide = wide
            .filter(|hint| hint.fault.is_mended() && hint.lines.contains(line))
            .map(|hint| {
                // A loudspeaker that hangs elsewhere is named where it is drawn.
                let own = hint.places.iter().find(|it| it.0 == *line);
                let place = own.map(|(_, node, ..)| node.clone());
                (hint.probability.get(), hint.fault.as_str(), place)
            });
        let mut all: Vec<_> = own.chain(wide).collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.truncate(MOST_FOUND);
        // Of two lines with each other's labels one is mended first, and the other shows nothing of it then.
        for cause in self.found_over_lines() {
            if all.iter().all(|it| it.1 != cause) {
                all.push((0.0, cause, None));
            }
        }
        let all = all.into_iter();
        all.map(|(_, cause, place)| Found {
            cause: cause.to_owned(),
            place,
        })
        .collect()
    }

    /// What only the whole building shows and repairs of lines have named on this visit.
    fn found_over_lines(&self) -> Vec<&'static str> {
        let (log, visit) = (self.site.log(), self.site.visit());
        let named = |cause: &str| {
            log.entries().iter().any(|entry| match &entry.what {
                Do::Repair(it) => {
                    it.cause.as_deref() == Some(cause)
                        && log.counts(&entry.id)
                        && self.site.visit_of(&it.after) == visit.as_str()
                }
                _ => false,
            })
        };
        causes_over_lines().filter(|it| named(it)).collect()
    }

    /// Whether what was found was picked for the repair that is typed.
    pub(super) fn has_found(&self) -> bool {
        matches!(&self.mode, Mode::Text(words) if words.found.is_some())
    }

    /// What was picked as found, in words: `loudspeaker short at LS-01`.
    pub(super) fn found_words(&self, found: &Found) -> String {
        let at = found.place.as_ref().map(|node| self.node_label(node));
        let at = at.map_or_else(String::new, |label| format!(" at {label}"));
        format!("{}{at}", found.cause.replace('-', " "))
    }

    /// Whether what was done on a line is asked about first, since it is a figure and no word: typed for a
    /// reading, it would begin a new state of the line.
    fn asks_of_figure(&mut self, words: &Words, text: &str) -> bool {
        let figure = matches!(words.purpose, Purpose::Repair(_))
            && text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','))
            && reading(text, DecimalSign::Either).is_ok();
        figure
            && self.asks_first(
                Action::Enter,
                format!(
                    "{text}: is that a reading? Esc, then type it. Enter again records it as words"
                ),
            )
    }

    /// Enter on words that are recorded.
    pub(super) fn record_words(&mut self, words: &Words, now: Timestamp) -> Vec<Effect> {
        let text = words.text.trim().to_owned();
        if let Purpose::ReadingNote(draft) = &words.purpose {
            let draft = Draft {
                note: Some(text).filter(|text| !text.is_empty()),
                ..draft.as_ref().clone()
            };
            self.mode = Mode::Reading(draft.clone());
            return self.record_draft(&draft, now);
        }
        if text.is_empty() {
            self.say(match &words.purpose {
                Purpose::Repair(_) if words.found.is_some() => {
                    "what was found is kept; say in a word what was done, such as: joint remade"
                }
                Purpose::Repair(_) => "say in a word what was done, such as: joint remade",
                Purpose::Later(_) => "say in a word why, such as: locked room",
                Purpose::NotHere(item, _) if says_all_heard(item) => WHAT_NOT_HEARD,
                Purpose::NotHere(..) => "say in a word why, such as: no standby amplifier",
                _ => "say it in a word; Esc drops the note",
            });
            return Vec::new();
        }
        if self.asks_of_figure(words, &text) {
            return Vec::new();
        }
        self.mode = Mode::Key;
        self.keep_reason(&words.purpose, &text);
        let (what, why) = match &words.purpose {
            Purpose::Repair(line) => (self.repair(line, text, words.found.as_ref()), None),
            Purpose::Later(line) => {
                let decide = Decide {
                    of: Ref::Line(line.clone()),
                    state: self.state(line),
                    is: Decision::Skipped,
                };
                (Do::Decide(decide), Some(text))
            }
            Purpose::Note(of) => {
                let of = of.clone();
                (Do::Note(Note { of, text }), None)
            }
            Purpose::NotHere(item, of) => {
                let tick = Tick {
                    item: item.clone(),
                    of: of.clone(),
                    visit: self.site.visit(),
                    is: TickIs::NotHere(text),
                };
                (Do::Tick(tick), None)
            }
            // The others have roads of their own.
            _ => return Vec::new(),
        };
        let effects = self.send_all(
            now,
            vec![New {
                why,
                ..New::of(what)
            }],
        );
        match &words.purpose {
            Purpose::Later(line) => self.pass_on(line),
            Purpose::NotHere(..) => self.next_tick_row(),
            _ => {}
        }
        effects
    }

    fn repair(&self, line: &LineId, what: String, found: Option<&Found>) -> Do {
        let after: StateId = self.state(line);
        Do::Repair(Repair {
            line: line.clone(),
            after,
            what,
            place: found.and_then(|it| it.place.clone()),
            cause: found.map(|it| it.cause.clone()),
        })
    }

    /// From a line that is left, or read, on to the next unread one.
    fn pass_on(&mut self, line: &LineId) {
        if let Some(at) = self.site.plan().line(line) {
            self.hand_on(at);
        }
    }
}
