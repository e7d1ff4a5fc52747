//! Instruments, visits and assumed figures as they are drawn: the list at the left, at the right what
//! stands behind the row under the cursor, and who said so.

use super::super::Session;
use super::super::design::{Drawn, rows as fields};
use super::TreeLine;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::quantity::show;
use crate::site::{Design, Figure, Kind, Ref, Source};

/// Cells of a figure's value.
const VALUE: usize = 10;
/// Cells of the word behind it.
const WORD: usize = 10;
/// Under this width the word is left to the panel.
const NARROW: usize = 40;

impl Session {
    /// The visible rows, a title before each part of the list.
    pub(super) fn kit_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        let list = self.kit_rows();
        let at = self.kit_row(&list);
        let mut out = Vec::new();
        let mut cursor_at = 0;
        let mut part = None;
        for (nth, of) in list.iter().enumerate() {
            if part != Some(of.kind()) {
                part = Some(of.kind());
                let title = match of.kind() {
                    Kind::Instrument => "instruments",
                    Kind::Visit => "visits",
                    _ if width < NARROW => "figures",
                    _ => "figures, assumed where none was set",
                };
                let title = text::cut(&format!("   {title}"), width);
                out.push(Line::tone(title, Tone::Title).into());
            }
            let cursor = nth == at;
            if cursor {
                cursor_at = out.len();
            }
            let mark = if cursor { '>' } else { ' ' };
            let sign = if self.is_edit_sent(of) { '^' } else { ' ' };
            let [name, value, word] = self.kit_cells(of);
            let word_cells = if width < NARROW { 0 } else { WORD };
            let room = width.saturating_sub(3 + VALUE + 1 + word_cells);
            let word = if word_cells == 0 { "" } else { &word };
            let line = Line::plain(format!(
                "{mark}{sign} {}{} {}",
                text::left(&name, room),
                text::right(&value, VALUE),
                text::left(word, word_cells)
            ));
            out.push(TreeLine { line, cursor });
        }
        let top = text::first_shown(cursor_at, rows, out.len());
        out.into_iter().skip(top).take(rows).collect()
    }

    /// Name, value and a word of a row.
    fn kit_cells(&self, of: &Ref) -> [String; 3] {
        let design = self.site.elements().settled(of);
        match (of, design) {
            (Ref::Figure(name), _) => {
                let Some(figure) = Figure::named(name) else {
                    return [name.clone(), String::new(), String::new()];
                };
                let own = self.own_figure(figure);
                let word = match (own, figure.row().source) {
                    (Some(_), _) => "set",
                    (None, Source::Standard(_)) => "standard",
                    (None, Source::Practice) => "practice",
                    (None, Source::Assumed) => "assumed",
                };
                let value = self.site.figures().get(figure).to_string();
                [name.clone(), value, word.to_owned()]
            }
            (_, Some(Design::Instrument(it))) => {
                let due = match it.due {
                    Some(due) => due.to_string(),
                    None => "no date".to_owned(),
                };
                [it.label.clone(), show::percent(it.accuracy), due]
            }
            (Ref::Visit(id), Some(Design::Visit(it))) => {
                let begun = self.begun(id);
                let day = begun.map_or_else(
                    || "not begun".to_owned(),
                    |(at, _)| at.get(..10).unwrap_or_default().to_owned(),
                );
                let word = if it.returning { "return" } else { "" };
                [it.label.clone(), day, word.to_owned()]
            }
            _ => [of.id().to_owned(), String::new(), "query".to_owned()],
        }
    }

    /// The site's own value for a figure, where it has one.
    fn own_figure(&self, figure: Figure) -> Option<f64> {
        let mut own = self.site.figures().own();
        own.find(|(of, _)| *of == figure).map(|(_, value)| value)
    }

    /// What the row under the cursor is called: a visit by its own label, the one in hand too.
    pub(super) fn kit_label(&self) -> String {
        self.kit_name(&self.kit_at)
    }

    /// What a row is called.
    pub(in crate::session) fn kit_name(&self, of: &Ref) -> String {
        let design = self.site.elements().settled(of);
        let label = design.and_then(Design::label);
        label.unwrap_or_else(|| of.id()).to_owned()
    }

    /// What stands behind the row under the cursor.
    pub(super) fn kit_parts(&self, width: usize) -> Parts {
        let of = &self.kit_at;
        let title = text::cut(&self.kit_label(), width.saturating_sub(12));
        let mut head = Section::titled(&title);
        let elements = self.site.elements();
        match (of, elements.settled(of)) {
            (Ref::Figure(name), _) => self.figure_section(name, width, &mut head),
            (_, Some(design)) => {
                for (name, value) in fields(Drawn(elements), of, design).into_iter().skip(1) {
                    let start = format!("   {}", text::left(name, 11));
                    head.words(&start, &value, width, Tone::Plain);
                }
                if let Ref::Visit(id) = of {
                    self.visit_section(id, width, &mut head);
                }
                if let Some(by) = self.set_by(of) {
                    head.words("   ", &format!("set by {by}"), width, Tone::Plain);
                }
            }
            (_, None) => {
                let words = "two designs of it stand: one is chosen with `linewright choose`";
                head.words(" ? ", words, width, Tone::Plain);
            }
        }
        let mut note = Section::default();
        let words = match of {
            Ref::Instrument(_) => {
                "what is read with it is weighed by its accuracy and stands in the record with it; \
                 a change holds for what was read with it before as well"
            }
            Ref::Visit(_) => {
                "the last visit is the one in hand; ticks and states of lines begin anew with each"
            }
            _ => "every verdict and every suspect is reckoned anew with it",
        };
        note.words(" ", words, width, Tone::Plain);
        Parts {
            first: vec![head, note],
            ..Parts::default()
        }
    }

    /// A figure: what it is, its value, its range, where that comes from.
    pub(super) fn figure_section(&self, name: &str, width: usize, out: &mut Section) {
        let Some(figure) = Figure::named(name) else {
            return;
        };
        let row = figure.row();
        out.words(" ", row.about, width, Tone::Plain);
        let line =
            |name: &str, value: String| Line::plain(format!("   {}{value}", text::left(name, 9)));
        out.push(line("value", self.site.figures().get(figure).to_string()));
        out.push(line("range", format!("{} to {}", row.least, row.most)));
        let source = match self.own_figure(figure) {
            None => row.source.to_string(),
            Some(_) => {
                let by = self.set_by(&Ref::Figure(name.to_owned()));
                by.map_or_else(
                    || "set in the file of the site".to_owned(),
                    |by| format!("set by {by}"),
                )
            }
        };
        out.words("   source   ", &source, width, Tone::Plain);
        if self.own_figure(figure).is_some() {
            let words = format!("{}, {}", row.default, row.source);
            out.words("   default  ", &words, width, Tone::Plain);
        }
    }

    fn visit_section(&self, visit: &crate::site::VisitId, width: usize, out: &mut Section) {
        match self.begun(visit) {
            Some((at, by)) => {
                out.words("   begun      ", &at, width, Tone::Plain);
                out.words("   engineers  ", &by.join(", "), width, Tone::Plain);
            }
            None => out.words("   ", "nothing was recorded on it yet", width, Tone::Plain),
        }
    }

    /// A change of this item is on its way to the disk.
    fn is_edit_sent(&self, of: &Ref) -> bool {
        self.pending
            .iter()
            .any(|it| matches!(&it.entry.what, crate::site::Do::Edit(edit) if edit.of == *of))
    }
}
