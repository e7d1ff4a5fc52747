//! The entry line: whose figure or words are typed, and what was typed so far.

use super::super::Session;
use super::super::keys::Place;
use super::super::mode::{DraftKind, Mode, Purpose};
use super::super::tree::RowId;
use super::text::{self, Line, Tone};
use crate::review::says_all_heard;

impl Session {
    pub(super) fn entry_line(&self, columns: usize) -> (Line, Option<usize>) {
        let prompt = match (&self.mode, &self.cursor) {
            (Mode::Reading(draft), _) => {
                let mut label = match draft.kind {
                    DraftKind::Check => String::new(),
                    _ => format!("{} ", self.label_of(&draft.line)),
                };
                if let Some(cut) = &draft.cut {
                    label = format!("{label}{} ", self.cut_words(cut));
                }
                let word = match draft.corrects {
                    Some(_) => "correction",
                    // Where it is narrow the side is said, and that a figure is typed shows.
                    None if draft.is_of_a_side() && columns < super::ROOM_FOR_A_WALK => "",
                    None => draft.kind.word(),
                };
                let prompt = format!("{label}{word}{}", self.instrument_words(draft.kind));
                format!(" {}> ", prompt.trim_end())
            }
            (Mode::Text(words), _) => match &words.purpose {
                Purpose::Find => " find> ".to_owned(),
                Purpose::Elsewhere => " save to folder or file> ".to_owned(),
                Purpose::Record => " write to> ".to_owned(),
                Purpose::Repair(line) => {
                    let found = words.found.as_ref().map(|found| self.found_words(found));
                    let found = found.map_or_else(String::new, |it| format!(", found: {it}"));
                    format!(" {} repaired{found}> ", self.label_of(line))
                }
                Purpose::Later(line) => format!(" {} later, why> ", self.label_of(line)),
                Purpose::ReadingNote(draft) => {
                    let label = self.label_of(&draft.line);
                    format!(" {label} {} note> ", draft.text)
                }
                Purpose::Note(of) => format!(" {} note> ", self.ref_label(of)),
                Purpose::NotHere(item, _) if says_all_heard(item) => {
                    " not heard: what, and why> ".to_owned()
                }
                Purpose::NotHere(..) => " not here, why> ".to_owned(),
                Purpose::Accept(of) => format!(" {} accepted, why> ", self.of_label(of)),
                Purpose::Snag(of) => asking(
                    "",
                    &self.of_label(of),
                    " snag: why, owner, date",
                    columns / 2,
                ),
                Purpose::Skip(of) => format!(" {} later, why> ", self.of_label(of)),
                Purpose::Choose(of, _) => format!(" {} stands, number> ", self.of_label(of)),
                Purpose::Scope => " review and sign for> ".to_owned(),
                Purpose::Sign if self.review.part.is_none() => " sign: name, role> ".to_owned(),
                Purpose::Sign => {
                    asking("sign for ", &self.signed_for(), ": name, role", columns / 2)
                }
                design => self.design_prompt(design),
            },
            (Mode::GoList, _) => " go to> ".to_owned(),
            (Mode::Key, RowId::Line(line))
                if matches!(self.place, Place::Walk | Place::Drawing) =>
            {
                let node = self.walked().and_then(|at| {
                    let nodes = &self.site.plan().lines[at].nodes;
                    nodes
                        .get(self.walk_row().checked_sub(1)?)
                        .map(|node| node.label.clone())
                });
                format!(
                    " {} {}> ",
                    self.label_of(line),
                    node.unwrap_or_else(|| "rack".to_owned())
                )
            }
            (Mode::Key, _) if self.place == Place::Rack => {
                let list = self.tick_rows();
                let row = list.get(self.tick_at(&list));
                let words = row.map_or("rack list", |row| row.item.words);
                let line = row.and_then(|row| row.id.line.as_ref());
                let several = row.filter(|row| row.lines.len() > 1 && row.is_due());
                let label = match (line, several) {
                    (Some(line), _) => self.label_of(line) + " ",
                    // Drawn as a line's row is, it stands for so many.
                    (None, Some(row)) => format!("Space ticks {} lines: ", row.lines.len()),
                    (None, None) => String::new(),
                };
                format!(" {label}{words}> ")
            }
            (Mode::Key, _) if self.place == Place::Kit => {
                format!(" {}> ", self.kit_label())
            }
            (Mode::Key, _) if self.place == Place::Review => self.review_prompt(),
            (Mode::Key, RowId::Line(line)) => format!(" {}> ", self.label_of(line)),
            (Mode::Key, _) => {
                let row = self.row_at(&self.cursor).map(|at| &self.rows[at]);
                format!(" {}> ", row.map_or("", |row| row.title.as_str()))
            }
        };
        let prompt = match self.breaks_a_seal() {
            true => warned(&prompt, columns * 3 / 4),
            // Nothing is typed there: the whole row is the prompt's.
            false if self.mode == Mode::Key => self.whole_prompt(&prompt, columns),
            // What was picked stays in view whole.
            false if self.has_found() => fitted(&prompt, columns * 2 / 3),
            false => fitted(&prompt, columns / 2),
        };
        let start = text::width(&prompt);
        let line = Line::plain(prompt);
        match &self.mode {
            Mode::Reading(draft) => {
                let typed = text::cut(&draft.text, columns.saturating_sub(start + 1));
                let caret = start + text::width(&typed);
                let room = columns.saturating_sub(caret + 2);
                let beside = match (&draft.note, draft.more.len()) {
                    (Some(note), _) => text::cut(&format!("  note: {note}"), room),
                    (None, 0) => String::new(),
                    (None, n) => text::cut(&format!("  and {n} more"), room),
                };
                let line = line.and(typed, Tone::Draft).and(beside, Tone::Plain);
                (line, Some(caret))
            }
            Mode::Text(words) => {
                let room = columns.saturating_sub(start + 1);
                let (typed, caret) = text::window(&words.text, words.caret, room);
                (
                    line.and(typed, Tone::Draft),
                    Some((start + caret).min(columns.saturating_sub(1))),
                )
            }
            // Where it is wider the header says it.
            Mode::Key if self.place == Place::Review && columns < super::ROOM_FOR_A_WALK => {
                let words = self.in_the_way_words();
                let gap = columns.saturating_sub(start + text::width(&words));
                let words = if gap > 2 { words } else { String::new() };
                let line = line.and(" ".repeat(gap), Tone::Plain);
                (line.and(words, Tone::Plain), Some(start))
            }
            _ => (line, Some(start)),
        }
    }
}

