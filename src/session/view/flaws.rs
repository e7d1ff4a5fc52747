//! The design checked, in words, where the mistake is. Every figure is `analysis`' own.

use super::super::Session;
use super::super::tree::output_title;
use super::section::Section;
use super::text::{Tone, few};
use crate::analysis::{LineFlaw, OutputFlaw};
use crate::quantity::{Watt, show};
use crate::site::{Design, Ref, Stamp};
use crate::verdict::OutputWord;

/// Said of a line that joined copies say two things of.
const IN_QUESTION: &str = "in question: joined copies say two things of it, the figures here leave both out; \
                           assess shows them, choose answers";
/// So many labels are told one by one.
const MOST_LABELS: usize = 4;

impl Session {
    /// What is wrong with a line as drawn; empty when nothing is.
    pub(super) fn line_flaws_section(&self, at: usize, width: usize) -> Section {
        let line = &self.site.plan().lines[at];
        let mut out = Section::default();
        let question = self.is_contested(at);
        if question {
            out.words(" ? ", IN_QUESTION, width, Tone::Alarm);
        }
        for flaw in self.analyst.line_flaws(&self.site, at) {
            let (sign, words, tone) = match flaw {
                // What is in question is left out of the drawing, and all that it feeds hangs on nothing.
                LineFlaw::Unreached(_) if question => continue,
                LineFlaw::Unreached(labels) => (
                    '?',
                    format!(
                        "no way from the rack reaches {}: a ring, or what feeds it is gone",
                        few(&labels, MOST_LABELS)
                    ),
                    Tone::Alarm,
                ),
                LineFlaw::Empty => (
                    '.',
                    "no loudspeaker yet: a adds one".to_owned(),
                    Tone::Plain,
                ),
                LineFlaw::OtherVolts(was) => {
                    let (was, now) = (show::volt(was), show::volt(line.volts));
                    let words = format!(
                        "moved here from {was}, now {now}: are its taps set for that? Read it again"
                    );
                    ('?', words, Tone::Alarm)
                }
                LineFlaw::UnknownRuns(nodes) => {
                    let labels: Vec<String> = nodes
                        .iter()
                        .map(|node| line.nodes[*node].label.clone())
                        .collect();
                    let word = if labels.len() == 1 { "run" } else { "runs" };
                    let words = format!("{word} not known: {}", few(&labels, MOST_LABELS));
                    ('?', words, Tone::Plain)
                }
                LineFlaw::Quiet {
                    at,
                    level,
                    limit,
                    would_do,
                } => {
                    let cure = would_do.map_or_else(
                        || "no standard size would do".to_owned(),
                        |(conductor, level)| {
                            format!(
                                "{} throughout would do, {}",
                                conductor.name(),
                                show::decibel(level)
                            )
                        },
                    );
                    let words = format!(
                        "far end too quiet, {} at {} ({} wanted): cable too thin, {cure}",
                        show::decibel(level),
                        line.nodes[at].label,
                        show::decibel(limit),
                    );
                    ('-', words, Tone::Alarm)
                }
            };
            out.words(&format!(" {sign} "), &words, width, tone);
        }
        out
    }

    /// Whether joined copies draw a line differently. What each is sound alone and does not fit together, a
    /// ring, is no such thing.
    fn is_contested(&self, at: usize) -> bool {
        let line = &self.site.plan().lines[at].id;
        let of_line = |of: &Ref, standing: &[(Stamp, Design)]| match of {
            Ref::Line(id) => id == line,
            Ref::Node(_) => standing.iter().any(|(_, it)| it.parent() == line.as_str()),
            _ => false,
        };
        let mut contested = self.site.elements().contested();
        self.analyst.line(at).question && contested.any(|(of, standing)| of_line(of, standing))
    }

