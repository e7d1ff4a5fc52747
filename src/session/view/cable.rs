//! The cable of a line as a tree: metres, tap, level, and the suspicion at each place.

use super::super::Session;
use super::section::Section;
use super::text::{self, Line, Tone};
use crate::quantity::show;
use crate::report::picture;
use crate::site::NodeIs;

/// Under this width the columns of figures stand closer.
const NARROW: usize = 38;

impl Session {
    pub(super) fn cable_section(&self, at: usize, width: usize) -> Section {
        let line = &self.site.plan().lines[at];
        let result = self.analyst.line(at);
        let rows = line.nodes.len() + 1;
        // Figures have fixed columns; the drawing takes what is left.
        let [m, w, db, odds] = if width < NARROW {
            [4, 5, 6, 6]
        } else {
            [5, 6, 7, 7]
        };
        let tree_width = width.saturating_sub(1 + m + w + db + odds).max(8);
        let drawn = picture::to_text(&picture::cable_tree(line), 200, rows, self.opening.ascii);
        let typed = self.draft_on(at).and_then(|draft| draft.impedance());
        let suspects = self.suspects(at, typed).filter(|_| !self.is_passing(at));
        let history = self.site.history(&line.id);
        let answers = history.answers(&self.site, &result.state);
        let head = format!(
            " {}{}{}{}{}",
            text::left("cable as drawn", tree_width),
            text::right("m", m),
            text::right("W", w),
            text::right("dB", db),
            text::right("fault", odds)
        );
        let mut out = Section(vec![Line::tone(head, Tone::Title)]);
        for (row, drawing) in drawn.iter().enumerate() {
            let Some(node) = row.checked_sub(1).map(|at| &line.nodes[at]) else {
                out.push(Line::plain(format!(" {drawing}")));
                continue;
            };
            let answer = answers.iter().find(|(_, it)| it.at == node.id);
            let answer = answer.map_or_else(String::new, |(_, answer)| {
                format!(" {}", answer.gives.short_word())
            });
            let what: &[&str] = match &node.is {
                NodeIs::Junction => &["joint box", "joint"],
                NodeIs::Device { .. } => &["device"],
                NodeIs::Loudspeaker { .. } => &[],
            };
            let room = tree_width.saturating_sub(answer.len());
            let mut label = text::with_word(drawing, what, room);
            if node.control {
                let long = " behind a control";
                let fits = text::width(&label) + long.len() + answer.len() <= tree_width;
                label.push_str(if fits { long } else { " control" });
            }
            label.push_str(&answer);
            let run = node
                .run
                .map_or_else(|| "?".to_owned(), |run| format!("{}", run.get()));
            let tap = node.tap().map_or_else(String::new, |tap| {
                show::marked_watt(tap).trim_end_matches(" W").to_owned()
            });
            let level = result.design.levels[row - 1].map_or_else(
                || "-".to_owned(),
                |level| show::decibel(level).trim_end_matches(" dB").to_owned(),
            );
            let place = suspects
                .as_ref()
                .and_then(|it| it.places.iter().find(|(at, _, _)| **at == node.id))
                .map_or_else(String::new, |(_, _, probability)| {
                    show::probability(*probability)
                });
            out.push(Line::plain(format!(
                " {}{}{}{}{}",
                text::left(&label, tree_width),
                text::right(&run, m),
                text::right(&tap, w),
                text::right(&level, db),
                text::right(&place, odds),
            )));
        }
        out
    }
}
