//! The review as it is drawn: what stands in the way, worst first, then what is settled; below it, or
//! beside it, the reason of the item under the cursor and what would settle it.

use super::super::Session;
use super::super::review_takes::{settled_by, takes_a_word};
use super::super::reviewed::Row;
use super::super::scope::BROKEN;
use super::TreeLine;
use super::left_open;
use super::parts::choosing_parts;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::quantity::show;
use crate::review::{Item, Matter, Why};
use crate::site::{Decision, Do, Ref};

/// Cells of a label.
const LABEL: usize = 10;
/// Cells of value, deviation and word of a line: 9, 9, two blanks, 7.
const FIGURES: usize = 27;

impl Session {
    /// The list, and under it what stands behind the item under the cursor; and how many pages that has.
    pub(super) fn review_over_panel(&self, width: usize, rows: usize) -> (Vec<TreeLine>, usize) {
        let below = (rows / 3).clamp(1, 8);
        let above = rows.saturating_sub(below + 1);
        let mut out = self.review_lines(width, above);
        out.resize(above, Line::default().into());
        out.push(Line::default().into());
        let (panel, pages) = self.panel_columns(width, below, 1);
        let column = panel.into_iter().next().unwrap_or_default();
        out.extend(column.into_iter().map(TreeLine::from));
        out.truncate(rows);
        (out, pages)
    }

