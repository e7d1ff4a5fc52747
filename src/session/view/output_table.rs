//! Load against rating of every output, a row each: bar, figures, word, lines read.

use super::super::Session;
use super::super::tree::output_title;
use super::TreeLine;
use super::text::{self, Line, Tone};
use crate::quantity::show;
use crate::report::picture;
use crate::verdict::OutputWord;

impl Session {
    /// The head of the table; with the part that is shown, and the mark of the page.
    pub(super) fn output_head(
        &self,
        width: usize,
        part: Option<((usize, usize, usize), Option<String>)>,
    ) -> Line {
        let end = match part {
            Some(((first, last, all), mark)) => {
                let rows = if last - first + 1 < all {
                    format!("{first}-{last} of {all}")
                } else {
                    String::new()
                };
                let mark = mark.unwrap_or_default();
                format!("{rows}  {mark}").trim().to_owned()
            }
            None => String::new(),
        };
        let layout = Table::of(width);
        let start = layout.head();
        let room = width.saturating_sub(1);
        if text::width(&start) + 2 + text::width(&end) <= room {
            return Line::ends(&start, &end, room, Tone::Title);
        }
        // The mark takes the place of the column names it does not fit beside.
        if end.is_empty() {
            Line::tone(start, Tone::Title)
        } else {
            Line::tone(layout.head_under(&end), Tone::Title)
        }
    }

    /// Every output, the cursor's marked.
    pub(super) fn output_table(&self, width: usize) -> Vec<TreeLine> {
        let plan = self.site.plan();
        let layout = Table::of(width);
        let here = self.output_under();
        (0..plan.outputs.len())
            .map(|at| {
                let output = &plan.outputs[at];
                let result = self.analyst.output(&self.site, at, None);
                let (sign, word, tone) = self.output_standing(at);
                let word = if word.is_empty() { "ok" } else { word };
                let cursor = here == Some(at);
                let mark = if cursor { '>' } else { ' ' };
                let lines = output.lines.clone();
                let read = lines.filter(|at| self.analyst.line(*at).is_read()).count();
                let zone = self.zones_of_output(at, layout.zone.saturating_sub(1));
                let bar = match (result.carries.load, output.rated) {
                    (Some(load), Some(rated)) if layout.bar > 2 => {
                        let cells = layout.bar - 2;
                        let bar = picture::load_bar(load, rated, result.headroom, cells);
                        let drawn = picture::to_text(&bar, cells, 1, self.opening.ascii);
                        let drawn = drawn.into_iter().next().unwrap_or_default();
                        format!("[{}]", text::left(&drawn, cells))
                    }
                    _ if result.carries.word == OutputWord::Stop => {
                        let stops: Vec<&str> = result
                            .stops()
                            .map(|line| plan.lines[line].label.as_str())
                            .collect();
                        format!("{} short", stops.join(", "))
                    }
                    _ => String::new(),
                };
                let load = result.carries.load.map(show::watt_figure);
                let used = result.used().map(show::percent);
                let rated = output.rated.map(|it| {
                    let text = show::marked_watt(it);
                    text.trim_end_matches(" W").to_owned()
                });
                let dash = || "-".to_owned();
                let figures = format!(
                    "{}{}{}  ",
                    text::right(&load.unwrap_or_else(dash), 8),
                    text::right(&rated.unwrap_or_else(dash), 7),
                    text::right(&used.unwrap_or_else(dash), 9)
                );
                let gap = if layout.bar > 0 { " " } else { "" };
                let line = Line::plain(mark)
                    .and(sign, tone)
                    .and(
                        format!(
                            " {}{}{}{gap}{figures}",
                            text::left(&output_title(plan, at), layout.name),
                            text::left(&zone, layout.zone),
                            text::left(&bar, layout.bar),
                        ),
                        Tone::Plain,
                    )
                    .and(text::left(word, 5), tone)
                    .and(
                        text::right(&format!("{read}/{}", output.lines.len()), 6),
                        Tone::Plain,
                    );
                TreeLine { line, cursor }
            })
            .collect()
    }
}

impl Session {
    /// The zones that an output feeds, in so many cells: all where they have room, else the first and how many
    /// more.
    fn zones_of_output(&self, at: usize, room: usize) -> String {
        let plan = self.site.plan();
        let mut zones: Vec<&str> = Vec::new();
        for line in plan.outputs[at].lines.clone() {
            let zone = plan.lines[line].zone_label.as_str();
            if !zones.contains(&zone) {
                zones.push(zone);
            }
        }
        let all = zones.join(", ");
        match &zones[..] {
            [first, more @ ..] if !more.is_empty() && text::width(&all) > room => {
                let more = format!(" +{}", more.len());
                text::cut(first, room.saturating_sub(text::width(&more))) + &more
            }
            _ => all,
        }
    }
}

/// Columns of the table of outputs.
struct Table {
    name: usize,
    zone: usize,
    bar: usize,
}

impl Table {
    /// Figures take 24 cells, word and count 13; name, zone and bar share the rest.
    fn of(width: usize) -> Self {
        let room = width.saturating_sub(3 + 26 + 5 + 6 + 1);
        match room {
            0..=15 => Self {
                name: room,
                zone: 0,
                bar: 0,
            },
            16..=27 => Self {
                name: 10,
                zone: room - 10,
                bar: 0,
            },
            28..=60 => Self {
                name: 10,
                zone: (room - 10) / 2,
                bar: room - 11 - (room - 10) / 2,
            },
            _ => Self {
                name: 12,
                zone: 24,
                bar: (room - 37).min(60),
            },
        }
    }

    fn figures() -> String {
        format!(
            "{}{}{}  {}{}",
            text::right("W", 8),
            text::right("of W", 7),
            text::right("used", 9),
            text::left("word", 5),
            text::right("read", 6)
        )
    }

    fn head(&self) -> String {
        let gap = if self.bar > 0 { " " } else { "" };
        format!(
            "   {}{}{}{gap}{}",
            text::left("output", self.name),
            text::left("zone", self.zone),
            text::left("load, rating", self.bar),
            Self::figures()
        )
    }

    /// The names of the figures stay over their columns; the mark stands before them.
    fn head_under(&self, mark: &str) -> String {
        let gap = usize::from(self.bar > 0);
        let before = 3 + self.name + self.zone + self.bar + gap;
        let room = before.saturating_sub(text::width(mark) + 1);
        let name = if room > 9 { "   output" } else { "" };
        format!("{}{mark} {}", text::left(name, room), Self::figures())
    }
}
