//! The panel of a branch: an output's bar, an amplifier's outputs, the site's progress and what
//! wants a look, worst first.

use super::super::Session;
use super::super::tree::{RowId, output_title};
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::quantity::show;
use crate::review::{self, Flagged, Why};
use crate::verdict::OutputWord;

/// Under this width an output's row shows one figure.
const NARROW: usize = 38;

/// Said of lines of a voice alarm that are OFF.
const OUT_OF_SERVICE: &str = "the voice alarm is out of service on them";

impl Session {
    /// Whether a line of the plan is on an amplifier that carries a voice alarm.
    pub(super) fn is_voice_alarm(&self, line: Option<usize>) -> bool {
        let plan = self.site.plan();
        let output = line.map(|at| plan.lines[at].output);
        let carries = |output: usize| {
            let mut made = plan.amplifiers.iter();
            made.any(|it| it.voice_alarm && it.outputs.contains(&output))
        };
        output.is_some_and(carries)
    }

    pub(super) fn branch_parts(&self, width: usize) -> Parts {
        let Some(row) = self.row_at(&self.cursor).map(|at| &self.rows[at]) else {
            return Parts::default();
        };
        let mut first = Vec::new();
        let mut beside = Vec::new();
        let mut head = Section::titled(&text::cut(&row.title, width.saturating_sub(12)));
        let lines = || row.lines.iter().map(|at| self.analyst.line(*at));
        let read = lines().filter(|line| line.is_read()).count();
        let off = lines().filter(|line| line.off).count();
        head.push(Line::plain(format!(
            "   {read} of {} lines read",
            row.lines.len()
        )));
        if off > 0 {
            head.push(Line::plain(format!("   {off} OFF the amplifier")));
            if self.is_voice_alarm(
                row.lines
                    .iter()
                    .copied()
                    .find(|at| self.analyst.line(*at).off),
            ) {
                head.words("   ", OUT_OF_SERVICE, width, Tone::Plain);
            }
        }
        match (&row.id, row.output) {
            (RowId::Output(_) | RowId::Zone(..), Some(at)) => {
                let result = self.output_with_draft(at);
                head.push(Line::default());
                let own = match row.id {
                    RowId::Output(_) => self.output_under_its_name(at, &result, width),
                    _ => self.output_lines(at, &result, width),
                };
                head.0.extend(own.0);
                head.push(Line::plain(format!(
                    "   as drawn {}",
                    text::right(&show::watt(result.planned), 8)
                )));
            }
            _ if row.lines.is_empty() => {
                head.words(
                    "   ",
                    "`linewright import` makes a site from a loudspeaker schedule",
                    width,
                    Tone::Plain,
                );
                head.words(
                    "   ",
                    "a adds what belongs here by typing: an amplifier, its lines, loudspeakers",
                    width,
                    Tone::Plain,
                );
            }
            _ => {}
        }
        first.push(head);
        if let (RowId::Output(_), Some(at)) = (&row.id, row.output) {
            first.push(self.output_flaws_section(at, width));
        }
        first.push(self.flagged_section(&row.lines, width));
        if row.id == RowId::Site {
            first.push(self.notices_section(width));
            first.push(self.whole_building(width));
            first.push(self.site_check(width));
        }
        if matches!(row.id, RowId::Site | RowId::Amplifier(_)) && !row.lines.is_empty() {
            beside.push(self.outputs_section(width));
        }
        // Where there is room it stands beside its neighbours, and what waits at its rack.
        if self.size.0 >= super::TWO_COLUMNS && matches!(row.id, RowId::Output(_) | RowId::Zone(..))
        {
            beside.extend([self.outputs_section(width), self.rack_section(width)]);
        }
        if matches!(row.id, RowId::Site | RowId::WholeZone(_)) {
            beside.push(self.today(width));
        }
        if row.id == RowId::Site {
            beside.push(cautions(width));
        }
        Parts {
            first,
            beside,
            ..Parts::default()
        }
    }

    /// Time taken and time to come.
    pub(super) fn today(&self, width: usize) -> Section {
        let Some(words) = self.pace_words() else {
            return Section::default();
        };
        let mut out = Section::titled("the day so far");
        out.words("   ", &words, width, Tone::Plain);
        out
    }

    /// What only the whole site shows, each with what confirms or clears it.
    fn whole_building(&self, width: usize) -> Section {
        let hints = self.analyst.site_hints();
        if hints.is_empty() {
            return Section::default();
        }
        let mut out = Section::titled("the whole building");
        for hint in hints.iter().take(8) {
            out.odds(hint.probability, &hint.text, width);
        }
        out
    }