    /// The visible rows of the list.
    pub(super) fn review_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        if let Some(typed) = self.choosing() {
            return self.part_lines(typed, width, rows);
        }
        let list = &self.review;
        let mut out = vec![TreeLine {
            line: self.sign_line(width),
            cursor: list.at == 0,
        }];
        let mut cursor_at = 0;
        let settled = list.rows.iter().filter(|row| !row.above).count();
        let mut titled = false;
        for (nth, row) in list.rows.iter().enumerate() {
            if !row.above && !titled {
                titled = true;
                let title = format!("   settled: {settled}");
                out.extend([
                    Line::default().into(),
                    Line::tone(title, Tone::Title).into(),
                ]);
            }
            let cursor = nth + 1 == list.at;
            if cursor {
                cursor_at = out.len();
            }
            out.push(TreeLine {
                line: self.review_row(row, width, cursor),
                cursor,
            });
        }
        let top = text::first_shown(cursor_at, rows, out.len());
        let below = out.len().saturating_sub(top + rows);
        let mut shown: Vec<TreeLine> = out.into_iter().skip(top).take(rows).collect();
        if below > 0 {
            // The last row says that there is more, itself counted.
            shown.pop();
            shown.push(Line::plain(format!("   {} more, Down or PageDown", below + 1)).into());
        }
        shown
    }

    /// The first row: how many stand in the way, and the signature.
    fn sign_line(&self, width: usize) -> Line {
        let mark = if self.review.at == 0 { '>' } else { ' ' };
        let words = match (self.review.in_the_way(), &self.review.signed) {
            (0, Some(signed)) => signed.clone(),
            (0, None) if self.review.at == 0 => self.nothing_in_the_way(),
            (0, None) => format!(
                "nothing stands in the way of {}: Home, then Enter signs",
                self.signed_for()
            ),
            (count, Some(signed)) if signed.starts_with(BROKEN) => {
                let rest = signed.trim_start_matches(BROKEN);
                format!("{BROKEN}, {count} in the way{rest}")
            }
            (count, _) => {
                let short = format!("in the way of {}: {count}, worst first", self.signed_for());
                let long = format!("{short}; Enter here signs when 0 are");
                match text::width(&long) + 3 <= width {
                    true => long,
                    false => short,
                }
            }
        };
        Line::tone(text::left(&format!("{mark}  {words}"), width), Tone::Title)
    }

    fn review_row(&self, row: &Row, width: usize, cursor: bool) -> Line {
        let item = &row.item;
        let mark = if cursor { '>' } else { ' ' };
        let (sign, tone) = self.review_sign(row);
        let at = self.review_line(item);
        let off = match at {
            Some(at) if self.analyst.line(at).open_split.is_some() => "OPEN",
            Some(at) if self.analyst.line(at).off => "OFF ",
            _ => "    ",
        };
        let room = width.saturating_sub(LABEL + 10);
        let words = self.review_words(row, room);
        Line::plain(mark)
            .and(sign, tone)
            .and(
                format!(
                    " {} {} ",
                    text::left(item_name(item), LABEL),
                    text::left(&words, room)
                ),
                Tone::Plain,
            )
            .and(off, Tone::Plain)
            .and(" ", Tone::Plain)
    }

    fn review_line(&self, item: &Item) -> Option<usize> {
        match &item.of {
            Ref::Line(id) => self.site.plan().line(id),
            _ => None,
        }
    }

    /// What a word on this thing that is on its way to the disk is, where there is one.
    pub(in crate::session) fn review_sent(&self, of: &Ref) -> Option<&'static str> {
        let own = self.pending.iter().rfind(
            |pending| matches!(&pending.entry.what, Do::Decide(decide) if decide.of == *of),
        )?;
        Some(match own.refused {
            Some(_) => "FAILED",
            None => "sent",
        })
    }

    fn review_sign(&self, row: &Row) -> (char, Tone) {
        let item = &row.item;
        if row.gone {
            return ('=', Tone::Plain);
        }
        if self.review_sent(&item.of).is_some() {
            return ('^', Tone::Draft);
        }
        match (item.matter, self.review_line(item)) {
            (Matter::Flagged(_) | Matter::Repaired, Some(at)) => {
                let standing = self.standing(at, false);
                (standing.sign, standing.tone)
            }
            (Matter::Flagged(Why::Over), None) => ('+', Tone::Alarm),
            (Matter::Flagged(Why::Tight), None) => ('~', Tone::Plain),
            (Matter::Flagged(_), None) => ('?', Tone::Alarm),
            _ if item.open => ('.', Tone::Plain),
            (Matter::Calibration | Matter::OneOrTwo, _) => ('~', Tone::Plain),
            _ => ('=', Tone::Plain),
        }
    }

    /// Figures of an item in `FIGURES` cells, or what it is in few words.
    fn review_figures(&self, item: &Item) -> String {
        match (item.matter, self.review_line(item)) {
            (Matter::Flagged(why), Some(at)) if why != Why::Question => self.line_figures(at),
            (Matter::Repaired, Some(at)) => self.line_figures(at),
            (Matter::Flagged(Why::Over | Why::Tight), None) => {
                let outputs = &self.site.plan().outputs;
                let at = outputs
                    .iter()
                    .position(|it| item.of == Ref::Output(it.id.clone()));
                let result = at.map(|at| self.analyst.output(&self.site, at, None));
                let used = result.as_ref().and_then(|it| it.used()).map(show::percent);
                let word = result.map_or("", |it| it.carries.word.short());
                format!("{}  {word}", text::right(&used.unwrap_or_default(), 18))
            }
            (Matter::LeftOpen, _) => left_open::in_few_words(item),
            (Matter::ToMove, _) => "cores not moved".to_owned(),
            (Matter::Contradicted(_), _) => "ticked as heard, contradicted".to_owned(),
            (Matter::Redrawn, _) => "read before it was redrawn".to_owned(),
            (Matter::Unread, _) => "unread".to_owned(),
            (Matter::Off, _) => "OFF, not back on".to_owned(),
            (Matter::NotListened, Some(at)) => {
                let line = self.analyst.line(at);
                let left = line.loudspeakers - line.asked;
                format!("not listened to: {left} of {}", line.loudspeakers)
            }
            (Matter::NoInsulation, _) => "insulation not read".to_owned(),
            // When it was due, or how many they may be; the rest stands below.
            (Matter::Calibration | Matter::OneOrTwo, _) => {
                item.words.split(',').next().unwrap_or("").to_owned()
            }
            _ => item.words.clone(),
        }
    }

    fn line_figures(&self, at: usize) -> String {
        let line = self.analyst.line(at);
        let value = line.taken.as_ref().map(|it| show::value(it.value));
        // How often the load as drawn goes into a short says nothing: leads and contacts are all it reads.
        let stop = line.is_stop(self.analyst.limits());
        let deviation = line.verdict.and_then(|it| it.deviation.filter(|_| !stop));
        format!(
            "{}{}  {}",
            text::right(&value.unwrap_or_default(), 9),
            text::right(&deviation.map_or_else(String::new, show::signed_percent), 9),
            self.standing(at, false).word
        )
    }

    /// Figures and the word on it; what would be cut of a figure gives way to its short form.
    fn review_words(&self, row: &Row, room: usize) -> String {
        let item = &row.item;
        if row.gone {
            return "in nobody's way any more".to_owned();
        }
        let figures = self.review_figures(item);
        if !takes_a_word(item.matter) && item.matter != Matter::Repaired {
            return figures;
        }
        let word = match (left_open::word_of(item), self.review_sent(&item.of)) {
            (_, Some(sent)) => sent.to_owned(),
            (None, _) => "no word yet".to_owned(),
            (Some(_), _) if item.open => "not enough".to_owned(),
            (Some(word), _) => {
                let room = room.saturating_sub(FIGURES + 1);
                let short = match &word.is {
                    Decision::Accepted => "accepted".to_owned(),
                    Decision::Repaired { .. } => "repaired".to_owned(),
                    Decision::Skipped => "later".to_owned(),
                    Decision::Snag { due, .. } => {
                        due.map_or_else(|| "snag".to_owned(), |due| format!("snag {due}"))
                    }
                };
                let full = word.words();
                if text::width(&full) <= room {
                    full
                } else if text::width(&short) <= room {
                    short
                } else {
                    short.split(' ').next().unwrap_or_default().to_owned()
                }
            }
        };
        let row = format!("{} {word}", text::left(&figures, FIGURES));
        // Behind it the likeliest why, where it has room; below the list it stands in full.
        match &item.cause {
            Some(cause) if text::width(&row) + 2 + text::width(cause) <= room => {
                format!("{row}  {cause}")
            }
            _ => row,
        }
    }

    /// The entry line's prompt.
    pub(super) fn review_prompt(&self) -> String {
        match self.review.under() {
            Some(row) => format!(" {}> ", item_name(&row.item)),
            None => format!(" {}> ", self.signed_for()),
        }
    }

    /// How many stand in the way, for the right end of the entry line: the list may be longer than the
    /// screen.
    pub(super) fn in_the_way_words(&self) -> String {
        let whose = self.signed_for();
        match self.review.in_the_way() {
            0 => format!("nothing in the way of {whose} "),
            count => format!("{count} in the way of {whose} "),
        }
    }

    /// A thing's label as the review has it.
    pub(super) fn of_label(&self, of: &Ref) -> String {
        crate::review::label_of(&self.site, of)
    }

    /// The reason of the item under the cursor, and what would settle it.
    pub(super) fn review_parts(&self, width: usize) -> Parts {
        let mut out = Section::default();
        if self.choosing().is_some() {
            return choosing_parts(width);
        }
        let Some(row) = self.review.under() else {
            let count = self.review.in_the_way();
            let words = match count {
                0 => format!("{}: Enter asks for a name and a role", self.signed_for()),
                _ => format!(
                    "{} opens for signing when nothing stands in the way",
                    self.signed_for()
                ),
            };
            out.words(" ", &words, width, Tone::Plain);
            if let Some(signed) = &self.review.signed {
                out.words(" ", signed, width, Tone::Plain);
            }
            out.words(
                " ",
                "v: what is signed for, the whole site, an amplifier or a zone. P: prints the record, a PDF",
                width,
                Tone::Plain,
            );
            out.words(
                " ",
                "It seals what was measured and decided; a later change is seen as a change. It says \
                 of nothing that it is safe or meets a code.",
                width,
                Tone::Plain,
            );
            return Parts {
                first: vec![out],
                ..Parts::default()
            };
        };
        let item = &row.item;
        let mut words = format!("{}  {}", item.label, item.words);
        if let Some(at) = self.review_line(item) {
            let zone = &self.site.plan().lines[at].zone_label;
            let joint = [":", ","][usize::from(item.words.starts_with("reads "))];
            words = format!("{}, {zone}{joint} {}", item.label, item.words);
        }
        if let Some(note) = &item.note {
            words = format!("{words}; {note}");
        }
        if item.matter == Matter::Flagged(Why::Question) && !row.gone {
            return self.question_parts(item, width);
        }
        if let Some(cause) = &item.cause {
            words = format!("{words}; likeliest, {cause}");
        }
        // The first line leaves room for the mark of a page.
        let room = width.saturating_sub(2);
        for line in text::wrap(&words, room.saturating_sub(9), room) {
            out.push(Line::plain(format!(" {line}")));
        }
        if let Some(word) = left_open::word_of(item) {
            let said = format!("{} {}, {}", self.clock(word.at), word.by, word.words());
            let start = if item.open { " not enough: " } else { " " };
            out.words(start, &said, width, Tone::Plain);
        }
        let words = match (row.gone, item.open) {
            (true, _) => {
                "in nobody's way any more; it leaves the list when that is asked for again"
            }
            (false, false) if takes_a_word(item.matter) => {
                "settled; u takes the last act back, Space and l say another word"
            }
            _ => settled_by(item.matter),
        };
        let start = [" ", " settled by: "][usize::from(item.open && !row.gone)];
        out.words(start, words, width, Tone::Plain);
        Parts {
            first: vec![out],
            ..Parts::default()
        }
    }
}

/// What an item is called in the list: of the site all is, so that is said in short.
fn item_name(item: &Item) -> &str {
    match item.of {
        Ref::Site => "site",
        _ => &item.label,
    }
}
