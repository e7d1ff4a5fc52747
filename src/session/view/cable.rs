//! The cable of a line as a tree: metres, tap, level, and the suspicion at each place.

use super::super::Session;
use super::TreeLine;
use super::section::Section;
use super::text::{self, Line, Tone};
use crate::quantity::{Decibel, show};
use crate::report::picture;
use crate::site::{LinePlan, NodeIs, NodePlan};

/// Under this width the columns of figures stand closer.
const NARROW: usize = 38;
/// Cells that no cable's tree fills: each row is cut to its own column.
const CELLS: usize = 200;

/// Length of the run that feeds a node, m.
pub(super) fn run_figure(node: &NodePlan) -> String {
    node.run
        .map_or_else(|| "?".to_owned(), |run| run.get().to_string())
}

/// The tap of a loudspeaker, W.
pub(super) fn tap_figure(node: &NodePlan) -> String {
    node.tap().map_or_else(String::new, |tap| {
        show::marked_watt(tap).trim_end_matches(" W").to_owned()
    })
}

/// A level as drawn, dB.
pub(super) fn level_figure(level: Option<Decibel>) -> String {
    level.map_or_else(
        || "-".to_owned(),
        |level| show::decibel(level).trim_end_matches(" dB").to_owned(),
    )
}

/// What stands at a node that is no loudspeaker, the longest word first.
pub(super) const fn what_stands(node: &NodePlan) -> &'static [&'static str] {
    match node.is {
        NodeIs::Junction => &["joint box", "joint"],
        NodeIs::Device { .. } => &["device"],
        NodeIs::Loudspeaker { .. } => &[],
    }
}

impl Session {
    /// The cable of a line as a tree: the rack, then a row a node.
    fn cable_tree(&self, line: &LinePlan) -> Vec<String> {
        let rows = line.nodes.len() + 1;
        picture::to_text(&picture::cable_tree(line), CELLS, rows, self.opening.ascii)
    }

    /// The left side of a place that goes along a cable: its head and the rows in sight. `row` puts behind
    /// the cursor's mark what stands at the rack, or at a node by its place, and how it is drawn.
    pub(super) fn along_cable(
        &self,
        line: &LinePlan,
        head: &str,
        (width, rows): (usize, usize),
        row: impl Fn(Line, Option<usize>, &str) -> Line,
    ) -> Vec<TreeLine> {
        let head = Line::tone(text::left(head, width), Tone::Title);
        let drawn = self.cable_tree(line);
        let shown = drawn.iter().enumerate().skip(self.walk_top);
        let shown = shown.take(rows.saturating_sub(1)).map(|(at, drawing)| {
            let cursor = at == self.walk_row();
            let mark = Line::plain(if cursor { '>' } else { ' ' });
            let line = row(mark, at.checked_sub(1), drawing);
            TreeLine { line, cursor }
        });
        std::iter::once(head.into()).chain(shown).collect()
    }

    pub(super) fn cable_section(&self, at: usize, width: usize) -> Section {
        let line = &self.site.plan().lines[at];
        let result = self.analyst.line(at);
        // Figures have fixed columns; the drawing takes what is left.
        let [m, w, db, odds] = if width < NARROW {
            [4, 5, 6, 6]
        } else {
            [5, 6, 7, 7]
        };
        let tree_width = width.saturating_sub(1 + m + w + db + odds).max(8);
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
        for (row, drawing) in self.cable_tree(line).iter().enumerate() {
            let Some(node) = row.checked_sub(1).map(|at| &line.nodes[at]) else {
                out.push(Line::plain(format!(" {drawing}")));
                continue;
            };
            let answer = answers.iter().find(|(_, it)| it.at == node.id);
            let answer = answer.map_or_else(String::new, |(_, answer)| {
                format!(" {}", answer.gives.short_word())
            });
            let room = tree_width.saturating_sub(answer.len());
            let mut label = text::with_word(drawing, what_stands(node), room);
            if node.control {
                let long = " behind a control";
                let fits = text::width(&label) + long.len() + answer.len() <= tree_width;
                label.push_str(if fits { long } else { " control" });
            }
            label.push_str(&answer);
            let place = suspects
                .as_ref()
                .and_then(|it| it.places.iter().find(|(at, _, _)| **at == node.id))
                .map_or_else(String::new, |(_, _, probability)| {
                    show::probability(*probability)
                });
            out.push(Line::plain(format!(
                " {}{}{}{}{}",
                text::left(&label, tree_width),
                text::right(&run_figure(node), m),
                text::right(&tap_figure(node), w),
                text::right(&level_figure(result.design.levels[row - 1]), db),
                text::right(&place, odds),
            )));
        }
        out
    }
}
