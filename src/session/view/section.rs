//! Sections of the panel, flowed into columns and counted pages: what does not fit is a page under
//! Tab, never cut.

use super::text::{self, Line, Tone};
use crate::quantity::{Probability, show};

/// Lines that belong together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section(pub Vec<Line>);

impl Section {
    /// A section under a title.
    #[must_use]
    pub fn titled(title: &str) -> Self {
        Self(vec![Line::tone(format!(" {title}"), Tone::Title)])
    }

    /// Adds a line at the end.
    pub fn push(&mut self, line: Line) {
        self.0.push(line);
    }

    /// A sentence behind its odds.
    pub fn odds(&mut self, odds: Probability, words: &str, width: usize) {
        let start = format!(" {}  ", text::right(&show::probability(odds), 5));
        self.words(&start, words, width, Tone::Plain);
    }

    /// Words with a hanging indent, broken to the width.
    pub fn words(&mut self, start: &str, words: &str, width: usize, tone: Tone) {
        let indent = text::width(start);
        let room = width.saturating_sub(indent + 1).max(8);
        for (at, line) in text::wrap(words, room, room).into_iter().enumerate() {
            let lead = if at == 0 {
                start.to_owned()
            } else {
                " ".repeat(indent)
            };
            self.0.push(Line::plain(lead).and(line, tone));
        }
    }
}

/// What a panel says: what comes first, and what may stand beside it where there is room for a
/// second column. There it keeps its place while the first part grows and shrinks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parts {
    /// What comes first.
    pub first: Vec<Section>,
    /// What may stand beside it.
    pub beside: Vec<Section>,
    /// What stands at the foot of the first column and of the second, where there are two: it keeps
    /// its rows whatever goes on above it.
    pub foot: [Section; 2],
    /// What is looked up now and then: on pages of its own where there are two columns.
    pub later: Vec<Section>,
}

impl Parts {
    /// With a section before all others, where there is one.
    #[must_use]
    pub fn headed(mut self, section: Option<Section>) -> Self {
        self.first.splice(0..0, section);
        self
    }
}

/// The columns of one page. A section that fits a column is kept whole; a longer one goes on in the
/// next. When there are several pages each begins with the first line of all, and `Tab n/m` beside
/// it: no figure gives way to the mark. Where there are fewer than the one asked for the last is shown.
/// Returns how many there are as well.
#[must_use]
pub fn page(
    parts: Parts,
    page: usize,
    width: usize,
    rows: usize,
    columns: usize,
) -> (Vec<Vec<Line>>, usize) {
    page_by(parts, page, (width, rows), columns, "Tab")
}

/// As [`page`], where another key than Tab turns the page.
#[must_use]
pub fn page_by(
    parts: Parts,
    page: usize,
    (width, rows): (usize, usize),
    columns: usize,
    key: &str,
) -> (Vec<Vec<Line>>, usize) {
    let Parts {
        mut first,
        mut beside,
        foot,
        mut later,
    } = parts;
    if columns == 1 {
        first.append(&mut beside);
    }
    let head = first.iter().find_map(|section| section.0.first()).cloned();
    // A foot that would leave less than half the rows flows with the rest.
    let [left_foot, right_foot] = foot;
    let stands = |foot: &Section| columns > 1 && !foot.0.is_empty() && foot.0.len() * 2 < rows;
    let above = |foot: &Section| match stands(foot) {
        true => rows - foot.0.len() - 1,
        false => rows,
    };
    let (left_rows, right_rows) = (above(&left_foot), above(&right_foot));
    if !stands(&left_foot) {
        first.push(left_foot.clone());
    }
    if !stands(&right_foot) {
        let into = if columns == 1 {
            &mut first
        } else {
            &mut beside
        };
        into.push(right_foot.clone());
    }
    if columns == 1 {
        first.append(&mut later);
    }
    let left = flow(first, left_rows, head.as_ref());
    let right = flow(beside, right_rows, None);
    let later = if later.is_empty() {
        Vec::new()
    } else {
        // The mark of the page stands beside the head, not over the names of columns.
        if let (Some(head), Some(section)) = (&head, later.first_mut()) {
            section.0.insert(0, head.clone());
        }
        flow(later, rows, head.as_ref())
    };
    let now = left.len().max(right.len());
    let pages = (now + later.len().div_ceil(columns)).max(1);
    let shown = page.min(pages - 1);
    if let Some(from) = shown.checked_sub(now) {
        let mut out: Vec<Vec<Line>> = later
            .into_iter()
            .skip(from * columns)
            .take(columns)
            .collect();
        out.resize(columns, Vec::new());
        mark(&mut out, shown, pages, width, key);
        return (out, pages);
    }
    let mut out = vec![
        left.get(shown)
            .cloned()
            .unwrap_or_else(|| head.into_iter().collect()),
    ];
    if columns > 1 {
        out.push(right.get(shown).cloned().unwrap_or_default());
    }
    for (column, foot) in out.iter_mut().zip([left_foot, right_foot]) {
        if stands(&foot) {
            column.resize(rows - foot.0.len(), Line::default());
            column.extend(foot.0);
        }
    }
    mark(&mut out, shown, pages, width, key);
    (out, pages)
}

