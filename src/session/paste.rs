//! A paste is data: shown first, recorded with one Enter, taken back with one `u`.

use super::mode::{Draft, DraftKind, Mode, Purpose, Reads};
use super::update::{LONGEST_DRAFT, longest};
use super::{Message, Session};
use crate::site::{Do, LineId, Read};

/// More readings than this are a file: `linewright record` takes them.
const MOST_PASTED: usize = 200;

impl Session {
    /// A paste goes into an entry that is open, as far as it belongs there. With none open it is a
    /// list of readings, one a row, for the unread lines from the cursor on, or each behind the label
    /// of its line. It never runs as commands.
    pub(super) fn paste(&mut self, text: &str) {
        let design = match &self.mode {
            Mode::Text(words) => self.paste_design(words, text),
            _ => None,
        };
        let text = design.as_deref().unwrap_or(text);
        // A terminal sends the line ends of a paste as carriage returns.
        let rows: Vec<&str> = text
            .split(['\r', '\n'])
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .collect();
        let first = rows.first().copied().unwrap_or_default();
        match &mut self.mode {
            Mode::Reading(draft) => {
                let room = LONGEST_DRAFT.saturating_sub(draft.text.len());
                draft.text.extend(
                    first
                        .chars()
                        .filter(|c| c.is_ascii_graphic() || *c == ' ')
                        .take(room),
                );
                if rows.len() > 1 {
                    self.say("one reading fits here: only the first row was taken");
                }
            }
            Mode::Text(words) => {
                let room = longest(words).saturating_sub(words.text.chars().count());
                for c in first.chars().filter(|c| !c.is_control()).take(room) {
                    words.insert(c);
                }
                if words.purpose == Purpose::Find {
                    let text = words.text.clone();
                    self.show_first_match(&text);
                }
            }
            Mode::Key | Mode::GoList => self.take_pasted(&rows),
        }
    }

    fn take_pasted(&mut self, rows: &[&str]) {
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        match self.understood(rows) {
            Ok(mut readings) if !readings.is_empty() => {
                let count = readings.len();
                let (line, text) = readings.remove(0);
                let first = self.label_of(&line);
                let last = readings.last().map_or(&line, |(line, _)| line);
                let last = self.label_of(last);
                let shown = self.site.plan().line(&line);
                self.place = super::Place::Survey;
                self.mode = Mode::Reading(Draft {
                    more: readings,
                    ..Draft::new(line, DraftKind::Impedance, &text)
                });
                if let Some(at) = shown {
                    self.show_line(at);
                }
                let s = if count == 1 { "" } else { "s" };
                self.message = Message {
                    text: format!("{count} reading{s} pasted, {first} to {last}, not recorded yet"),
                    hint: "Enter records, Esc drops",
                    alarm: false,
                };
            }
            Ok(_) => self.say("nothing was in that paste"),
            Err(why) => {
                self.message = Message {
                    text: format!("paste not taken: {why}"),
                    hint: "",
                    alarm: true,
                };
            }
        }
    }

    /// Each row's line and figure; else what is wrong with which row.
    fn understood(&self, rows: &[&str]) -> Result<Vec<(LineId, String)>, String> {
        if rows.len() > MOST_PASTED {
            return Err(format!(
                "{} rows; at most {MOST_PASTED} at a time",
                rows.len()
            ));
        }
        let plan = self.site.plan();
        let mut out: Vec<(LineId, String)> = Vec::new();
        let here = self.cursor_line().and_then(|id| plan.line(&id));
        let mut from = here
            .filter(|at| self.is_unread(*at))
            .map_or_else(|| self.next_unread(self.before_next()), Some);
        for (row, text) in rows.iter().enumerate() {
            let is_figure = |text: &str| {
                let draft = Draft::new(LineId::default(), DraftKind::Impedance, text);
                draft.read().is_ok()
            };
            let row = row + 1;
            // A label may have blanks in it: the figure is what stands last.
            let labelled = text
                .rsplit_once([' ', '\t', ';', ','])
                .map(|(label, figure)| (label.trim_matches([' ', '\t', ';', ',']), figure))
                .and_then(|(label, figure)| Some((plan.line_labelled(label)?, figure)));
            let (at, figure) = match labelled {
                Some((at, figure)) => (at, figure),
                None => {
                    let taken = |at: usize| out.iter().any(|(id, _)| *id == plan.lines[at].id);
                    let Some(at) = from else {
                        return Err(format!("row {row}, {text}: no unread line is left for it"));
                    };
                    from = self
                        .next_line(Some(at), |session, next| session.is_unread(next))
                        .filter(|next| *next != at && !taken(*next));
                    (at, *text)
                }
            };
            if figure.len() > LONGEST_DRAFT || !is_figure(figure) {
                return Err(format!(
                    "row {row}, {text}, is no reading such as 412 or 4.1k"
                ));
            }
            let id = plan.lines[at].id.clone();
            if out.iter().any(|(other, _)| *other == id) {
                return Err(format!(
                    "row {row}: a second figure for {}",
                    plan.lines[at].label
                ));
            }
            out.push((id, figure.to_owned()));
        }
        Ok(out)
    }

    /// The readings pasted beside the first.
    pub(super) fn pasted(&self, draft: &Draft) -> Vec<Do> {
        let mut out = Vec::new();
        for (line, text) in &draft.more {
            let Some(Ok(Reads::Meter(value, step, phase_deg))) =
                draft.pasted(line).map(|it| it.read())
            else {
                continue;
            };
            if let Some((instrument, made)) = self.instrument(draft.kind) {
                out.push(Do::Read(Read {
                    line: line.clone(),
                    state: self.state(line),
                    value,
                    step_ohm: made.step_ohm.filter(|own| *own > step).unwrap_or(step),
                    text: text.clone(),
                    instrument,
                    hz: made.hz.unwrap_or_else(|| self.site.test_hz()),
                    phase_deg,
                    cut: None,
                    note: None,
                }));
            }
        }
        out
    }
}
