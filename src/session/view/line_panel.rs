//! The panel of a line: what it reads against what it should, what its output carries, why it may
//! be so, its cable, its readings, and how the figures came about.

use super::super::Session;
use super::super::mode::{Draft, DraftKind, Mode, Reads};
use super::super::tree::output_title;
use super::section::Section;
use super::text::{self, Line, Tone};
use crate::analysis::{LineResult, lookalikes};
use crate::quantity::{Fraction, Metre, Ohm, Probability, Value, Watt, show};
use crate::report::picture;
use crate::site::{Do, Figure};
use crate::verdict::{InsulationWord, LineWord, OutputWord};

/// From this width on the panel's figures stand apart.
const ROOMY: usize = 42;

impl Session {
    /// The draft typed for a line.
    pub(super) fn draft_on(&self, at: usize) -> Option<&Draft> {
        match &self.mode {
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
            .with_reading(&self.site, at, (value, step), &instrument)
    }

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

    /// The panel of a line, in sections.
    pub(super) fn line_sections(&self, at: usize, width: usize, rows: usize) -> Vec<Section> {
        let draft = self.draft_on(at);
        let drafted = draft
            .and_then(Draft::impedance)
            .map(|(value, step)| (value, step, self.with_draft(at, value, step)));
        let result = drafted
            .as_ref()
            .map_or_else(|| self.analyst.line(at), |(_, _, it)| it);
        let mut main = self.figures(at, result, draft, width);
        let why = self.why(
            at,
            drafted.as_ref().map(|(value, step, _)| (*value, *step)),
            width,
        );
        let mut out = Vec::new();
        main.0.extend(self.output_part(at, width).0);
        // The likeliest suspects stand on the first page as far as there is room; all of them on the
        // next where there is not.
        let room = rows.saturating_sub(main.0.len() + 1);
        let whole: usize = why.iter().map(|part| part.0.len()).sum();
        if !why.is_empty() {
            main.push(Line::default());
            let mut left = room;
            for part in &why {
                if part.0.len() > left {
                    break;
                }
                left -= part.0.len();
                main.0.extend(part.0.iter().cloned());
            }
        }
        out.push(main);
        if whole > room {
            out.push(Section(why.into_iter().flat_map(|part| part.0).collect()));
        }
        out.push(self.cable_section(at, width));
        out.push(self.readings(at, width));
        out.push(self.reckoning(at, result, width));
        out
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
        let cells = if width < ROOMY {
            [8, 9, 8, 9]
        } else {
            [9, 11, 9, 10]
        };
        let figure = |word: &str, ohm: &str, load: &str, deviation: &str, tone| {
            let row = text::left(word, cells[0])
                + &text::right(ohm, cells[1])
                + &text::right(load, cells[2])
                + &text::right(deviation, cells[3]);
            let row = if width < ROOMY {
                row
            } else {
                format!(" {row} ")
            };
            Line::tone(row, tone)
        };
        match draft {
            Some(draft) if draft.impedance().is_none() => {
                out.push(Line::tone(
                    format!(" typed    {}", draft_words(draft)),
                    Tone::Draft,
                ));
            }
            _ => {
                if let Some(taken) = &result.taken {
                    let (word, tone) = match (draft.is_some(), taken.entry.is_some()) {
                        (true, _) => ("* typed", Tone::Draft),
                        _ => ("  read", Tone::Plain),
                    };
                    let ohm = match taken.value {
                        Value::Ohm(ohm) => show::ohm(ohm),
                        Value::Open => "open".to_owned(),
                        Value::Short => "short".to_owned(),
                    };
                    out.push(figure(
                        word,
                        &ohm,
                        &taken.load.map_or_else(|| "-".to_owned(), show::watt),
                        &result
                            .verdict
                            .and_then(|it| it.deviation)
                            .map_or_else(String::new, show::signed_percent),
                        tone,
                    ));
                } else {
                    out.push(Line::plain("   unread"));
                }
            }
        }
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
            let sign = if draft.is_some() { '*' } else { standing.sign };
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
                let words = format!(
                    " {sign} {}, p out {} ",
                    verdict.word.sentence(),
                    show::p_figure(verdict.p_out)
                );
                out.push(Line::tone(text::cut(&words, width), tone));
            }
        }
        if let (None, Some(found), Some(left)) = (draft, &result.as_found, &result.as_left)
            && found.entry != left.entry
        {
            let words = format!("   as found {}", Self::taken_words(found.value));
            out.push(Line::plain(text::cut(&words, width)));
        }
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
            let (value, sign) = match insulation.value {
                crate::quantity::Insulation::Ohm(ohm) => (show::ohm(ohm), ""),
                crate::quantity::Insulation::Above(ohm) => (show::ohm(ohm), "> "),
            };
            let figure = format!("{sign}{value} at {}", show::volt(insulation.test_v));
            let least = show::ohm(insulation.least);
            let (words, tone) = match insulation.word {
                InsulationWord::In => (format!("   insulation {figure}, ok"), Tone::Plain),
                InsulationWord::Unknown => (
                    format!("   insulation {figure}: least {least}"),
                    Tone::Plain,
                ),
                InsulationWord::Low => (format!(" - insulation LOW {figure} "), Tone::Alarm),
            };
            out.push(Line::tone(text::cut(&words, width), tone));
        }
        if result.off && draft.is_none() {
            out.push(Line::plain(text::cut(
                "   OFF: taken off the amplifier, not back",
                width,
            )));
        }
    }

    fn taken_words(value: Value) -> String {
        match value {
            Value::Ohm(ohm) => show::ohm(ohm),
            Value::Open => "open".to_owned(),
            Value::Short => "short".to_owned(),
        }
    }

    fn output_part(&self, at: usize, width: usize) -> Section {
        let plan = self.site.plan();
        let place = plan.lines[at].output;
        let before = self.analyst.output(&self.site, place, None);
        let now = self.output_with_draft(place);
        let drafted = self
            .draft_on(at)
            .is_some_and(|draft| draft.impedance().is_some());
        // The row between line and output is where a likely slip of the hand is named, so that
        // nothing below moves while digits come.
        let look = self.draft_on(at).and_then(|draft| {
            let result = self.analyst.line(at);
            lookalikes(&draft.text, result.design.expected, self.analyst.limits())
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
            0 => "all read".to_owned(),
            n => format!("{n} unread count as drawn"),
        };
        let title = format!(" {}, {rating}, {unread}", output_title(plan, place));
        out.push(Line::plain(text::cut(&title, width)));
        let (Some(load), Some(rated)) = (now.carries.load, output.rated) else {
            let words = match now.carries.word {
                OutputWord::Stop => {
                    let lines: Vec<&str> = now
                        .carries
                        .stops
                        .iter()
                        .map(|stop| plan.lines[output.lines.start + stop].label.as_str())
                        .collect();
                    let (sign, tone) = if news {
                        ('*', Tone::Plain)
                    } else {
                        ('!', Tone::Stop)
                    };
                    let lines = lines.join(", ");
                    let words = format!(" {sign} STOP: {lines} reads short, load unknown ");
                    out.push(Line::tone(text::cut(&words, width), tone));
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
                (
                    format!(
                        " {sign} {} left, {asked} asked{needed} ",
                        show::percent(left)
                    ),
                    Tone::Plain,
                )
            }
            _ => (
                format!("   {} left, {asked} asked", show::percent(left)),
                Tone::Plain,
            ),
        };
        out.push(Line::tone(text::cut(&words, width), tone));
        out
    }

    /// The suspects in parts that are not to be torn: a headline, then one a hint.
    fn why(&self, at: usize, drafted: Option<(Value, Ohm)>, width: usize) -> Vec<Section> {
        if self.draft_on(at).is_some() && drafted.is_none() {
            return Vec::new();
        }
        let Some(suspects) = self.suspects(at, drafted) else {
            return Vec::new();
        };
        let mut head = Section::default();
        if suspects.fits_nothing() {
            let tone = if drafted.is_some() {
                Tone::Plain
            } else {
                Tone::Alarm
            };
            let sign = if drafted.is_some() { '*' } else { '?' };
            let words = format!(
                " {sign} fits nothing, {}: read it again ",
                show::probability(suspects.misfit)
            );
            head.push(Line::tone(text::cut(&words, width), tone));
            head.words(
                "   ",
                "zero the leads; is this the right pair?",
                width,
                Tone::Plain,
            );
        }
        let title = if suspects.fits_nothing() {
            " if it is right, likeliest first"
        } else {
            " why, likeliest first"
        };
        head.push(Line::tone(title, Tone::Title));
        let mut out = vec![head];
        let mut rest = 0.0;
        for (rank, hint) in suspects.hints.iter().enumerate() {
            if rank > 0 && (hint.probability.get() < 0.01 || rank >= 6) {
                rest += hint.probability.get();
                continue;
            }
            let start = format!(
                " {}  ",
                text::right(&show::probability(hint.probability), 5)
            );
            let mut part = Section::default();
            part.words(&start, &hint.text, width, Tone::Plain);
            out.push(part);
        }
        if rest >= 0.005 {
            let start = text::right(&show::probability(Probability(rest)), 5);
            out.push(Section(vec![Line::plain(format!(" {start}  all else"))]));
        }
        out
    }

    fn readings(&self, at: usize, width: usize) -> Section {
        let line = &self.site.plan().lines[at];
        let history = self.site.history(&line.id);
        let mut out = Section::titled("log of this line");
        if history.entries().is_empty() {
            out.push(Line::plain("   nothing recorded yet"));
        }
        for entry in history.entries() {
            let words = match &entry.what {
                Do::Tick(tick) => tick.item.replace('-', " "),
                Do::Listen(listen) => {
                    let at = line
                        .node(&listen.at)
                        .map_or("?", |at| line.nodes[at].label.as_str());
                    format!("{at} {}", format!("{:?}", listen.gives).to_lowercase())
                }
                Do::Read(read) => match &read.cut {
                    Some(cut) => {
                        let at = read.at().and_then(|at| line.node(at));
                        let label = at.map_or("?", |at| line.nodes[at].label.as_str());
                        let side = match cut {
                            crate::site::Cut::Near(_) => "near side of",
                            crate::site::Cut::Far(_) => "far side of",
                            crate::site::Cut::Whole(_) => "at",
                        };
                        format!("{} {side} {label}", Self::taken_words(read.value))
                    }
                    None => self
                        .title(entry)
                        .replacen(&line.label, "", 1)
                        .trim()
                        .to_owned(),
                },
                _ => self
                    .title(entry)
                    .replacen(&line.label, "", 1)
                    .trim()
                    .to_owned(),
            };
            let start = format!("   {}  ", self.clock(entry.at));
            let note = match &entry.what {
                Do::Read(read) => read.note.as_deref(),
                Do::Listen(it) => it.note.as_deref(),
                Do::Insulate(it) => it.note.as_deref(),
                _ => None,
            };
            let words = note.map_or(words.clone(), |note| format!("{words}: {note}"));
            out.words(&start, &words, width, Tone::Plain);
        }
        out
    }

    fn reckoning(&self, at: usize, result: &LineResult, width: usize) -> Section {
        let figures = self.site.figures();
        let line = &self.site.plan().lines[at];
        let budget = &result.design.budget;
        let mut out = Section::titled("how the figures came about");
        let row = |name: &str, value: String| {
            Line::plain(text::cut(
                &format!("   {}{}", text::left(name, 27), text::right(&value, 10)),
                width,
            ))
        };
        let percent = |value: f64| show::percent(Fraction(value));
        out.push(row("sum of the taps", show::watt(result.design.design)));
        if let (Some(ohm), Some(load)) = (result.design.expected, result.design.load) {
            out.push(row("with the cable", show::watt(load)));
            out.push(row("that is", show::ohm(ohm)));
        }
        out.push(row("spread: types", percent(budget.types)));
        out.push(row(
            "spread: each loudspeaker",
            percent(budget.loudspeakers),
        ));
        out.push(row("spread: cable lengths", percent(budget.cable)));
        out.push(row("together", percent(budget.total())));
        if let Some(taken) = &result.taken
            && let Value::Ohm(ohm) = taken.value
        {
            let instrument = taken
                .instrument
                .as_ref()
                .and_then(|id| self.site.plan().instrument(id));
            let accuracy = instrument.map_or(0.05, |it| it.accuracy.get());
            out.push(row("meter, over root 3", percent(accuracy / 3f64.sqrt())));
            out.push(row(
                "last digit",
                percent(taken.step.get() / (12f64.sqrt() * ohm.get())),
            ));
            out.push(row(
                "contacts",
                percent(figures.get(Figure::ContactOhm) / ohm.get()),
            ));
        }
        out.push(row(
            "tolerance of load",
            format!("+-{}", percent(figures.get(Figure::Tolerance))),
        ));
        if result.design.unknown_run {
            let length = show::metre(Metre(figures.get(Figure::UnknownRunM)));
            let words = format!("a run of unknown length counts as {length}");
            out.words("   ", &words, width, Tone::Plain);
        }
        let hz = show::hertz(self.site.test_hz());
        let words = format!(
            "at {hz} and {}; the spread is shown, not used in the verdict",
            show::volt(line.volts)
        );
        out.words("   ", &words, width, Tone::Plain);
        out
    }
}

/// `100 V, 7 loudspeakers of 6 W, 92 m`.
fn describe(line: &crate::site::LinePlan) -> String {
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
fn draft_words(draft: &Draft) -> String {
    match draft.read() {
        Ok(Reads::Meter(value, _)) => match value {
            Value::Ohm(ohm) => format!("{} {} ", draft.kind.word(), show::ohm(ohm)),
            Value::Open => format!("{} open ", draft.kind.word()),
            Value::Short => format!("{} short ", draft.kind.word()),
        },
        Ok(Reads::Insulation(..)) => format!("insulation {} ", draft.text),
        Err(error) if error.is_unfinished() || draft.text.is_empty() => format!("{} ", draft.text),
        Err(_) => format!("{}: not a figure yet ", draft.text),
    }
}
