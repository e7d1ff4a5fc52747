//! One amplifier: what its outputs carry and its lines take, read and drawn; which line grew; and
//! what is tried out, beside what stands.

use super::super::Session;
use super::super::tree::{RowId, output_title};
use super::TreeLine;
use super::flaws::past;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::analysis::{OutputFlaw, OutputResult};
use crate::quantity::{Watt, show};
use crate::verdict::OutputWord;

impl Session {
    /// Outputs and lines, the cursor's row in sight.
    pub(super) fn amplifier_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        let plan = self.site.plan();
        let layout = Layout::of(width);
        let head = layout.row("line", ["W read", "drawn", "grew"]);
        let word = if layout.drawn == 0 { "" } else { "  word" };
        let head = format!("   {head}{word}");
        let mut out = vec![Line::tone(text::left(&head, width), Tone::Title).into()];
        let all = self.amplifier_rows();
        let (at, room) = (self.amplifier_row(), rows.saturating_sub(1).max(1));
        let top = text::first_shown(at, room, all.len());
        for (nth, row) in all.iter().enumerate().skip(top).take(room) {
            let cursor = nth == at;
            let mark = if cursor { '>' } else { ' ' };
            let line = match row {
                RowId::Line(id) => {
                    let Some(at) = plan.line(id) else { continue };
                    self.amplifier_line(at, layout, mark)
                }
                RowId::Output(id) => {
                    let Some(at) = plan.outputs.iter().position(|it| it.id == *id) else {
                        continue;
                    };
                    self.amplifier_output(at, layout, mark)
                }
                _ => continue,
            };
            out.push(TreeLine { line, cursor });
        }
        out
    }

    fn amplifier_line(&self, at: usize, layout: Layout, mark: char) -> Line {
        let line = &self.site.plan().lines[at];
        let result = self.analyst.line(at);
        let standing = self.standing(at, false);
        let read = self.load_of(result);
        let drawn = result.design.load;
        let figure = |watt: Option<Watt>| watt.map(show::watt_figure).unwrap_or_default();
        // Of one that reads short nobody knows what it takes.
        let read = match (read, &result.taken) {
            (None, Some(_)) if result.is_stop(self.analyst.limits()) => "?".to_owned(),
            (read, _) => figure(read),
        };
        let grew = self.analyst.grown(at).map(signed).unwrap_or_default();
        Line::plain(mark)
            .and(standing.sign, standing.tone)
            .and(
                format!(
                    " {}{}",
                    layout.row(&format!(" {}", line.label), [&read, &figure(drawn), &grew]),
                    layout.gap()
                ),
                Tone::Plain,
            )
            .and(layout.word(standing.word), standing.tone)
    }

    fn amplifier_output(&self, at: usize, layout: Layout, mark: char) -> Line {
        let plan = self.site.plan();
        let result = self.analyst.output(&self.site, at, None);
        let (sign, word, tone) = self.output_standing(at);
        let load = result.carries.load.map(show::watt_figure);
        let word = if word.is_empty() { "ok" } else { word };
        Line::plain(mark)
            .and(sign, tone)
            .and(
                format!(
                    " {}{}",
                    layout.row(
                        &output_title(plan, at),
                        [
                            &load.unwrap_or_else(|| "-".to_owned()),
                            &show::watt_figure(result.planned),
                            "",
                        ]
                    ),
                    layout.gap()
                ),
                Tone::Title,
            )
            .and(layout.word(word), tone)
    }

    /// The panel: what the output under the cursor carries now, as drawn, what it needs, what grew.
    pub(super) fn amplifier_parts(&self, width: usize) -> Parts {
        let Some(at) = self.output_under() else {
            return Parts::default();
        };
        let result = self.analyst.output(&self.site, at, None);
        let title = text::cut(
            &output_title(self.site.plan(), at),
            width.saturating_sub(12),
        );
        let mut head = Section::titled(&title);
        head.0
            .extend(self.output_under_its_name(at, &result, width).0);
        head.push(Line::plain(format!(
            "   as drawn {}",
            text::right(&show::watt(result.planned), 8)
        )));
        let needed = match result.carries.rating_needed {
            Some(needed) => format!(
                "a rating of {} leaves {:.0} %",
                show::watt(needed),
                result.headroom.get() * 100.0
            ),
            None => "no rating can be named while a line reads short".to_owned(),
        };
        head.words("   ", &needed, width, Tone::Plain);
        let mut grew = Section::titled(if width < 34 {
            "which line grew"
        } else {
            "which line grew, read less drawn"
        });
        let growth = self.analyst.growth(&self.site, at);
        for (line, by) in &growth {
            let label = &self.site.plan().lines[*line].label;
            grew.push(Line::plain(format!(
                "   {}{} W",
                text::left(label, width.saturating_sub(15).min(16)),
                text::right(&signed(*by), 8)
            )));
        }
        let limits = self.analyst.limits();
        let short = result.lines.iter().copied();
        for line in short.filter(|line| self.analyst.line(*line).is_stop(limits)) {
            let label = &self.site.plan().lines[line].label;
            let words = format!("{label} reads short, its load unknown");
            grew.words("   ", &words, width, Tone::Plain);
        }
        if growth.is_empty() {
            grew.push(Line::plain("   no line of it is read yet"));
        }
        let mut ask = Section::titled("what if");
        if let Some(words) = self.mended_first(&result, &growth) {
            ask.words("   ", &words, width, Tone::Plain);
        }
        ask.words(
            " h ",
            "on a line: another output, other taps; nothing changes before Enter",
            width,
            Tone::Plain,
        );
        Parts {
            first: vec![head, self.output_flaws_section(at, width), grew],
            beside: vec![ask, self.outputs_section(width)],
            ..Parts::default()
        }
    }

    /// Of an output that lacks its headroom: the flagged line that grew most, and what would be left to
    /// carry were it as drawn.
    fn mended_first(&self, result: &OutputResult, growth: &[(usize, Watt)]) -> Option<String> {
        let load = result.carries.load?;
        let lacks = result.carries.left? < result.headroom;
        let flagged = |line: usize| self.analyst.line(line).is_flagged();
        // Growth stands with the most first.
        let grew = |it: &&(usize, Watt)| it.1 > Watt(0.0) && flagged(it.0);
        let (line, by) = growth.iter().find(grew)?;
        let label = &self.site.plan().lines[*line].label;
        let then = show::watt(Watt(load.get() - by.get()));
        lacks.then(|| format!("{label} is flagged: mended, and as drawn, {then} here"))
    }

    /// What is tried out: each output before and after.
    pub(super) fn trial_parts(&self, width: usize) -> Parts {
        let mut first = Section::titled("nothing changed yet");
        let plan = self.site.plan();
        let mut rest = Vec::new();
        match self.desk.trial.as_deref().map(|it| (&it.line, &it.came)) {
            None => {}
            Some((_, Err(refused))) => {
                first.words(" ? ", &refused.to_string(), width, Tone::Draft);
            }
            Some((line, Ok((tried, trial)))) => {
                if let (Some(at), Some(then)) = (plan.line(line), trial.line(line)) {
                    let now = self.analyst.line(at);
                    let own = |it: &crate::analysis::LineResult| match &it.taken {
                        Some(_) => self.load_of(it),
                        None => it.design.load,
                    };
                    let figure = |watt: Option<Watt>| {
                        watt.map_or_else(|| "load unknown".to_owned(), show::watt)
                    };
                    let words = format!(
                        "{} now {}, as drawn {}",
                        plan.lines[at].label,
                        figure(own(now)),
                        figure(now.design.load)
                    );
                    first.words("   ", &words, width, Tone::Plain);
                    let words = format!(
                        "then {}, as drawn {}",
                        figure(own(then)),
                        figure(then.design.load)
                    );
                    first.words(" * ", &words, width, Tone::Draft);
                    if let Some((_, level)) = then.design.far_end {
                        let words = format!("far end {}", show::decibel(level));
                        first.words(" * ", &words, width, Tone::Draft);
                    }
                }
                if let Some(words) = tried.crosses {
                    let words = format!("{words}: who signs for the voice alarm decides that");
                    first.words(" ! ", &words, width, Tone::Alarm);
                }
                if let Some(words) = self.volts_words(&tried.built) {
                    first.words(" * ", &words, width, Tone::Draft);
                }
                for id in &tried.outputs {
                    let at = plan.outputs.iter().position(|it| it.id == *id);
                    let (Some(at), Some(then)) = (at, trial.output(id)) else {
                        continue;
                    };
                    let now = self.analyst.output(&self.site, at, None);
                    let mut part = Section::titled(&text::cut(
                        &output_title(plan, at),
                        width.saturating_sub(2),
                    ));
                    part.words("   now  ", &carries(&now), width, Tone::Plain);
                    part.words(" * then ", &carries(&then), width, Tone::Draft);
                    // What the drawing is found to lack after Enter is said before it.
                    for flaw in trial.output_flaws(id) {
                        if let OutputFlaw::Past { planned, rated, .. } = flaw {
                            let words = format!(
                                "as drawn {}, {}",
                                show::watt(planned),
                                past(planned, rated)
                            );
                            part.words(" * then ", &words, width, Tone::Draft);
                        }
                    }
                    rest.push(part);
                }
                if tried.outputs.len() > 1 {
                    let mut part = Section::default();
                    part.words(
                        "   ",
                        "then counts as drawn there: its cores are moved with both amplifiers isolated, \
                         ticked off and back on",
                        width,
                        Tone::Plain,
                    );
                    rest.push(part);
                }
                if tried.retapped {
                    let mut part = Section::default();
                    part.words(
                        "   ",
                        "then counts as drawn: set the taps there, say j, and read it again; until \
                         then the old reading counts as load, and is held against nothing",
                        width,
                        Tone::Plain,
                    );
                    rest.push(part);
                }
            }
        }
        let mut keys = Section::titled("to try");
        for (written, says) in [
            ("to A2/1", "on another output"),
            ("down  up", "every tap a step"),
            ("3w", "every tap so"),
            ("Tab", "next proposal"),
            ("Enter  Esc", "apply, drop"),
        ] {
            let start = format!("   {} ", text::left(written, 11));
            keys.words(&start, says, width, Tone::Plain);
        }
        for part in rest.into_iter().chain([keys]) {
            first.push(Line::default());
            first.0.extend(part.0);
        }
        Parts {
            first: vec![first],
            beside: Vec::new(),
            ..Parts::default()
        }
    }
}