/// `Tab n/m` beside the first line of several pages.
fn mark(out: &mut [Vec<Line>], shown: usize, pages: usize, width: usize, key: &str) {
    if pages > 1
        && let Some(first) = out.first_mut().and_then(|column| column.first_mut())
    {
        let mark = format!("{key} {}/{pages}", shown + 1);
        let room = width.saturating_sub(text::width(&mark) + 1);
        let tone = first.0.first().map_or(Tone::Plain, |span| span.tone);
        *first =
            Line::tone(text::left(&first.text(), room), tone).and(format!(" {mark}"), Tone::Plain);
    }
}

/// Sections one under the other, in columns of so many rows; every column but the first begins with
/// the head, where there is one.
fn flow(sections: Vec<Section>, rows: usize, head: Option<&Line>) -> Vec<Vec<Line>> {
    let next = |flowed: &mut Vec<Vec<Line>>| flowed.push(head.into_iter().cloned().collect());
    let mut flowed: Vec<Vec<Line>> = vec![Vec::new()];
    for section in sections.into_iter().filter(|section| !section.0.is_empty()) {
        let used = flowed.last().map_or(0, Vec::len);
        let gap = usize::from(used > 0);
        if used > 0 && used + gap + section.0.len() > rows {
            next(&mut flowed);
        } else if used > 0
            && let Some(column) = flowed.last_mut()
        {
            column.push(Line::default());
        }
        for line in section.0 {
            if flowed.last().map_or(0, Vec::len) >= rows {
                next(&mut flowed);
            }
            if let Some(column) = flowed.last_mut() {
                column.push(line);
            }
        }
    }
    flowed
}

#[cfg(test)]
mod tests {
    use super::*;

    fn section(lines: usize, name: &str) -> Section {
        Section(
            (0..lines)
                .map(|at| Line::plain(format!("{name}{at}")))
                .collect(),
        )
    }

    fn texts((columns, _): &(Vec<Vec<Line>>, usize)) -> Vec<Vec<String>> {
        columns
            .iter()
            .map(|column| column.iter().map(Line::text).collect())
            .collect()
    }

    fn parts(first: &[Section], beside: &[Section]) -> Parts {
        Parts {
            first: first.to_vec(),
            beside: beside.to_vec(),
            ..Parts::default()
        }
    }

    #[test]
    fn sections_that_fit_stay_whole_and_the_rest_is_a_counted_page() {
        let both = parts(&[section(3, "a")], &[section(2, "b")]);
        let first = texts(&page(both.clone(), 0, 20, 4, 1));
        assert_eq!(first, [["a0           Tab 1/2", "a1", "a2"]]);
        let second = texts(&page(both.clone(), 1, 20, 4, 1));
        assert_eq!(second, [["a0           Tab 2/2", "b0", "b1"]]);
        // Asked for one that is not there, the last: whoever moves on keeps the page that was chosen.
        assert_eq!(page(both.clone(), 2, 20, 4, 1), page(both, 1, 20, 4, 1));
    }

    #[test]
    fn what_stands_beside_keeps_its_place_while_the_first_part_grows() {
        for lines in 1..=4 {
            let both = parts(&[section(lines, "a")], &[section(2, "b")]);
            let wide = texts(&page(both, 0, 20, 4, 2));
            assert_eq!(wide[1], ["b0", "b1"], "{lines} lines first");
        }
    }

    #[test]
    fn what_stands_at_the_foot_keeps_its_rows_and_with_one_column_comes_last() {
        for lines in 1..=6 {
            let mut both = parts(&[section(lines, "a")], &[section(2, "b")]);
            both.foot = [section(2, "x"), section(1, "y")];
            let wide = texts(&page(both.clone(), 0, 20, 9, 2));
            assert_eq!(wide[0][7..], ["x0", "x1"], "{lines} lines first");
            assert_eq!(wide[1][8], "y0");
            let narrow = texts(&page(both, 0, 20, 30, 1));
            assert_eq!(narrow[0].last().unwrap(), "y0");
        }
    }

    #[test]
    fn a_section_longer_than_a_column_goes_on_and_no_line_is_lost() {
        let pages: Vec<String> = (0..3)
            .flat_map(|at| texts(&page(parts(&[section(10, "x")], &[]), at, 20, 4, 1)))
            .enumerate()
            .flat_map(|(page, lines)| lines.into_iter().skip(usize::from(page > 0)))
            .map(|line| line.split_whitespace().next().unwrap().to_owned())
            .collect();
        let wanted: Vec<String> = (0..10).map(|at| format!("x{at}")).collect();
        assert_eq!(pages, wanted);
    }
}
