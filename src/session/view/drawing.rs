//! The drawing's left side: the cable of a line as a tree, with what is drawn at each place.

use super::super::Session;
use super::super::design::{Drawn, rows as fields};
use super::TreeLine;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::quantity::{Decibel, show};
use crate::report::picture;
use crate::site::{Figure, NodeIs};

impl Session {
    /// The visible rows, under their head.
    pub(super) fn drawing_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        let Some(at) = self.walked() else {
            return Vec::new();
        };
        let line = &self.site.plan().lines[at];
        let design = &self.analyst.line(at).design;
        let count = line.nodes.len() + 1;
        let drawn = picture::to_text(&picture::cable_tree(line), 200, count, self.opening.ascii);
        // A narrow screen leaves cable and level to the panel.
        let (cable, db) = if width < 40 { (0, 0) } else { (9, 7) };
        let tree = width.saturating_sub(3 + 6 + 6 + cable + db);
        let figures = |run: &str, tap: &str, make: &str, level: &str| {
            let make = if cable == 0 {
                String::new()
            } else {
                format!(" {}", text::left(make, cable - 1))
            };
            format!(
                "{}{}{make}{}",
                text::right(run, 6),
                text::right(tap, 6),
                text::right(if db == 0 { "" } else { level }, db)
            )
        };
        let head = format!(
            "   {}{}",
            text::left("place", tree),
            figures("m", "W", " cable", "dB")
        );
        let mut out = vec![TreeLine {
            line: Line::tone(text::left(&head, width), Tone::Title),
            cursor: false,
        }];
        let limit = Decibel(self.site.figures().get(Figure::FarEndDb));
        for (row, drawing) in drawn
            .iter()
            .enumerate()
            .skip(self.walk_top)
            .take(rows.saturating_sub(1))
        {
            let cursor = row == self.walk_row();
            let mark = if cursor { '>' } else { ' ' };
            let Some(place) = row.checked_sub(1) else {
                let line = Line::plain(format!("{mark}  {drawing}"));
                out.push(TreeLine { line, cursor });
                continue;
            };
            let node = &line.nodes[place];
            let what: &[&str] = match node.is {
                NodeIs::Junction => &["joint box", "joint"],
                NodeIs::Device { .. } => &["device"],
                NodeIs::Loudspeaker { .. } => &[],
            };
            let mut label = text::with_word(drawing, what, tree);
            if node.control {
                label.push_str(" control");
            }
            let quiet = node.is_loudspeaker() && design.levels[place].is_some_and(|it| it < limit);
            let (sign, tone) = match (quiet, node.run) {
                (true, _) => ('-', Tone::Alarm),
                (false, None) => ('?', Tone::Plain),
                _ => (' ', Tone::Plain),
            };
            let run = node
                .run
                .map_or_else(|| "?".to_owned(), |run| run.get().to_string());
            let tap = node.tap().map_or_else(String::new, |tap| {
                show::marked_watt(tap).trim_end_matches(" W").to_owned()
            });
            let level = design.levels[place].map_or_else(
                || "-".to_owned(),
                |level| show::decibel(level).trim_end_matches(" dB").to_owned(),
            );
            let line = Line::plain(mark).and(sign, tone).and(
                format!(
                    " {}{}",
                    text::left(&label, tree),
                    figures(&run, &tap, &node.cable, &level)
                ),
                Tone::Plain,
            );
            out.push(TreeLine { line, cursor });
        }
        out
    }

    /// The panel beside the drawing: the line as drawn, what is wrong with it, what stands here.
    pub(super) fn drawing_parts(&self, width: usize) -> Parts {
        let Some(at) = self.walked() else {
            return Parts::default();
        };
        let line = &self.site.plan().lines[at];
        let design = &self.analyst.line(at).design;
        let mut head = Section::titled(&text::cut(
            &format!("{} {}", line.label, line.zone_label),
            width.saturating_sub(12),
        ));
        head.words(" ", &super::line_panel::describe(line), width, Tone::Plain);
        let should = match (design.expected, design.load) {
            (Some(ohm), Some(load)) => format!("{}, {}", show::ohm(ohm), show::watt(load)),
            _ => "open: nothing is connected".to_owned(),
        };
        let should = format!("as drawn it reads {should}");
        head.words(" ", &should, width, Tone::Plain);
        if let Some((node, level)) = design.far_end {
            let words = format!(
                "far end {} at {}",
                show::decibel(level),
                line.nodes[node].label
            );
            head.words(" ", &words, width, Tone::Plain);
        }
        let planned = self.analyst.output(&self.site, line.output, None).planned;
        let title = super::super::tree::output_title(self.site.plan(), line.output);
        let rated = self.site.plan().outputs[line.output].rated;
        let of = rated.map_or_else(String::new, |rated| {
            format!(" of {}", show::marked_watt(rated))
        });
        let words = format!("{title} planned {}{of}", show::watt(planned));
        head.words(" ", &words, width, Tone::Plain);
        let mut here = Section::default();
        let item = self.item();
        if let Some(design) = self.site.elements().settled(&item) {
            for (nth, (name, value)) in fields(Drawn(self.site.elements()), &item, design)
                .into_iter()
                .enumerate()
            {
                let start = format!("   {}", text::left(name, 13));
                let room = width.saturating_sub(text::width(&start) + 1);
                let tone = if nth == 0 { Tone::Title } else { Tone::Plain };
                here.push(Line::tone(
                    format!("{start}{}", text::cut(&value, room)),
                    tone,
                ));
            }
        }
        Parts {
            first: vec![head, self.design_check(at, width)],
            beside: vec![here],
            ..Parts::default()
        }
    }
}
