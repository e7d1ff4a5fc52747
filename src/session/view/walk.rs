//! The walk's left side: the cable as a tree, with answers and suspicion at each place.

use super::super::Session;
use super::TreeLine;
use super::cable::{run_figure, tap_figure, what_stands};
use super::text::{self, Tone};
use crate::quantity::show;
use crate::site::{Heard, NodeIs};

/// Under this width the walk shows answers and odds alone.
const NARROW: usize = 40;

impl Session {
    /// The visible rows, under their head.
    pub(super) fn walk_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        let Some(at) = self.walked() else {
            return Vec::new();
        };
        let line = &self.site.plan().lines[at];
        let result = self.analyst.line(at);
        let history = self.site.history(&line.id);
        let answers = history.answers(&self.site, &result.state);
        let suspects = self.suspects(at, None);
        let next = self.next_place(at);
        // Sign, answer and figures have fixed columns; drawing and shade share what is left.
        // Too narrow for all of them, metres and watts stand in the panel's cable alone.
        let cells = if width < NARROW { [0, 0] } else { [5, 6] };
        let room = width.saturating_sub(3 + 10 + cells[0] + cells[1] + 6);
        let shade = if room > 24 { room - 16 } else { 0 };
        let tree = room - shade;
        let head = format!(
            "   {}{}{}{}{}",
            text::left("answer", 10),
            text::left("place", tree),
            column("m", cells[0]),
            column("W", cells[1]),
            text::right("fault", 6)
        );
        self.along_cable(line, &head, (width, rows), |mark, place, drawing| {
            let Some(place) = place else {
                let (words, tone) = match result.open_split {
                    Some(_) => ("  OPEN: b when closed".to_owned(), Tone::Alarm),
                    None => (format!("  tone of {}", self.tone_words()), Tone::Plain),
                };
                let room = width.saturating_sub(17);
                let words = match (text::width(&words) <= room, tone) {
                    (true, _) => words,
                    (false, Tone::Alarm) => "  OPEN".to_owned(),
                    (false, _) => String::new(),
                };
                let rack = format!("            {drawing}");
                return mark.and(rack, Tone::Plain).and(words, tone);
            };
            let node = &line.nodes[place];
            let heard = answers
                .iter()
                .find(|(_, it)| it.at == node.id)
                .map(|(_, it)| it.gives);
            let (sign, word, tone) = match (heard, node.is_loudspeaker()) {
                (Some(heard), _) => answer_sign(heard),
                (None, _) if next == Some(place) && result.open_split.is_none() => {
                    ('.', "next", Tone::Draft)
                }
                (None, true) => ('.', "unheard", Tone::Plain),
                (None, false) => (' ', "", Tone::Plain),
            };
            let what = match node.is {
                NodeIs::Junction => what_stands(node),
                _ if node.control => &["control"],
                _ => &[],
            };
            // Where the branches leave no room for it, the name alone says which it is.
            let drawing = match text::width(drawing) > tree {
                true => &node.label,
                false => drawing,
            };
            let label = match result.open_split.as_ref() == Some(&node.id) {
                true => format!("{drawing} OPEN"),
                false => text::with_word(drawing, what, tree),
            };
            let odds = suspects
                .as_ref()
                .and_then(|it| it.places.iter().find(|(id, _, _)| **id == node.id))
                .map(|(_, _, odds)| *odds);
            let bar = odds.map_or(0, |odds| {
                (odds.get() * shade.saturating_sub(1) as f64).round() as usize
            });
            let odds = odds.map_or_else(String::new, show::probability);
            mark.and(sign, tone)
                .and(' ', Tone::Plain)
                .and(text::left(word, 9), tone)
                .and(
                    format!(
                        " {}{}{}{}{}{}",
                        text::left(&label, tree),
                        column(&run_figure(node), cells[0]),
                        column(&tap_figure(node), cells[1]),
                        text::right(&odds, 6),
                        if bar > 0 { " " } else { "" },
                        "#".repeat(bar),
                    ),
                    Tone::Plain,
                )
        })
    }
}

/// A figure in a column, or nothing where the column has no room.
fn column(text: &str, cells: usize) -> String {
    if cells == 0 {
        String::new()
    } else {
        text::right(text, cells)
    }
}

fn answer_sign(heard: Heard) -> (char, &'static str, Tone) {
    let word = heard.short_word();
    match heard {
        Heard::Heard => ('=', word, Tone::Plain),
        Heard::Silent | Heard::Quiet => ('-', word, Tone::Alarm),
        Heard::Loud => ('+', word, Tone::Alarm),
        Heard::Distorted | Heard::Reversed => ('~', word, Tone::Alarm),
        Heard::Noisy => ('.', word, Tone::Plain),
    }
}