    /// What is wrong with an output as drawn; empty when nothing is, or where what is read says the
    /// same.
    pub(super) fn output_flaws_section(&self, at: usize, width: usize) -> Section {
        let mut out = Section::default();
        let read = self.analyst.output(&self.site, at, None).carries.word;
        let known = matches!(read, OutputWord::Over | OutputWord::Stop);
        for flaw in self.analyst.output_flaws(&self.site, at) {
            let (sign, words) = output_flaw(&output_title(self.site.plan(), at), &flaw);
            let tone = if sign == " + " && !known {
                Tone::Alarm
            } else {
                Tone::Plain
            };
            out.words(sign, &words, width, tone);
        }
        out
    }

    /// The drawing of a line and of its output checked, under a title; nothing where all is well.
    pub(super) fn design_check(&self, at: usize, width: usize) -> Section {
        let line = self.line_flaws_section(at, width);
        let output = self.output_flaws_section(self.site.plan().lines[at].output, width);
        if line.0.is_empty() && output.0.is_empty() {
            return Section::default();
        }
        let mut out = Section::titled("the drawing, checked");
        out.0.extend(line.0);
        out.0.extend(output.0);
        out
    }

    /// The drawing of the whole site checked: which outputs and lines want another look before anybody
    /// travels.
    pub(super) fn site_check(&self, width: usize) -> Section {
        let plan = self.site.plan();
        let (mut over, mut past) = (Vec::new(), Vec::new());
        for at in 0..plan.outputs.len() {
            for flaw in self.analyst.output_flaws(&self.site, at) {
                if let OutputFlaw::Past { planned, rated, .. } = flaw {
                    let title = output_title(plan, at);
                    let past = match planned > rated {
                        true => &mut over,
                        false => &mut past,
                    };
                    let (planned, rated) = (show::watt(planned), show::marked_watt(rated));
                    past.push(format!("{title} {planned} of {rated}"));
                }
            }
        }
        let (mut quiet, mut unknown, mut empty) = (Vec::new(), Vec::new(), Vec::new());
        for (at, line) in plan.lines.iter().enumerate() {
            if let Some((_, level)) = self.analyst.too_quiet(&self.site, at) {
                quiet.push(format!("{} {}", line.label, show::decibel(level)));
            }
            if self.analyst.line(at).design.unknown_run {
                unknown.push(line.label.clone());
            }
            if line.loudspeakers() == 0 {
                empty.push(line.label.clone());
            }
        }
        let mut out = Section::default();
        for (sign, what, labels) in [
            (" + ", "planned past rating", over),
            (" ~ ", "planned past headroom", past),
            (" - ", "far end too quiet", quiet),
            (" ? ", "runs not known", unknown),
            (" . ", "no loudspeaker", empty),
        ] {
            if !labels.is_empty() {
                let words = format!("{what}, {}: {}", labels.len(), few(&labels, MOST_LABELS));
                out.words(sign, &words, width, Tone::Plain);
            }
        }
        if out.0.is_empty() {
            return out;
        }
        let mut whole = Section::titled("the drawing, checked");
        whole.0.extend(out.0);
        whole
    }
}

/// What is wrong with an output as drawn: its sign, and in words.
fn output_flaw(title: &str, flaw: &OutputFlaw) -> (&'static str, String) {
    match flaw {
        OutputFlaw::NoRating => (" ? ", format!("{title} has no rating: it cannot be judged")),
        OutputFlaw::Past {
            planned,
            rated,
            headroom,
            needed,
        } => {
            let sign = if planned > rated { " + " } else { " ~ " };
            let words = format!(
                "planned {title} {}: {} of {}, {} to keep free needs {}",
                past(*planned, *rated),
                show::watt(*planned),
                show::marked_watt(*rated),
                show::percent(*headroom),
                show::watt(*needed)
            );
            (sign, words)
        }
    }
}

/// How far too much is planned.
pub(super) fn past(planned: Watt, rated: Watt) -> &'static str {
    if planned > rated {
        "past its rating"
    } else {
        "past its headroom"
    }
}