    pub(super) fn outputs_section(&self, width: usize) -> Section {
        let plan = self.site.plan();
        let mut out = Section::titled("outputs, load against rating");
        let wanted = match &self.cursor {
            RowId::Amplifier(id) => plan
                .amplifiers
                .iter()
                .find(|it| it.id == *id)
                .map(|it| it.outputs.clone()),
            _ => None,
        };
        let mut outputs: Vec<usize> = wanted.unwrap_or(0..plan.outputs.len()).collect();
        // Of the whole building what is wrong stands first; equals stay in rack order.
        if self.cursor == RowId::Site {
            outputs.sort_by_key(|at| gravity(self.output_with_draft(*at).carries.word));
        }
        for at in outputs {
            let result = self.output_with_draft(at);
            let (sign, word, tone) = self.output_standing(at);
            let percent = result.used().map(show::percent);
            let load = result.carries.load.map(show::watt);
            // Too narrow for both, the share used says more than the watts.
            let (cells, figure) = match (load, percent) {
                (None, _) if width < NARROW => (10, "unknown".to_owned()),
                (None, _) => (19, "load unknown".to_owned()),
                (Some(load), None) => (if width < NARROW { 10 } else { 19 }, load),
                (Some(_), Some(percent)) if width < NARROW => (10, percent),
                (Some(load), Some(percent)) => (
                    19,
                    format!("{}{}", text::right(&load, 10), text::right(&percent, 9)),
                ),
            };
            let figure = text::right(&figure, cells);
            let word = if word.is_empty() { "ok" } else { word };
            let title_width = width.saturating_sub(3 + cells + 1 + 6).min(24);
            out.push(
                Line::plain(" ")
                    .and(sign, tone)
                    .and(
                        format!(
                            " {}{figure} ",
                            text::left(&output_title(plan, at), title_width)
                        ),
                        Tone::Plain,
                    )
                    .and(text::left(word, 5), tone),
            );
        }
        out
    }

    fn flagged_section(&self, lines: &[usize], width: usize) -> Section {
        let mut out = Section::titled("wants a look, worst first");
        let lines: std::collections::HashSet<usize> = lines.iter().copied().collect();
        let mut any = false;
        let mut flagged = review::flagged(&self.site, &self.analyst);
        // What stops an output may be OFF, and what is on it now lighter: the row says STOP all the same.
        flagged.sort_by_key(|(why, flagged)| match flagged {
            _ if *why == Why::Stop => 0,
            Flagged::Output(at) => 1 + gravity(self.output_with_draft(*at).carries.word).min(1),
            Flagged::Line(_) => 2,
        });
        let flagged = flagged.into_iter().map(|(_, flagged)| flagged);
        for flagged in flagged.chain(self.only_reread().map(Flagged::Line)) {
            let at = match flagged {
                Flagged::Line(at) if lines.contains(&at) => at,
                Flagged::Output(at) if self.covers(at, &lines) => {
                    any = true;
                    out.push(self.flagged_output(at, width));
                    continue;
                }
                _ => continue,
            };
            any = true;
            let line = &self.site.plan().lines[at];
            let result = self.analyst.line(at);
            let standing = self.standing(at, false);
            let value = result
                .taken
                .as_ref()
                .map_or_else(String::new, |it| Self::value_figure(it.value));
            let deviation = result
                .verdict
                .and_then(|it| it.deviation)
                .map_or_else(String::new, show::signed_percent);
            let [ohm, dev, gap] = if width < NARROW {
                [7, 9, 1]
            } else {
                [8, 11, 2]
            };
            let label_width = width
                .saturating_sub(3 + ohm + dev + gap + 6 + 1)
                .clamp(6, 14);
            out.push(
                Line::plain(" ")
                    .and(standing.sign, standing.tone)
                    .and(
                        format!(
                            " {}{}{}{}",
                            text::left(&line.label, label_width),
                            text::right(&value, ohm),
                            text::right(&deviation, dev),
                            " ".repeat(gap)
                        ),
                        Tone::Plain,
                    )
                    .and(standing.word, standing.tone),
            );
        }
        if !any {
            out.push(Line::plain("   nothing so far"));
        }
        out
    }

    /// Whether a branch holds all lines of an output.
    fn covers(&self, output: usize, lines: &std::collections::HashSet<usize>) -> bool {
        let mut own = self.site.plan().outputs[output].lines.clone();
        own.all(|line| lines.contains(&line))
    }

    fn flagged_output(&self, at: usize, width: usize) -> Line {
        let (sign, word, tone) = self.output_standing(at);
        let used = self
            .output_with_draft(at)
            .used()
            .map_or_else(String::new, show::percent);
        let title_width = width.saturating_sub(3 + 11 + 2 + 6 + 1).clamp(6, 22);
        Line::plain(" ")
            .and(sign, tone)
            .and(
                format!(
                    " {}{}  ",
                    text::left(&output_title(self.site.plan(), at), title_width),
                    text::right(&used, 11)
                ),
                Tone::Plain,
            )
            .and(word, tone)
    }
}

/// Worst first.
const fn gravity(word: OutputWord) -> u8 {
    match word {
        OutputWord::Stop => 0,
        OutputWord::Over => 1,
        OutputWord::Tight => 2,
        OutputWord::Unknown => 3,
        OutputWord::Ok => 4,
    }
}

/// What stands at the rack before anything is touched.
fn cautions(width: usize) -> Section {
    let mut out = Section::titled("before a line is touched");
    for words in [
        "occupants, alarm monitoring and control room told; cover for a voice alarm in place",
        "amplifier and standby off, changeover and battery inhibited, locked",
        "tester proved, line proved dead core to core and to earth, tester proved again",
        "this is a reminder, no permission: local codes and licensed practice decide",
    ] {
        out.words(" - ", words, width, Tone::Plain);
    }
    out
}
