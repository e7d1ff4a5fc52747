//! The rows of the tree: sign, label, figures, word, OFF.

use super::super::Session;
use super::super::mode::{DraftKind, Mode};
use super::super::tree::{Branch, RowId, TreeRow};
use super::TreeLine;
use super::text::{self, Line, Tone};
use crate::analysis::LineResult;
use crate::quantity::{Fraction, Value, show};
use crate::site::{Do, LineId};
use crate::verdict::{LineWord, OutputWord};

/// A tree this narrow shows deviation and word alone.
const NARROW: usize = 30;
/// So much of a branch's name stands beside what is out inside it.
const LEAST_NAME: usize = 4;
/// A tree this wide shows watts too.
const WITH_WATTS: usize = 46;

/// A folded branch with the lines in it that want a look: where there is no room for both, its own name
/// gives way, then the labels to how many there are.
fn with_looks(title: &str, labels: &[&str], room: usize) -> String {
    if labels.is_empty() {
        return title.to_owned();
    }
    let full = format!("{title}: look {}", labels.join(" "));
    if text::width(&full) <= room {
        return full;
    }
    let some = (1..=labels.len()).rev().map(|shown| {
        let more = match labels.len() - shown {
            0 => String::new(),
            more => format!(" +{more}"),
        };
        format!(": look {}{more}", labels[..shown].join(" "))
    });
    let mut ways = some.chain([format!(": {} look", labels.len())]);
    let way = ways.find(|way| text::width(way) + LEAST_NAME <= room);
    let way = way.unwrap_or_default();
    text::cut(title, room.saturating_sub(text::width(&way))) + &way
}

/// How a line stands, in one sign, one word and a tone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The sign.
    pub sign: char,
    /// The word.
    pub word: &'static str,
    /// The tone.
    pub tone: Tone,
}

impl Standing {
    /// The word as it stands in a sentence: `out of tolerance`.
    #[must_use]
    pub fn in_full(&self) -> &'static str {
        match self.word {
            "in tol" => "in tolerance",
            "out" => "out of tolerance",
            "close" => "too close to call",
            "short" => "short, must not be connected",
            "misfit" => "fits nothing, to be read again",
            "reread" => "to be read again",
            "query" => "in question",
            "later" => "left for later",
            "unread" => "not read",
            "ins lo" => "in tolerance, insulation too low",
            "sent" => "being written",
            "FAILED" => "NOT RECORDED",
            other => other,
        }
    }
}

