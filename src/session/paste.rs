//! A paste is data: shown first, recorded with one Enter, taken back with one `u`.

use super::keys::Place;
use super::mode::{Draft, DraftKind, Mode, Purpose, Reads};
use super::update::{LONGEST_DRAFT, longest};
use super::{Message, Session};
use crate::quantity::show;
use crate::review::Cores;
use crate::site::{Do, LineId, Read, Ref};

/// So many lines of a paste are named one by one; of more the first two and the last.
const MOST_NAMED: usize = 4;
/// More readings than this are a file: `linewright record` takes them.
const MOST_PASTED: usize = 200;

impl Session {
    /// A paste goes into an entry that is open, as far as it belongs there. With none open it is a
    /// list of readings, one a row: for the line under the cursor and the unread ones behind it, or each
    /// behind the label of its line. It never runs as commands.
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
        // Rows of a design are several, as behind a semicolon; nothing else takes more than one.
        let several =
            matches!(&self.mode, Mode::Text(words) if matches!(words.purpose, Purpose::Add(..)));
        let joined = rows.join("; ");
        let first = match several {
            true => joined.as_str(),
            false => rows.first().copied().unwrap_or_default(),
        };
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
                let taken: Vec<char> = first.chars().filter(|c| !c.is_control()).collect();
                let cut = taken.len() > room;
                for c in taken.into_iter().take(room) {
                    words.insert(c);
                }
                if words.purpose == Purpose::Find {
                    let text = words.text.clone();
                    self.show_first_match(&text);
                } else if cut {
                    self.alarm("more was pasted than fits here: its end was left out".to_owned());
                } else if rows.len() > 1 && !several {
                    self.alarm("one row fits here: only the first row was taken".to_owned());
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
        self.stand_on_what_is_shown();
        match self.understood(rows) {
            Ok(mut readings) if !readings.is_empty() => {
                let text = self.pasted_words(&readings);
                let (line, figure) = readings.remove(0);
                let shown = self.site.plan().line(&line);
                self.place = Place::Survey;
                self.mode = Mode::Reading(Draft {
                    more: readings,
                    ..Draft::new(line, DraftKind::Impedance, &figure)
                });
                if let Some(at) = shown {
                    self.show_line(at);
                }
                self.message = Message {
                    text,
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

    /// On a row of the review or of the rack list that is about a line, that line is under the cursor.
    fn stand_on_what_is_shown(&mut self) {
        let line = match self.place {
            Place::Rack => self.tick_at.line.clone(),
            Place::Review => self.review.under().and_then(|row| match &row.item.of {
                Ref::Line(id) => Some(id.clone()),
                _ => None,
            }),
            _ => None,
        };
        if let Some(at) = line.and_then(|id| self.site.plan().line(&id)) {
            self.show_line(at);
        }
    }

    /// Which lines the readings of a paste are for, in their order, which of these are read already, and
    /// what is said before a meter is on them.
    fn pasted_words(&self, readings: &[(LineId, String)]) -> String {
        let plan = self.site.plan();
        let lines: Vec<usize> = readings.iter().filter_map(|it| plan.line(&it.0)).collect();
        let label = |at: &usize| plan.lines[*at].label.clone();
        let labels: Vec<String> = lines.iter().map(label).collect();
        let named = match labels.as_slice() {
            [one, two, .., last] if labels.len() > MOST_NAMED => {
                format!("{one}, {two}, {} more, {last}", labels.len() - 3)
            }
            all => all.join(", "),
        };
        let s = if labels.len() == 1 { "" } else { "s" };
        let again: Vec<String> = lines
            .iter()
            .filter(|at| !self.is_unread(**at))
            .map(label)
            .collect();
        let again = match again.is_empty() {
            true => String::new(),
            false => format!("; read already: {}", show::few(&again, 1)),
        };
        let caution = self.caution_of(&lines);
        format!(
            "{} reading{s} pasted: {named}{again}. {caution}",
            labels.len()
        )
    }

    /// The caution of a reading that is typed, for several lines at once.
    fn caution_of(&self, lines: &[usize]) -> String {
        let situation = self.situation();
        let of = |wanted: Cores| {
            let own = lines.iter().filter(|at| situation.cores(**at) == wanted);
            own.map(|at| self.site.plan().lines[*at].label.clone())
                .collect::<Vec<_>>()
        };
        let (on, not_off) = (of(Cores::BackOn), of(Cores::NotTicked));
        let told = |labels: &[String], how: &str| {
            let verb = if labels.len() == 1 { "is" } else { "are" };
            format!(
                "{} {verb} {how}: no meter there before g r",
                show::few(labels, 1)
            )
        };
        if !on.is_empty() {
            return told(&on, "back ON the amplifier");
        }
        match not_off.is_empty() {
            false => told(&not_off, "not ticked OFF"),
            true if self.nothing_read() => "Amplifier off, locked, lines proved dead?".to_owned(),
            true => "Not recorded yet".to_owned(),
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
        // The line under the cursor is meant, read or not; a branch has its first that is not.
        let here = self.cursor_line().and_then(|id| plan.line(&id));
        let mut from = here.or_else(|| self.next_unread(self.before_next()));
        for (row, text) in rows.iter().enumerate() {
            let is_figure = |text: &str| {
                let draft = Draft::new(LineId::default(), DraftKind::Impedance, text);
                draft.read().is_ok()
            };
            let row = row + 1;
            // As it is said again: a tab is a blank to whoever reads it.
            let said = text.replace('\t', " ");
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
                        return Err(format!("row {row}, {said}: no unread line is left for it"));
                    };
                    from = self
                        .next_line(Some(at), |session, next| session.is_unread(next))
                        .filter(|next| *next != at && !taken(*next));
                    (at, *text)
                }
            };
            if figure.len() > LONGEST_DRAFT || !is_figure(figure) {
                return Err(format!(
                    "row {row}, {said}, is no reading such as 412 or 4.1k"
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