/// Columns of the list: figures have fixed cells, the label takes what is left.
#[derive(Clone, Copy, Debug)]
struct Layout {
    name: usize,
    /// A narrow screen leaves what is drawn, and the word, to the panel.
    drawn: usize,
}

impl Layout {
    fn of(width: usize) -> Self {
        if width < 40 {
            Self {
                name: width.saturating_sub(3 + 7 + 7),
                drawn: 0,
            }
        } else {
            Self {
                name: width.saturating_sub(3 + 7 + 8 + 8 + 2 + 6),
                drawn: 8,
            }
        }
    }

    /// The sign says the same where there is no room for the word.
    fn word(self, word: &str) -> String {
        text::left(word, if self.drawn == 0 { 0 } else { 6 })
    }

    const fn gap(self) -> &'static str {
        if self.drawn == 0 { "" } else { "  " }
    }

    fn row(self, name: &str, [read, drawn, grew]: [&str; 3]) -> String {
        let drawn = if self.drawn == 0 { "" } else { drawn };
        format!(
            "{}{}{}{}",
            text::left(name, self.name),
            text::right(read, 7),
            text::right(drawn, self.drawn),
            text::right(grew, self.drawn.max(7))
        )
    }
}

fn signed(watt: Watt) -> String {
    let text = show::watt_figure(watt);
    if text.starts_with('-') || text == "0.0" {
        text
    } else {
        format!("+{text}")
    }
}

/// `192.9 W, 80.4 %, tight, needs 241.2 W`.
fn carries(result: &OutputResult) -> String {
    let Some(load) = result.carries.load else {
        return "STOP: a line reads short, load unknown".to_owned();
    };
    let mut out = show::watt(load);
    if let Some(used) = result.used() {
        out.push_str(&format!(", {}", show::percent(used)));
    }
    out.push_str(&format!(", {}", result.carries.word.short()));
    if let Some(needed) = result.carries.rating_needed
        && matches!(result.carries.word, OutputWord::Tight | OutputWord::Over)
    {
        out.push_str(&format!(", needs {}", show::watt(needed)));
    }
    if result.carries.unread > 0 {
        out.push_str(&format!(", {} as drawn", result.carries.unread));
    }
    out
}
