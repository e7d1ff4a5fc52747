//! The whole building on one screen: every line's deviation as rows of bands, load against rating of
//! every output, what only all lines together show.

use super::super::Session;
use super::super::tree::{RowId, output_title};
use super::text::{self, Line, Tone};
use super::{TreeLine, section::Section};
use crate::quantity::show;
use crate::review::cores_beside;
use std::ops::Range;

/// A band: its name and the deviations it holds, from and up to but not with. What lies within the
/// first tenth is split finer, since that is where most lines are.
type Band = (&'static str, f64, f64);

const BANDS: [Band; 9] = [
    ("  over +25", 0.25, f64::INFINITY),
    ("+15 to +25", 0.15, 0.25),
    ("+10 to +15", 0.10, 0.15),
    (" +3 to +10", 0.03, 0.10),
    ("  within 3", -0.03, 0.03),
    (" -3 to -10", -0.10, -0.03),
    ("-10 to -15", -0.15, -0.10),
    ("-15 to -25", -0.25, -0.15),
    (" under -25", f64::NEG_INFINITY, -0.25),
];
/// On a low screen.
const FEW_BANDS: [Band; 5] = [
    ("  over +10", 0.10, f64::INFINITY),
    (" +3 to +10", 0.03, 0.10),
    ("  within 3", -0.03, 0.03),
    (" -3 to -10", -0.10, -0.03),
    (" under -10", f64::NEG_INFINITY, -0.10),
];
/// Cells of a band's name.
const NAME: usize = 11;
/// Rows of the screen from which all bands have room.
const ROOMY: usize = 17;
/// What the signs mean, a row a band.
const LEGEND: [&str; 9] = [
    "= in tol",
    "~ close",
    "+ out, too much",
    "- out, too little",
    "/ open",
    "! stop",
    "? read again",
    ". unread",
    "^ cursor",
];

impl Session {
    /// Every row of the place, and how many pages it has.
    pub(super) fn building_lines(&self, width: usize, rows: usize) -> (Vec<TreeLine>, usize) {
        let plain = TreeLine::from;
        let picture = self.deviations(width, rows);
        let hints = self.site_hint_lines(width);
        let detail = self.under_cursor(width);
        let outputs = self.output_table(width);
        // A screen that holds it all has no pages.
        let needed = picture.len() + 1 + outputs.len() + detail.len() + hints.len();
        if needed <= rows {
            let mut out: Vec<TreeLine> = picture.into_iter().map(plain).collect();
            out.push(plain(self.output_head(width, None)));
            out.extend(outputs);
            out.extend(detail.into_iter().map(plain));
            if needed < rows {
                out.push(plain(Line::default()));
            }
            out.extend(hints.into_iter().map(plain));
            return (out, 1);
        }
        // The picture with the outputs around the cursor; then what the whole building shows.
        let room = rows.saturating_sub(picture.len() + 1 + detail.len()).max(1);
        let here = outputs.iter().position(|row| row.cursor).unwrap_or(0);
        let shown = room.min(outputs.len());
        let top = text::first_shown(here, shown, outputs.len());
        let hint_pages = hints.len().div_ceil(rows.saturating_sub(1).max(1));
        let pages = 1 + hint_pages;
        let page = self.page.min(pages - 1);
        let mark = (pages > 1).then(|| format!("Tab {}/{pages}", page + 1));
        if page > 0 {
            let per = rows.saturating_sub(1).max(1);
            let head = Line::ends(
                " the whole building",
                &mark.unwrap_or_default(),
                width.saturating_sub(1),
                Tone::Title,
            );
            let rest = hints.into_iter().skip((page - 1) * per).take(per);
            let out = std::iter::once(head).chain(rest).map(plain).collect();
            return (out, pages);
        }
        let mut out: Vec<TreeLine> = picture.into_iter().map(plain).collect();
        let range = (top + 1, top + shown, outputs.len());
        let head = self.output_head(width, Some((range, mark)));
        out.push(plain(head));
        out.extend(outputs.into_iter().skip(top).take(shown));
        out.extend(detail.into_iter().map(plain));
        (out, pages)
    }

    /// Outputs whose lines stand on the picture beside each other: those of the cursor's page.
    fn pictured(&self, cells: usize) -> (Range<usize>, usize) {
        let outputs = &self.site.plan().outputs;
        let here = self.output_under().unwrap_or(0);
        let lines: usize = outputs.iter().map(|it| it.lines.len().max(1) + 1).sum();
        // Two cells a line where there is room for all.
        let each = if lines + self.site.plan().lines.len() <= cells {
            2
        } else {
            1
        };
        let mut pages: Vec<Range<usize>> = Vec::new();
        let mut used = 0;
        for (at, output) in outputs.iter().enumerate() {
            let own = output.lines.len().max(1) * each + 1;
            match pages.last_mut() {
                Some(page) if used + own <= cells => page.end = at + 1,
                _ => {
                    pages.push(at..at + 1);
                    used = 0;
                }
            }
            used += own;
        }
        let page = pages.into_iter().find(|page| page.contains(&here));
        (page.unwrap_or(0..0), each)
    }

    fn deviations(&self, width: usize, rows: usize) -> Vec<Line> {
        let plan = self.site.plan();
        let bands: &[Band] = if rows >= ROOMY { &BANDS } else { &FEW_BANDS };
        // The signs are told beside the picture, unless that would push lines off it.
        let wide = width.saturating_sub(NAME + 1);
        let all = |cells: usize| self.pictured(cells).0.len() == plan.outputs.len();
        let legend = if width >= 78 && (all(wide - 20) || !all(wide)) {
            20
        } else {
            0
        };
        let (outputs, each) = self.pictured(width.saturating_sub(NAME + 1 + legend));
        let limb = if self.opening.ascii { '|' } else { '\u{2502}' };
        // Which row a line stands in: its band, else the one for lines without a figure.
        let row_of = |at: usize| {
            let deviation = self.analyst.line(at).verdict.and_then(|it| it.deviation);
            deviation
                .and_then(|it| {
                    bands
                        .iter()
                        .position(|(_, from, to)| (*from..*to).contains(&it.get()))
                })
                .unwrap_or(bands.len())
        };
        let mut out = Vec::new();
        for row in 0..=bands.len() {
            let name = bands.get(row).map_or(" no figure", |(name, ..)| name);
            let mut line = Line::plain(text::left(name, NAME));
            for (nth, output) in outputs.clone().enumerate() {
                if nth > 0 {
                    line = line.and(limb, Tone::Plain);
                }
                let lines = plan.outputs[output].lines.clone();
                if lines.is_empty() {
                    line = line.and(" ".repeat(each), Tone::Plain);
                }
                for at in lines {
                    let (sign, tone) = if row_of(at) == row {
                        let standing = self.standing(at, false);
                        (standing.sign, standing.tone)
                    } else {
                        (' ', Tone::Plain)
                    };
                    line = line.and(sign, tone);
                    if each > 1 {
                        line = line.and(" ", Tone::Plain);
                    }
                }
            }
            if legend > 0
                && let Some(words) = LEGEND.get(row)
            {
                let fill = (width - legend).saturating_sub(line.width());
                line = line.and(format!("{}{words}", " ".repeat(fill)), Tone::Plain);
            }
            out.push(line);
        }
        out.push(self.axis(outputs, each, width));
        out
    }

    /// The labels under the picture: the first line of each output as far as there is room, the
    /// cursor's own line marked.
    fn axis(&self, outputs: Range<usize>, each: usize, width: usize) -> Line {
        let plan = self.site.plan();
        let mut cells = String::new();
        for (nth, output) in outputs.clone().enumerate() {
            if nth > 0 {
                cells.push(' ');
            }
            let lines = plan.outputs[output].lines.clone();
            let room = lines.len().max(1) * each;
            let own = self.walked().filter(|at| lines.contains(at));
            if let Some(at) = own {
                let before = (at - lines.start) * each;
                let mut group = " ".repeat(before) + "^";
                group.push_str(&" ".repeat(room.saturating_sub(before + 1)));
                cells.push_str(&group);
                continue;
            }
            let label = lines.clone().next().map(|at| plan.lines[at].label.as_str());
            let label = label.filter(|label| text::width(label) <= room);
            cells.push_str(&text::left(label.unwrap_or("|"), room));
        }
        let all = plan.outputs.len();
        let more = if outputs.len() < all {
            format!("outputs {}-{} of {all}", outputs.start + 1, outputs.end)
        } else {
            String::new()
        };
        let start = format!("{}{cells}", text::left(" %, lines", NAME));
        let tone = Tone::Plain;
        let room = width.saturating_sub(1);
        if more.is_empty() || text::width(&start) + 2 + text::width(&more) > room {
            Line::plain(text::cut(start.trim_end(), room))
        } else {
            Line::ends(&start, &more, room, tone)
        }
    }

    /// What stands under the cursor: a line with its figures, an output with the rating it needs and
    /// the line that grew most.
    fn under_cursor(&self, width: usize) -> Vec<Line> {
        let mut out = Section::default();
        match (&self.cursor, self.output_under()) {
            (RowId::Line(_), _) => {
                let Some(at) = self.walked() else {
                    return Vec::new();
                };
                let line = &self.site.plan().lines[at];
                let result = self.analyst.line(at);
                let standing = self.standing(at, false);
                let mut words = self.line_sentence(at);
                // What the whole site shows of it explains what its own faults only could.
                let hints = self.analyst.site_hints().iter();
                let own = self.analyst.suspects(at).and_then(|it| it.hints.first());
                let first = hints
                    .filter(|hint| hint.lines.contains(&line.id))
                    .map(|hint| (hint.probability, &hint.text))
                    .next()
                    .or(own.map(|hint| (hint.probability, &hint.text)));
                if let Some((odds, text)) = first.filter(|_| result.is_flagged()) {
                    words.push_str(&format!("; {} {text}", show::probability(odds)));
                }
                out.words(&format!(" {} ", standing.sign), &words, width, Tone::Plain);
            }
            (_, Some(at)) => {
                let words = self.output_words(at);
                out.words("   ", &words, width, Tone::Plain);
            }
            _ => {}
        }
        out.0.truncate(3);
        out.0
    }

    /// How a line stands, in a sentence: `OH-2 reads open, 0.0 W; OFF the amplifier`.
    fn line_sentence(&self, at: usize) -> String {
        let label = &self.site.plan().lines[at].label;
        let result = self.analyst.line(at);
        let word = self.standing(at, false).in_full();
        let mut words = match &result.taken {
            Some(taken) => {
                let load = self.load_of(result);
                let load = load.map_or_else(String::new, |it| format!(", {}", show::watt(it)));
                let deviation = result.verdict.and_then(|it| it.deviation);
                let deviation = deviation
                    .map_or_else(String::new, |it| format!(", {}", show::signed_percent(it)));
                let value = show::value(taken.value);
                // What it reads says it already.
                let word = match value == word {
                    true => String::new(),
                    false => format!(": {word}"),
                };
                format!("{label} reads {value}{load}{deviation}{word}")
            }
            None => format!("{label} is {word}"),
        };
        if result.off {
            words.push_str("; OFF the amplifier");
        }
        words
    }

    /// What rating leaves the headroom, and which line grew most.
    pub(super) fn output_words(&self, at: usize) -> String {
        let plan = self.site.plan();
        let result = self.analyst.output(&self.site, at, None);
        let mut words = match result.carries.rating_needed {
            Some(needed) => format!(
                "{}: needs {} for {:.0} % headroom",
                output_title(plan, at),
                show::watt(needed),
                result.headroom.get() * 100.0
            ),
            None => format!("{}: load unknown", output_title(plan, at)),
        };
        if let Some((line, by)) = self.analyst.growth(&self.site, at).first()
            && by.get() >= 0.05
        {
            words.push_str(&format!(
                "; {} grew by {}",
                plan.lines[*line].label,
                show::watt(*by)
            ));
        }
        words.push_str(&cores_beside(&self.site, &self.analyst, at));
        words
    }

    fn site_hint_lines(&self, width: usize) -> Vec<Line> {
        let mut out = Section::default();
        let hints = self.analyst.site_hints();
        for hint in hints {
            let start = format!(
                " site {}  ",
                text::right(&show::probability(hint.probability), 5)
            );
            out.words(&start, &hint.text, width, Tone::Plain);
        }
        if hints.is_empty() {
            let read = self.analyst.counts().read > 0;
            let words = if read && self.analyst.learned().is_none() {
                "still reckoning what only the whole building shows"
            } else {
                "nothing that only the whole building shows"
            };
            out.words(" site  ", words, width, Tone::Plain);
        }
        out.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band_of(deviation: f64) -> &'static str {
        let mut bands = BANDS.iter();
        let found = bands.find(|(_, from, to)| (*from..*to).contains(&deviation));
        found.map_or("", |(name, ..)| name.trim())
    }

    #[test]
    fn every_deviation_has_one_band_and_the_bands_lie_without_a_gap() {
        for bands in [&BANDS[..], &FEW_BANDS[..]] {
            for pair in bands.windows(2) {
                assert_eq!(pair[0].1, pair[1].2);
            }
        }
        assert_eq!(band_of(0.168), "+15 to +25");
        assert_eq!(band_of(-0.029), "within 3");
        assert_eq!(band_of(-0.5), "under -25");
    }
}
