//! A picture on its pages: its title above, how it is read below; it breaks between rows where it does
//! not fit, and its heading is drawn again.

use super::super::super::document::Picture;
use super::super::super::picture::{BAR_HIGH, BAR_TOP, BASELINE, Primitive, is_sign};
use super::flow::{BLACK, FAINT, Flow, LEADING, MARGIN, Mark};

/// Size of letters of the title.
const TITLE: f32 = 8.0;
/// Height of it, with the gap below.
const ABOVE: f32 = TITLE * LEADING + 3.0;
/// Height of a cell in widths of one.
const HIGH: f32 = 2.1;
/// A bar's ink.
const BAR: u8 = 130;
/// Fewer rows than this are no part of a picture.
const LEAST_ROWS: usize = 4;

/// A stroke or word moved to another row; a rule that is cut keeps what lies between two rows.
fn within(it: &Primitive, first: f64, last: f64, up: f64) -> Option<Primitive> {
    match it {
        Primitive::Line { from, to } if from.1 != to.1 => {
            let (a, b) = (from.1.max(first - 0.5), to.1.min(last - 0.5));
            (b > a).then_some(Primitive::Line {
                from: (from.0, a - up),
                to: (to.0, b - up),
            })
        }
        Primitive::Line { from, to } => {
            let inside = from.1 >= first - 0.5 && from.1 < last - 0.5;
            inside.then_some(Primitive::Line {
                from: (from.0, from.1 - up),
                to: (to.0, to.1 - up),
            })
        }
        Primitive::Box { x, y, w, h } => (*y >= first && *y < last).then(|| Primitive::Box {
            x: *x,
            y: y - up,
            w: *w,
            h: *h,
        }),
        Primitive::Text { at, text } => (at.1 >= first && at.1 < last).then(|| Primitive::Text {
            at: (at.0, at.1 - up),
            text: text.clone(),
        }),
    }
}

/// Height of the note below.
fn below(picture: &Picture) -> f32 {
    if picture.note.is_empty() { 0.0 } else { 11.0 }
}

