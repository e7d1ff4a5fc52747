//! The panel of a line: what it reads against what it should, and in which order the rest stands.

use super::super::Session;
use super::super::keys::Place;
use super::super::mode::{Draft, DraftKind, Mode, Reads};
use super::figure_row::figure_row;
use super::fitting::{ends_with_the_rest, fitting, heads, leading};
use super::insulation::insulation_rows;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::analysis::{LineResult, lookalikes};
use crate::quantity::{Fraction, Metre, Ohm, Value, Watt, show};
use crate::verdict::LineWord;

/// A page of fewer rows is low.
const LOW: usize = 18;

impl Session {
    /// The draft typed for a line.
    pub(super) fn draft_on(&self, at: usize) -> Option<&Draft> {
        match &self.mode {
            Mode::Reading(draft) if draft.kind == DraftKind::Check => None,
            Mode::Reading(draft) if draft.line == self.site.plan().lines[at].id => Some(draft),
            _ => None,
        }
    }

    /// A line as if this had been read on it.
    pub(super) fn with_draft(&self, at: usize, value: Value, step: Ohm) -> LineResult {
        let instrument = self
            .instrument(DraftKind::Impedance)
            .map(|(id, _)| id)
            .unwrap_or_default();
        self.analyst
            .with_reading(&self.site, at, (value, step), self.in_hand(&instrument))
    }

    /// What is typed is in tolerance, or is what one digit more, or a range, would mend: its why is not
    /// told, since it would be another at the next key.
    pub(super) fn is_passing(&self, at: usize) -> bool {
        let Some((draft, (value, step))) = self
            .draft_on(at)
            .and_then(|draft| Some((draft, draft.impedance()?)))
        else {
            return false;
        };
        let result = self.with_draft(at, value, step);
        let alike = lookalikes(&draft.text, result.design.expected, self.analyst.limits());
        result.verdict.is_some_and(|it| it.word == LineWord::In)
            || alike.iter().any(|it| it.how.ends_with("times"))
    }

    /// The panel of a line, in sections.
    pub(super) fn line_parts(&self, at: usize, width: usize, rows: usize) -> Parts {
        let draft = self.draft_on(at);
        let drafted = draft
            .and_then(Draft::impedance)
            .map(|(value, step)| (value, step, self.with_draft(at, value, step)));
        let result = drafted
            .as_ref()
            .map_or_else(|| self.analyst.line(at), |(_, _, it)| it);
        let mut main = self.figures(at, result, draft, width);
        for (words, tone) in draft.map_or_else(Vec::new, |draft| self.on_rows(at, draft)) {
            main.words(" ! ", words, width, tone);
        }
        let why = if self.is_passing(at) {
            Vec::new()
        } else {
            self.why(
                at,
                drafted.as_ref().map(|(value, step, _)| (*value, *step)),
                width,
            )
        };
        let mut first = Vec::new();
        // On a walk the suspects need the room; what the output carries is the survey's.
        let mut output = match self.place {
            Place::Walk => Section::default(),
            _ => self.output_part(at, width),
        };
        // The likeliest suspects, and what to do next, stand on the first page as far as there is room;
        // all of them on the next where there is not.
        let mut next = self.next_brief(at, width);
        // On a low screen what leads and a row of what comes next stand before what the output carries.
        let is_out = result.verdict.is_some_and(|it| it.word == LineWord::Out);
        let needs = main.0.len() + output.0.len() + 1 + leading(&why) + next.0.len();
        let crowded = rows < LOW && draft.is_none() && is_out && !why.is_empty() && needs > rows;
        if crowded {
            let left = rows.saturating_sub(main.0.len() + 1 + leading(&why));
            next.0.truncate(left.max(1));
        } else {
            main.0.append(&mut output.0);
        }
        let room = rows.saturating_sub(main.0.len() + 1);
        let whole: usize = why.iter().map(|part| part.0.len()).sum();
        // Of a reading that fits nothing what comes next is reading it again: that has the room.
        let misfit = draft.is_none()
            && self
                .analyst
                .suspects(at)
                .is_some_and(|it| it.fits_nothing());
        if misfit && whole + next.0.len() > room {
            next = Section::default();
        }
        if !why.is_empty() {
            main.push(Line::default());
            let left = room.saturating_sub(next.0.len());
            // That more follow has a row of its own, but for the room of all there is to see.
            let fit = match (fitting(&why, left), fitting(&why, left.saturating_sub(1))) {
                // What is left of the odds is no suspect that one looks for.
                (all, _) if all + usize::from(ends_with_the_rest(&why)) >= why.len() => all,
                (all, 0) => all,
                (_, fewer) => fewer,
            };
            let shown = why[..fit].iter().flat_map(|part| part.0.iter().cloned());
            main.0.extend(shown);
            // Where none of it has room it is said where it stands.
            let used: usize = why[..fit].iter().map(|part| part.0.len()).sum();
            let more = why[fit..].iter().filter(|part| !heads(part)).count();
            if fit == 0 && crowded {
                let leads = why.iter().find(|part| !heads(part));
                let leads = leads.iter().flat_map(|part| &part.0);
                main.0.extend(leads.take(left.max(1)).cloned());
            } else if fit == 0 && room > next.0.len() {
                main.push(Line::plain(" why: on the next page, Tab"));
            } else if more > 0 && used < left {
                main.push(Line::plain(format!("   and {more} more, Tab")));
            }
        }
        let all_shown = whole + next.0.len() <= room;
        main.0.extend(next.0);
        first.push(main);
        if !all_shown {
            first.push(Section(why.into_iter().flat_map(|part| part.0).collect()));
        }
        first.push(output);
        first.push(self.next_tests(at, width));
        if draft.is_none() {
            first.push(self.design_check(at, width));
        }
        let mut beside = Vec::new();
        // On a walk the cable stands at the left, greater, unless it is too narrow for its figures.
        if self.place != Place::Walk || self.size.0 < super::ROOM_FOR_A_WALK {
            beside.push(self.cable_section(at, width));
        }
        beside.push(self.readings(at, width));
        let mut foot = <[Section; 2]>::default();
        if self.place == Place::Survey {
            foot[0] = self.rack_section(width);
            let today = self.today(width);
            if !today.0.is_empty() {
                foot[0].push(Line::default());
                foot[0].0.extend(today.0);
            }
            // One column says of the line's own output what it carries; two have room for all.
            if self.size.0 >= super::TWO_COLUMNS {
                foot[1] = self.outputs_section(width);
            }
        }
        let later = vec![self.steps(at, width), self.reckoning(at, result, width)];
        Parts {
            first,
            beside,
            foot,
            later,
        }
    }

