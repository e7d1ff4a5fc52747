//! The drawing's left side: the cable of a line as a tree, with what is drawn at each place.

use super::super::Session;
use super::super::design::{Drawn, rows as fields};
use super::TreeLine;
use super::cable::{level_figure, run_figure, tap_figure, what_stands};
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::quantity::{Decibel, show};
use crate::site::Figure;

impl Session {
    /// The visible rows, under their head.
    pub(super) fn drawing_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        let Some(at) = self.walked() else {
            return Vec::new();
        };
        let line = &self.site.plan().lines[at];
        let design = &self.analyst.line(at).design;
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
        let limit = Decibel(self.site.figures().get(Figure::FarEndDb));
        self.along_cable(line, &head, (width, rows), |mark, place, drawing| {
            let Some(place) = place else {
                return mark.and(format!("  {drawing}"), Tone::Plain);
            };
            let (node, level) = (&line.nodes[place], design.levels[place]);
            let mut label = text::with_word(drawing, what_stands(node), tree);
            if node.control {
                label.push_str(" control");
            }
            let quiet = node.is_loudspeaker() && level.is_some_and(|it| it < limit);
            let (sign, tone) = match (quiet, node.run) {
                (true, _) => ('-', Tone::Alarm),
                (false, None) => ('?', Tone::Plain),
                _ => (' ', Tone::Plain),
            };
            let (run, tap) = (run_figure(node), tap_figure(node));
            let figures = figures(&run, &tap, &node.cable, &level_figure(level));
            let row = format!(" {}{figures}", text::left(&label, tree));
            mark.and(sign, tone).and(row, Tone::Plain)
        })
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