impl Flow<'_> {
    /// Width of a cell.
    fn cell_of(&self, picture: &Picture) -> f32 {
        (self.room() / picture.columns as f32).min(5.2)
    }

    /// The room that a picture begins in: whole where it is small, else as much of it as is a part.
    pub(super) fn beginning_of(&self, picture: &Picture) -> f32 {
        let h = HIGH * self.cell_of(picture);
        let whole = ABOVE + picture.rows as f32 * h + below(picture);
        if whole < self.page_height() / 4.0 {
            whole
        } else {
            ABOVE + (picture.head + LEAST_ROWS) as f32 * h
        }
    }

    /// A picture with its title and its note.
    pub(super) fn picture(&mut self, picture: &Picture) {
        let w = self.cell_of(picture);
        let h = HIGH * w;
        let title = ABOVE;
        let note = below(picture);
        self.want(self.beginning_of(picture));
        let mut first = picture.head;
        while first < picture.rows {
            let fits = ((self.left() - title - note) / h).floor().max(1.0) as usize;
            let count = fits.saturating_sub(picture.head).max(1);
            // Not a row or two alone on the next page.
            let rest = picture.rows - first;
            let count = if rest > count && rest < count + LEAST_ROWS {
                rest.saturating_sub(LEAST_ROWS).max(1)
            } else {
                count.min(rest)
            };
            let again = if first > picture.head {
                ", continued"
            } else {
                ""
            };
            self.paragraph(&format!("{}{again}", picture.title), TITLE, true, 0.0);
            self.y += 3.0;
            let part = (first, first + count);
            self.strokes(picture, part, w);
            self.y += (picture.head + count) as f32 * h + 2.0;
            first += count;
            if first < picture.rows {
                self.new_page();
            }
        }
        self.note(&picture.note);
        self.y += 8.0;
    }

    /// The heading of a picture and some of its rows.
    fn strokes(&mut self, picture: &Picture, (first, last): (usize, usize), w: f32) {
        let head = picture.head as f64;
        let (from, to) = (first as f64, last as f64);
        let heading = picture
            .primitives
            .iter()
            .filter_map(|it| within(it, 0.0, head, 0.0));
        let rows = picture
            .primitives
            .iter()
            .filter_map(|it| within(it, from, to, from - head));
        for primitive in heading.chain(rows).collect::<Vec<_>>() {
            self.stroke(&primitive, w);
        }
    }

    fn stroke(&mut self, primitive: &Primitive, w: f32) {
        let h = HIGH * w;
        let size = 1.55 * w;
        let (left, top) = (MARGIN, self.y);
        let place = |x: f64, y: f64| (left + x as f32 * w, top + y as f32 * h);
        match primitive {
            Primitive::Box {
                x,
                y,
                w: wide,
                h: high,
            } => {
                let (x, y) = place(*x, y + BAR_TOP);
                self.mark(Mark::Box {
                    x,
                    y,
                    w: *wide as f32 * w,
                    h: *high as f32 * h * BAR_HIGH as f32,
                    ink: BAR,
                });
            }
            Primitive::Line { from, to } => self.mark(Mark::Line {
                from: place(from.0 + 0.5, from.1 + 0.5),
                to: place(to.0 + 0.5, to.1 + 0.5),
                width: 0.6,
                // A stroke within a row is seen on its bar too.
                ink: if to.1 - from.1 < 1.0 { BLACK } else { FAINT },
            }),
            Primitive::Text { at, text } => {
                let sign = is_sign(text);
                let text = self.face(sign).legible(text);
                let (mut x, y) = place(at.0, at.1 + BASELINE);
                if sign {
                    x += 0.5 * w - 0.5 * self.bold.width(&text, size);
                }
                self.words(x, y, size, sign, &text);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::super::document::Block;
    use super::super::trial::laid_out;
    use super::*;

    /// Words of each page.
    fn pages(blocks: Vec<Block>) -> Vec<Vec<String>> {
        let words = |marks: &Vec<Mark>| {
            let words = marks.iter().filter_map(|it| match it {
                Mark::Text { text, .. } => Some(text.clone()),
                _ => None,
            });
            words.collect()
        };
        laid_out(blocks, |flow| flow.pages.iter().map(words).collect())
    }

    fn has(page: &[String], words: &str) -> bool {
        page.iter().any(|it| it == words)
    }

    fn picture(rows: usize) -> Picture {
        let text = |row: usize, text: String| Primitive::Text {
            at: (0.0, row as f64),
            text,
        };
        let mut primitives = vec![text(0, "heading".to_owned())];
        primitives.extend((1..=rows).map(|row| text(row, format!("row {row}"))));
        primitives.push(Primitive::Line {
            from: (50.0, 0.5),
            to: (50.0, rows as f64 + 0.5),
        });
        Picture {
            title: "A picture".to_owned(),
            note: "How it is read.".to_owned(),
            columns: 92,
            rows: rows + 1,
            head: 1,
            primitives,
        }
    }

    #[test]
    fn a_picture_longer_than_a_page_breaks_between_rows_and_repeats_its_heading() {
        let pages = pages(vec![Block::Picture(picture(150))]);
        assert!(pages.len() > 2);
        for page in &pages {
            assert!(has(page, "heading"));
        }
        assert!(has(&pages[0], "A picture") && has(&pages[1], "A picture, continued"));
        for row in 1..=150 {
            let word = format!("row {row}");
            let count = pages.iter().filter(|page| has(page, &word)).count();
            assert_eq!(count, 1, "{word}");
        }
        assert!(has(pages.last().unwrap(), "How it is read."));
    }

    #[test]
    fn a_picture_fills_what_is_left_of_a_page_and_leaves_no_row_or_two_alone() {
        // Fifty rows on a page that is half full.
        let text = |at| Block::Text(format!("paragraph {at}"));
        let mut blocks: Vec<Block> = (0..20).map(text).collect();
        blocks.push(Block::Picture(picture(50)));
        let pages = pages(blocks);
        assert_eq!(pages.len(), 2);
        assert!(has(&pages[0], "row 4") && has(&pages[1], "row 47"));
    }

    /// How far down each page is written on, as a share of it; the last page is of no interest.
    fn filled(blocks: Vec<Block>) -> Vec<f32> {
        laid_out(blocks, shares)
    }

    fn shares(flow: &Flow) -> Vec<f32> {
        let high = flow.page_height();
        let lowest = |marks: &Vec<Mark>| {
            let foot = 842.0 - 26.0;
            let lowest = marks.iter().filter_map(|it| match it {
                Mark::Text { y, .. } if *y < foot => Some(*y),
                Mark::Line { to, .. } => Some(to.1),
                _ => None,
            });
            (lowest.fold(0.0, f32::max) - (842.0 - 50.0 - high)) / high
        };
        let pages = flow.pages.split_last().unwrap().1;
        pages.iter().map(lowest).collect()
    }

    #[test]
    fn chapters_flow_on_a_small_picture_stays_whole_and_a_heading_with_what_follows() {
        for rows in [3, 12, 60] {
            for before in 0..60 {
                let text = |at| Block::Text(format!("paragraph {at}"));
                let mut blocks: Vec<Block> = (0..before).map(text).collect();
                blocks.push(Block::Heading(1, "Chapter".to_owned()));
                blocks.push(Block::Heading(2, "Section".to_owned()));
                let points = (0..6).map(|at| format!("point {at}"));
                blocks.push(Block::Points(points.collect()));
                blocks.push(Block::Picture(picture(rows)));
                let pages_of = pages(blocks.clone());
                let of = |words: &str| {
                    let found = pages_of.iter().position(|page| has(page, words));
                    found.unwrap_or_else(|| panic!("{words}, {rows} rows behind {before}"))
                };
                let told = format!("{rows} rows behind {before}");
                for words in ["Section", "point 0"] {
                    assert_eq!(of(words), of("Chapter"), "{words}, {told}");
                }
                // The last point has another beside it.
                assert_eq!(of("point 4"), of("point 5"), "{told}");
                let last = if rows <= 12 { rows } else { 4 };
                assert_eq!(of("A picture"), of(&format!("row {last}")), "{told}");
                // What is kept whole is at most a quarter of a page: so much may stay empty.
                for (at, share) in filled(blocks).into_iter().enumerate() {
                    assert!(share > 0.74, "page {at} is filled to {share}, {told}");
                }
            }
        }
    }

    #[test]
    fn the_words_behind_a_table_stand_below_its_last_row() {
        use super::super::super::super::document::Table;
        for rows in 1..90 {
            let mut table = Table::new(&["first", "second"]);
            for at in 0..rows {
                table.row(vec![format!("cell {at}"), "words".to_owned()]);
            }
            let blocks = vec![Block::Table(table), Block::Text("what it says".to_owned())];
            let pages = pages(blocks);
            let of = |words: &str| pages.iter().position(|page| has(page, words)).unwrap();
            assert_eq!(
                of("what it says"),
                of(&format!("cell {}", rows - 1)),
                "{rows}"
            );
        }
    }

    #[test]
    fn a_title_within_a_table_stands_above_the_row_that_it_leads_to() {
        use super::super::super::super::document::Table;
        for before in 1..90 {
            let mut table = Table::new(&["first", "second"]);
            let mut row = |first: String, second: &str, strong| {
                table.strong_row(vec![first, second.to_owned()], strong);
            };
            (0..before).for_each(|at| row(format!("cell {at}"), "words", false));
            row("a title".to_owned(), "", true);
            (0..9).for_each(|at| row(format!("below {at}"), "words", false));
            let pages = pages(vec![Block::Table(table)]);
            let of = |words: &str| pages.iter().position(|page| has(page, words)).unwrap();
            assert_eq!(of("a title"), of("below 0"), "{before}");
        }
    }

    #[test]
    fn a_short_stroke_of_a_picture_lies_within_its_row() {
        use super::super::super::super::picture::load_bar;
        use crate::quantity::{Fraction, Watt};
        // The row's words stand on a line at 0.75 of it; the stroke goes from 0.15 to 0.85 as the bar does.
        let bar = load_bar(Watt(90.0), Watt(100.0), Fraction(0.2), 40);
        let upright = bar.iter().find_map(|it| match it {
            Primitive::Line { from, to } if from.0 == to.0 => Some((from.1 + 0.5, to.1 + 0.5)),
            _ => None,
        });
        let (from, to) = upright.unwrap();
        assert!((from - 0.15).abs() < 1e-9 && (to - 0.85).abs() < 1e-9);
        for row in [1.0, 5.0] {
            let moved = Primitive::Line {
                from: (32.0, row - 0.35),
                to: (32.0, row + 0.35),
            };
            // A page that begins with this row draws all of it, the page before none of it.
            assert_eq!(within(&moved, row, row + 4.0, 0.0), Some(moved.clone()));
            assert_eq!(within(&moved, 0.0, row, 0.0), None);
        }
    }

    #[test]
    fn a_short_section_stays_on_one_page_and_the_contents_name_the_page_of_a_chapter() {
        for before in 0..60 {
            let text = |at| Block::Text(format!("paragraph {at}"));
            let mut blocks = vec![Block::Contents];
            blocks.extend((0..before).map(text));
            blocks.push(Block::Heading(1, "Chapter".to_owned()));
            blocks.push(Block::Text("its first words".to_owned()));
            blocks.push(Block::Heading(2, "Section".to_owned()));
            blocks.push(Block::Points(
                (0..4).map(|at| format!("point {at}")).collect(),
            ));
            let pages = pages(blocks);
            let of = |words: &str| {
                // The contents name it on the first page as well.
                pages.iter().rposition(|page| has(page, words)).unwrap()
            };
            assert_eq!(of("Section"), of("point 0"), "{before}");
            assert_eq!(of("Section"), of("point 3"), "{before}");
            assert_eq!(of("Chapter"), of("its first words"), "{before}");
            let page = (of("Chapter") + 1).to_string();
            assert!(
                has(&pages[0], "Chapter") && has(&pages[0], &page),
                "{before}"
            );
        }
    }
}