    fn figures(
        &self,
        at: usize,
        result: &LineResult,
        draft: Option<&Draft>,
        width: usize,
    ) -> Section {
        let plan = self.site.plan();
        let line = &plan.lines[at];
        let mut out = Section::default();
        let title = format!(" {} {}", line.label, line.zone_label);
        out.push(Line::tone(text::cut(&title, width), Tone::Title));
        out.words(" ", &describe(line), width, Tone::Plain);
        if let Some((draft, cut)) = draft.and_then(|draft| Some((draft, draft.cut.as_ref()?))) {
            self.side_lines(at, draft, cut, width, &mut out);
            return out;
        }
        let figure = |word: &str, ohm: &str, load: &str, deviation: &str, tone| {
            figure_row(width, [word, ohm, load, deviation], tone)
        };
        match draft {
            Some(draft) if draft.impedance().is_none() => match self.insulation_typed(at, draft) {
                Some((words, tone)) => out.words(" typed    ", &words, width, tone),
                None => out.push(Line::tone(
                    format!(" typed    {}", draft_words(draft)),
                    Tone::Draft,
                )),
            },
            _ => {
                if let Some(taken) = &result.taken {
                    let (word, tone) = match (draft.is_some(), taken.entry.is_some()) {
                        (true, _) => ("* typed", Tone::Draft),
                        _ => ("  read", Tone::Plain),
                    };
                    out.push(figure(
                        word,
                        &show::value(taken.value),
                        &self
                            .load_of(result)
                            .map_or_else(|| "-".to_owned(), show::watt),
                        &result
                            .verdict
                            .and_then(|it| it.deviation)
                            .map_or_else(String::new, show::signed_percent),
                        tone,
                    ));
                } else {
                    out.push(Line::plain("   unread"));
                    self.repaired_rows(at, draft, width, &mut out);
                }
            }
        }
        self.meter_row(result, width, &mut out);
        self.last_visit_row(at, result, width, &mut out);
        self.left_open_row(at, draft, width, &mut out);
        out.push(figure(
            "  design",
            &result
                .design
                .expected
                .map_or_else(|| "open".to_owned(), show::ohm),
            &result
                .design
                .load
                .map_or_else(|| "-".to_owned(), show::watt),
            &format!(
                "+-{}",
                show::percent(Fraction(result.design.budget.total()))
            ),
            Tone::Plain,
        ));
        self.verdict_lines(at, result, draft, &mut out, width);
        out
    }