impl Session {
    /// A prompt behind which nothing is typed yet. Of an item of the rack list that is too long, what stands
    /// behind its last comma gives way, since the panel has it whole.
    fn whole_prompt(&self, prompt: &str, columns: usize) -> String {
        let room = columns.saturating_sub(1);
        let mut words = prompt.trim_end_matches("> ");
        while self.place == Place::Rack && text::width(words) + 2 > room {
            match words.rsplit_once(", ") {
                Some((shorter, _)) => words = shorter,
                None => break,
            }
        }
        fitted(&format!("{words}> "), room)
    }
}

/// A prompt in which the name gives way where there is no room, not what is asked for.
fn asking(before: &str, name: &str, wanted: &str, room: usize) -> String {
    let rest = text::width(before) + text::width(wanted) + 3;
    let name = text::cut(name, room.saturating_sub(rest));
    format!(" {before}{name}{wanted}> ")
}

/// A prompt that says what is about to be broken: behind the label where there is room, else before it,
/// so that it is never what is cut.
fn warned(prompt: &str, room: usize) -> String {
    let label = prompt.trim_end_matches("> ");
    let behind = format!("{label}, signed: this breaks the seal> ");
    match text::width(&behind) <= room {
        true => behind,
        false => fitted(&format!(" breaks the seal,{label}> "), room),
    }
}

/// What of a prompt has no room gives way, not the sign that something may be typed behind it.
fn fitted(prompt: &str, room: usize) -> String {
    match prompt.strip_suffix("> ") {
        Some(words) if text::width(prompt) > room => {
            format!("{}> ", text::cut(words, room.saturating_sub(2)))
        }
        _ => text::cut(prompt, room),
    }
}
