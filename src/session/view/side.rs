//! The panel while one side of an opened line is read: what that side should show by itself.

use super::super::Session;
use super::super::mode::{Draft, DraftKind};
use super::figure_row::figure_row;
use super::line_panel::draft_words;
use super::section::Section;
use super::text::{self, Line, Tone};
use crate::analysis::Side;
use crate::quantity::{Fraction, Hertz, Value, show};
use crate::site::Cut;

impl Session {
    /// What is typed for a side of a line against that side as drawn; the whole line's figure is
    /// another reading's.
    pub(super) fn side_lines(
        &self,
        at: usize,
        draft: &Draft,
        cut: &Cut,
        width: usize,
        out: &mut Section,
    ) {
        let line = &self.site.plan().lines[at];
        let hz = match draft.kind {
            DraftKind::Dc => Hertz(0.0),
            _ => self.site.test_hz(),
        };
        let Some(side) = Side::of(line, self.site.figures(), cut, hz) else {
            let words = format!("{}, line whole: kept, not weighed", self.cut_words(cut));
            out.words(" ", &words, width, Tone::Title);
            out.push(Line::tone(
                format!(" typed    {}", draft_words(draft)),
                Tone::Draft,
            ));
            return;
        };
        let words = format!(
            "{}: {} of {}, {}",
            self.cut_words(cut),
            side.loudspeakers,
            line.loudspeakers(),
            show::marked_watt(side.design)
        );
        out.words(" ", &words, width, Tone::Title);
        match draft.side() {
            None => out.push(Line::tone(
                format!(" typed    {}", draft_words(draft)),
                Tone::Draft,
            )),
            Some((value, _)) => {
                let (load, deviation) = match (value, side.expected) {
                    (Value::Ohm(read), Some(expected)) => (
                        Some(crate::verdict::load(line.volts, read)),
                        Some(crate::verdict::deviation(expected, read)),
                    ),
                    _ => (None, None),
                };
                let load = load.map_or_else(|| "-".to_owned(), show::watt);
                let deviation = deviation.map_or_else(String::new, show::signed_percent);
                let figures = ["* typed", &show::value(value), &load, &deviation];
                out.push(figure_row(width, figures, Tone::Draft));
            }
        }
        let expected = side.expected.map_or_else(|| "open".to_owned(), show::ohm);
        let load = side.load.map_or_else(|| "-".to_owned(), show::watt);
        let spread = side.budget.filter(|_| side.expected.is_some());
        let spread = spread.map_or_else(String::new, |it| {
            format!("+-{}", show::percent(Fraction(it.total())))
        });
        let figures = ["  design", &expected, &load, &spread];
        out.push(figure_row(width, figures, Tone::Plain));
        let instrument = self.instrument(DraftKind::Impedance).map(|(id, _)| id);
        let read = draft.side().map(|(value, _)| value);
        let fits = draft.side().and_then(|read| {
            let with = instrument.unwrap_or_default();
            self.analyst
                .fits_side(&self.site, &side, read, self.in_hand(&with))
        });
        let words = match fits {
            Some(true) => " * this side fits the drawing",
            Some(false) if side.is_open_against_all(read) => " * open: misread, or several faults",
            Some(false) => " * this side is not as drawn",
            // Its row is kept, so that nothing below moves when the figure comes.
            None => "",
        };
        out.push(Line::plain(text::cut(words, width)));
    }
}