    fn verdict_lines(
        &self,
        at: usize,
        result: &LineResult,
        draft: Option<&Draft>,
        out: &mut Section,
        width: usize,
    ) {
        let limits = self.analyst.limits();
        let draft_reads = draft.is_none_or(|draft| draft.impedance().is_some());
        if let Some(verdict) = result.verdict.filter(|_| draft_reads) {
            let standing = self.standing(at, false);
            let sign = match draft {
                Some(_) => '*',
                // Low insulation, and another reading that fits nothing, have rows of their own.
                None if matches!(standing.word, "ins lo" | "in tol") => '=',
                None => standing.sign,
            };
            let tone = match (draft.is_some(), verdict.word) {
                (true, _) | (_, LineWord::In | LineWord::Close) => Tone::Plain,
                (false, LineWord::Out) => Tone::Alarm,
            };
            if result.is_stop(limits) {
                let tone = if draft.is_some() {
                    Tone::Plain
                } else {
                    Tone::Stop
                };
                out.words(
                    &format!(" {sign} "),
                    "reads short: must not be connected",
                    width,
                    tone,
                );
            } else {
                let p = show::p_figure(verdict.p_out);
                let long = format!(" {sign} {}, p out {p} ", verdict.word.sentence());
                let words = if text::width(&long) <= width {
                    long
                } else {
                    let short = match verdict.word {
                        LineWord::In => "in tol",
                        LineWord::Close => "close",
                        LineWord::Out => "out",
                    };
                    format!(" {sign} {short}, p out {p} ")
                };
                out.push(Line::tone(text::cut(&words, width), tone));
            }
        } else if result.redrawn.is_none() {
            // Its row is kept, so that nothing below moves when the figure comes.
            out.push(Line::default());
        }
        if let (Some(words), true) = (self.redrawn_row(at), result.redrawn.is_some()) {
            out.words(" ? ", &words, width, Tone::Plain);
        }
        if draft.is_none() {
            for words in self.disagreement_rows(at) {
                out.words(" ? ", &words, width, Tone::Alarm);
            }
        }
        if let (None, Some(found), Some(left)) = (draft, &result.as_found, &result.as_left)
            && found.entry != left.entry
        {
            let words = format!("   as found {}", show::value(found.value));
            out.push(Line::plain(text::cut(&words, width)));
        }
        self.dc_row(at, result, draft, width, out);
        if result.heard > 0 || result.not_all_well {
            let words = format!("   heard    {} of {}", result.heard, result.loudspeakers);
            let tone = if result.not_all_well {
                Tone::Alarm
            } else {
                Tone::Plain
            };
            out.push(Line::tone(words, tone));
        }
        if let Some(insulation) = &result.insulation {
            let line = &self.site.plan().lines[at];
            let assumed = self.is_assumed(at, insulation);
            insulation_rows(insulation, line, assumed, width, out);
        }
        if let Some(node) = result
            .open_split
            .as_ref()
            .filter(|_| self.place != Place::Walk)
        {
            let words = format!(
                "OPEN before {}: w, then b when closed",
                self.node_label(node)
            );
            out.words(" ! ", &words, width, Tone::Alarm);
        }
        if draft.is_none()
            && let Some(words) = self.to_move_words(at)
        {
            out.words(" ! ", &words, width, Tone::Alarm);
        }
        if result.off && draft.is_none() {
            let words = match self.is_voice_alarm(Some(at)) {
                true => "OFF: taken off, not back; out of service: voice alarm",
                false => "OFF: taken off the amplifier, not back",
            };
            out.words("   ", words, width, Tone::Plain);
        }
    }
}

/// `100 V, 7 loudspeakers of 6 W, 92 m`.
pub(super) fn describe(line: &crate::site::LinePlan) -> String {
    let taps: Vec<Watt> = line.nodes.iter().filter_map(|node| node.tap()).collect();
    let length: f64 = line
        .nodes
        .iter()
        .filter_map(|node| node.run)
        .map(Metre::get)
        .sum();
    let plural = if taps.len() == 1 { "" } else { "s" };
    let loads = match taps.first() {
        None => "no loudspeaker".to_owned(),
        Some(tap) if taps.iter().all(|other| other == tap) => {
            format!(
                "{} loudspeaker{plural} of {}",
                taps.len(),
                show::marked_watt(*tap)
            )
        }
        Some(_) => {
            format!(
                "{} loudspeaker{plural}, {}",
                taps.len(),
                show::marked_watt(line.design_load())
            )
        }
    };
    let unknown = if line.nodes.iter().any(|node| node.run.is_none()) {
        " and a run unknown"
    } else {
        ""
    };
    format!(
        "{}, {loads}, {}{unknown}",
        show::volt(line.volts),
        show::metre(Metre(length))
    )
}

/// A draft that is no impedance yet, or none at all.
pub(super) fn draft_words(draft: &Draft) -> String {
    match draft.read() {
        Ok(Reads::Check(..)) => format!("known resistor {} ", draft.text),
        Ok(Reads::Meter(value, ..)) => format!("{} {} ", draft.kind.word(), show::value(value)),
        Ok(Reads::Insulation(..)) => format!("insulation {} ", draft.text),
        Err(error) if error.is_unfinished() || draft.text.is_empty() => format!("{} ", draft.text),
        Err(_) => format!("{}: not a figure yet ", draft.text),
    }
}