impl Session {
    /// The visible rows.
    pub(super) fn tree_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        self.rows
            .iter()
            .skip(self.top)
            .take(rows)
            .map(|row| {
                let cursor = row.id == self.cursor;
                let line = match &row.id {
                    RowId::Line(_) => self.line_row(row, width, cursor),
                    _ => self.branch_row(row, width, cursor),
                };
                TreeLine { line, cursor }
            })
            .collect()
    }

    fn line_row(&self, row: &TreeRow, width: usize, cursor: bool) -> Line {
        let Some(at) = row.lines.first().copied() else {
            return Line::default();
        };
        let plan = &self.site.plan().lines[at];
        let pasted;
        let typed = match &self.mode {
            Mode::Reading(draft) if draft.kind == DraftKind::Check => None,
            Mode::Reading(draft) if draft.line == plan.id => Some(draft),
            Mode::Reading(draft) if !draft.more.is_empty() => {
                pasted = draft.pasted(&plan.id);
                pasted.as_ref()
            }
            _ => None,
        };
        let drafted = typed
            .and_then(|draft| draft.impedance())
            .map(|(value, step)| self.with_draft(at, value, step));
        let stored = self.analyst.line(at);
        let result = drafted.as_ref().unwrap_or(stored);
        let standing = self.standing(at, typed.is_some());
        let mark = if cursor { '>' } else { ' ' };
        let waits = self.waiting_text(&plan.id);
        let ohm = match (typed, waits) {
            (Some(draft), _) => text::cut(&draft.text, 6),
            (None, Some(text)) => text::cut(text, 7),
            (None, None) => result
                .taken
                .as_ref()
                .map_or_else(String::new, |it| Self::value_figure(it.value)),
        };
        let deviation = if drafted.is_none() && (typed.is_some() || waits.is_some()) {
            None
        } else {
            deviation(result)
        };
        let label = format!("{}{}", if row.inset { " " } else { "" }, plan.label);
        let deviation = text::right(&deviation.map_or_else(String::new, show::signed_percent), 9);
        let start = Line::plain(mark).and(standing.sign, standing.tone);
        let off = if stored.off { "OFF" } else { "   " };
        let off_tone = if stored.off && self.output_is_read(plan.output) {
            Tone::Alarm
        } else {
            Tone::Plain
        };
        if width <= NARROW {
            // The reading itself stands on the entry line and in the panel; the % in the head.
            let deviation = deviation.trim_end_matches([' ', '%']).trim_start();
            let deviation = text::right(deviation, 7);
            let label = text::left(&label, width.saturating_sub(21));
            return start
                .and(format!(" {label}{deviation} "), Tone::Plain)
                .and(text::left(standing.word, 6), standing.tone)
                .and(" ", Tone::Plain)
                .and(off, off_tone);
        }
        let watts = if width >= WITH_WATTS {
            let load = self.load_of(result).map(show::watt_figure);
            text::right(&load.filter(|_| !ohm.is_empty()).unwrap_or_default(), 9)
        } else {
            String::new()
        };
        let figures = format!("{}{watts}{deviation}", text::right(&ohm, 6));
        let label_width = width.saturating_sub(3 + text::width(&figures) + 2 + 7 + 3);
        start
            .and(
                format!(" {}{figures}  ", text::left(&label, label_width)),
                Tone::Plain,
            )
            .and(text::left(standing.word, 6), standing.tone)
            .and(" ", Tone::Plain)
            .and(off, off_tone)
    }

    /// What was typed for a line and is not on the disk: it counts in no figure.
    fn waiting_text(&self, line: &LineId) -> Option<&str> {
        self.pending.iter().find_map(|it| match &it.entry.what {
            Do::Read(read) if read.line == *line && !read.is_dc() => Some(read.text.as_str()),
            _ => None,
        })
    }

    /// Whether every line of an output is read: from then on lines still OFF want to go back.
    fn output_is_read(&self, output: usize) -> bool {
        self.site.plan().outputs[output]
            .lines
            .clone()
            .all(|at| self.analyst.line(at).is_read())
    }

    fn branch_row(&self, row: &TreeRow, width: usize, cursor: bool) -> Line {
        let read = row
            .lines
            .iter()
            .filter(|at| self.analyst.line(**at).is_read())
            .count();
        let count = format!("{read}/{}", row.lines.len());
        let mark = if cursor { '>' } else { ' ' };
        let (sign, word, tone) = match (&row.id, row.output) {
            (RowId::Output(_), Some(at)) => self.output_standing(at),
            _ => (' ', "", Tone::Plain),
        };
        let folded = row.branch == Branch::Folded;
        let fold = if folded { "..." } else { "" };
        let word = if word.is_empty() && folded {
            fold
        } else {
            word
        };
        let title_width = width.saturating_sub(3 + 6 + 1 + 6 - usize::from(width <= NARROW));
        let mut title = row.title.clone();
        if folded {
            let out: Vec<&str> = row
                .lines
                .iter()
                .filter(|at| self.analyst.line(**at).is_flagged())
                .map(|at| self.site.plan().lines[*at].label.as_str())
                .collect();
            title = with_looks(&title, &out, title_width);
        }
        Line::plain(mark)
            .and(sign, tone)
            .and(format!(" {}", text::left(&title, title_width)), Tone::Title)
            .and(
                text::right(&count, 6 - usize::from(width <= NARROW)),
                Tone::Plain,
            )
            .and(" ", Tone::Plain)
            .and(text::left(word, 6), tone)
    }

    /// How an output stands. What a reading that is typed would change is no alarm yet.
    pub(super) fn output_standing(&self, at: usize) -> (char, &'static str, Tone) {
        let word = self.output_with_draft(at).carries.word;
        let (sign, name, tone) = match word {
            OutputWord::Ok => ('=', "", Tone::Plain),
            OutputWord::Tight => ('~', "tight", Tone::Plain),
            OutputWord::Over => ('+', "over", Tone::Alarm),
            OutputWord::Stop => ('!', "STOP", Tone::Stop),
            OutputWord::Unknown => (' ', "no W", Tone::Plain),
        };
        if self.is_news(at, word) {
            ('*', name, Tone::Plain)
        } else {
            (sign, name, tone)
        }
    }

    /// Whether an output's word is owed to a reading that is being typed.
    pub(super) fn is_news(&self, output: usize, word: OutputWord) -> bool {
        self.is_drafted(output)
            && self.analyst.output(&self.site, output, None).carries.word != word
    }

    /// Whether a reading of a line on this output is being typed.
    pub(super) fn is_drafted(&self, output: usize) -> bool {
        let plan = self.site.plan();
        match &self.mode {
            Mode::Reading(draft) => {
                draft.impedance().is_some()
                    && plan
                        .line(&draft.line)
                        .is_some_and(|at| self.analyst.output_of(&self.site, at) == output)
            }
            _ => false,
        }
    }

    /// How a line stands.
    pub(in crate::session) fn standing(&self, at: usize, typed: bool) -> Standing {
        let is = |sign, word, tone| Standing { sign, word, tone };
        let line = &self.site.plan().lines[at];
        let result = self.analyst.line(at);
        if typed {
            return is('*', "typed", Tone::Draft);
        }
        if let Some(pending) = self
            .pending
            .iter()
            .find(|it| it.entry.what.line() == Some(&line.id))
        {
            return match pending.refused {
                Some(_) => is('^', "FAILED", Tone::Alarm),
                None => is('^', "sent", Tone::Draft),
            };
        }
        if result.question {
            return is('?', "query", Tone::Alarm);
        }
        let Some(taken) = &result.taken else {
            if result.is_unproven() {
                return is('?', "reread", Tone::Alarm);
            }
            if self.is_later(at) {
                return is('_', "later", Tone::Plain);
            }
            return is('.', "unread", Tone::Plain);
        };
        let limits = self.analyst.limits();
        if result.is_stop(limits) {
            return is('!', "short", Tone::Stop);
        }
        if result.in_doubt.is_some_and(|it| !it.said) {
            return is('?', "reread", Tone::Alarm);
        }
        let suspects = self.analyst.suspects(at);
        if suspects.is_some_and(|it| it.fits_nothing()) {
            return is('?', "misfit", Tone::Alarm);
        }
        let another = suspects.is_some_and(|it| it.doubtful().is_some());
        if !result.is_judged() {
            return is('?', "reread", Tone::Alarm);
        }
        if taken.value == Value::Open {
            return is('/', "open", Tone::Alarm);
        }
        match result.verdict.map(|verdict| verdict.word) {
            Some(LineWord::In) if result.insulation_is_low() => is('-', "ins lo", Tone::Alarm),
            Some(LineWord::In) if another => is('?', "in tol", Tone::Alarm),
            Some(LineWord::In) => is('=', "in tol", Tone::Plain),
            Some(LineWord::Close) => is('~', "close", Tone::Plain),
            Some(LineWord::Out) => {
                let over = result
                    .verdict
                    .and_then(|it| it.deviation)
                    .is_some_and(|it| it.get() > 0.0);
                is(if over { '+' } else { '-' }, "out", Tone::Alarm)
            }
            None => is('.', "unread", Tone::Plain),
        }
    }
}

/// Words of the columns of a tree of this width: they stand where the figures end.
pub(super) fn heads(width: usize) -> String {
    let row = if width <= NARROW {
        let label = text::left("line", width.saturating_sub(21));
        format!("   {label}{} word   OFF", text::right("%", 7))
    } else {
        let watts = if width >= WITH_WATTS {
            text::right("W", 9)
        } else {
            String::new()
        };
        let figures = format!("{}{watts}{}", text::right("ohm", 6), text::right("dev.", 9));
        let label = width.saturating_sub(3 + text::width(&figures) + 2 + 7 + 3);
        format!("   {}{figures}  word   OFF", text::left("line", label))
    };
    text::cut(&row, width)
}

fn deviation(result: &LineResult) -> Option<Fraction> {
    result.verdict.and_then(|verdict| verdict.deviation)
}
