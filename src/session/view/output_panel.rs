//! What an output carries: rating, bar, what is left; with a reading that is typed counted in.

use super::super::Session;
use super::super::mode::Mode;
use super::super::tree::output_title;
use super::section::Section;
use super::text::{self, Line, Tone};
use crate::analysis::lookalikes;
use crate::quantity::{Fraction, show};
use crate::report::picture;
use crate::verdict::OutputWord;

impl Session {
    /// An output, the draft of one of its lines counted in.
    pub(super) fn output_with_draft(&self, at: usize) -> crate::analysis::OutputResult {
        let drafted = match &self.mode {
            Mode::Reading(draft) => self.site.plan().line(&draft.line).zip(draft.impedance()),
            _ => None,
        };
        match drafted {
            Some((line, (value, step))) => {
                let result = self.with_draft(line, value, step);
                self.analyst.output(&self.site, at, Some((line, &result)))
            }
            None => self.analyst.output(&self.site, at, None),
        }
    }

    pub(super) fn output_part(&self, at: usize, width: usize) -> Section {
        let place = self.analyst.output_of(&self.site, at);
        let before = self.analyst.output(&self.site, place, None);
        let now = self.output_with_draft(place);
        let drafted = self
            .draft_on(at)
            .is_some_and(|draft| draft.impedance().is_some());
        // The row between line and output is where a likely slip of the hand is named, so that
        // nothing below moves while digits come.
        let typed = self.draft_on(at).map(|draft| draft.text.as_str());
        let result = self.analyst.line(at);
        let read = result.taken.as_ref().map(|taken| taken.text.as_str());
        let look = typed.or(read).and_then(|text| {
            lookalikes(text, result.design.expected, self.analyst.limits())
                .into_iter()
                .next()
        });
        let gap = look.map_or_else(Line::default, |look| {
            Line::plain(text::cut(&format!(" look  {}", look.text()), width))
        });
        let mut out = Section(vec![gap]);
        out.0.extend(self.output_lines(place, &now, width).0);
        if drafted && let Some(used) = before.used() {
            let words = format!("   was {}", show::percent(used));
            if let Some(carries) = out.0.get_mut(3) {
                let room = width.saturating_sub(carries.width());
                if text::width(&words) <= room {
                    *carries = std::mem::take(carries).and(words, Tone::Plain);
                }
            }
        }
        out
    }

    /// The same where its name stands above.
    pub(super) fn output_under_its_name(
        &self,
        place: usize,
        now: &crate::analysis::OutputResult,
        width: usize,
    ) -> Section {
        let mut out = self.output_lines(place, now, width);
        let name = format!(" {}, ", output_title(self.site.plan(), place));
        if let Some(first) = out.0.first_mut()
            && let Some(rest) = first.text().strip_prefix(&name)
        {
            *first = Line::plain(format!("   {rest}"));
        }
        // What stops it may be OFF: the others are on.
        if let (OutputWord::Stop, Some(load)) = (now.carries.word, now.now.load) {
            let past = match now.now.left {
                Some(left) if left < now.headroom => ", past its headroom",
                _ => "",
            };
            let words = format!("on it now, by the ticks: {}{past}", show::watt(load));
            out.words("   ", &words, width, Tone::Plain);
        }
        out
    }

    /// An output: its rating, its bar, what it carries and has left.
    pub(super) fn output_lines(
        &self,
        place: usize,
        now: &crate::analysis::OutputResult,
        width: usize,
    ) -> Section {
        let plan = self.site.plan();
        let output = &plan.outputs[place];
        let news = self.is_news(place, now.carries.word);
        let mut out = Section::default();
        let rating = output
            .rated
            .map_or_else(|| "rating not known".to_owned(), show::marked_watt);
        let unread = match now.carries.unread {
            _ if now.lines.is_empty() => "no line on it yet".to_owned(),
            0 => "all read".to_owned(),
            n => format!("{n} unread count as drawn"),
        };
        let mut title = format!(" {}, {rating}, {unread}", output_title(plan, place));
        if text::width(&title) > width {
            title = title.replace(" count as drawn", "");
        }
        out.push(Line::plain(text::cut(&title, width)));
        let (Some(load), Some(rated)) = (now.carries.load, output.rated) else {
            let words = match now.carries.word {
                OutputWord::Stop => {
                    let lines: Vec<&str> = now
                        .stops()
                        .map(|line| plan.lines[line].label.as_str())
                        .collect();
                    let (sign, tone) = if news {
                        ('*', Tone::Plain)
                    } else {
                        ('!', Tone::Stop)
                    };
                    let lines = lines.join(", ");
                    let words = format!("STOP: {lines} reads short, load unknown");
                    out.words(&format!(" {sign} "), &words, width, tone);
                    return out;
                }
                _ => match now.carries.load {
                    Some(load) => format!("   carries {}, cannot be judged", show::watt(load)),
                    None => "   load unknown".to_owned(),
                },
            };
            out.push(Line::plain(text::cut(&words, width)));
            return out;
        };
        let cells = width.saturating_sub(4).min(40);
        let bar = picture::load_bar(load, rated, now.headroom, cells);
        let drawn = picture::to_text(&bar, cells, 1, self.opening.ascii).remove(0);
        out.push(Line::plain(format!(" [{}]", text::left(&drawn, cells))));
        let used = now.used().unwrap_or_default();
        out.push(Line::plain(format!(
            "   carries {}{}",
            text::right(&show::watt(load), 9),
            text::right(&show::percent(used), 9),
        )));
        let left = now.carries.left.unwrap_or_default();
        let needed = now
            .carries
            .rating_needed
            .map_or_else(String::new, |needed| {
                format!(", needs {}", show::watt(needed))
            });
        let asked = format!("{:.0} %", now.headroom.get() * 100.0);
        let (words, tone) = match now.carries.word {
            OutputWord::Over => {
                let tone = if news { Tone::Plain } else { Tone::Alarm };
                let sign = if news { '*' } else { '+' };
                (
                    format!(
                        " {sign} over by {}{needed} ",
                        show::percent(Fraction(-left.get()))
                    ),
                    tone,
                )
            }
            OutputWord::Tight => {
                let sign = if news { '*' } else { '~' };
                let left = show::percent(left);
                let long = format!(" {sign} {left} left, {asked} asked{needed} ");
                // What is asked for is the same everywhere; what is needed is this output's own.
                let words = if text::width(long.trim_end()) <= width {
                    long
                } else {
                    format!(" {sign} {left} left{needed} ")
                };
                (words, Tone::Plain)
            }
            _ => (
                format!("   {} left, {asked} asked", show::percent(left)),
                Tone::Plain,
            ),
        };
        // A figure has a row of its own rather than being cut.
        let (words, own) = match text::width(words.trim_end()) > width {
            true => match words.split_once(", ") {
                Some((words, own)) => (format!("{words} "), Some(own.trim_end().to_owned())),
                None => (words, None),
            },
            false => (words, None),
        };
        out.push(Line::tone(text::cut(&words, width), tone));
        if let Some(own) = own {
            out.push(Line::plain(text::cut(&format!("   {own}"), width)));
        }
        out
    }
}
