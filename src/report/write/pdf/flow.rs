//! Pages: where each line of a document stands, before anything is drawn. Tables are laid out in
//! `table.rs`, pictures in `drawing.rs`.
//!
//! Chapters flow on: a section goes to a new page only where that leaves little of the old one empty.
//! Points and coordinates are those of PDF: 1/72 inch, here from the upper left corner down.

use super::super::super::document::{Block, Document};
use super::face::Face;

/// Left and right margin, points.
pub(super) const MARGIN: f32 = 36.0;
/// Upper and lower margin, points.
const TOP: f32 = 44.0;
const BOTTOM: f32 = 50.0;
/// Size of letters in paragraphs, points.
const BODY: f32 = 9.0;
/// The same of notes and of the contents.
pub(super) const SMALL: f32 = 7.5;
/// From one line to the next, in sizes of letters.
pub(super) const LEADING: f32 = 1.32;

/// How dark ink is: 0 is black, 255 white.
pub(super) const BLACK: u8 = 0;
/// Words beside the matter.
pub(super) const FAINT: u8 = 90;
/// Rules between rows.
pub(super) const RULE: u8 = 190;
/// Ground behind the heading of a table.
pub(super) const GROUND: u8 = 232;

/// No more of a page than this share is left empty to keep a section in one piece.
pub(super) const MOST_EMPTY: f32 = 0.17;
/// A section with more rows of a table than this is not measured: it breaks.
const MOST_ROWS_KEPT: usize = 16;
/// Words of at most so many lines do not break.
const MOST_LINES_KEPT: usize = 8;
/// Words behind a table that it takes along to the next page.
const MOST_LINES_IN_A_TAIL: usize = 2;
/// The gap behind a table.
pub(super) const AFTER_A_TABLE: f32 = 8.0;
/// What a table or a picture begins in, below the words that lead to it.
const LED_TO: f32 = 60.0;

/// Something drawn on a page, in points from its upper left corner; ink from 0, black, to 255, white.
pub(super) enum Mark {
    /// Words that begin at x on the line y.
    Text {
        x: f32,
        y: f32,
        size: f32,
        bold: bool,
        ink: u8,
        text: String,
    },
    /// A stroke so wide.
    Line {
        from: (f32, f32),
        to: (f32, f32),
        width: f32,
        ink: u8,
    },
    /// A filled box, its upper left corner and its size.
    Box {
        x: f32,
        y: f32,
        w: f32,
        h: f32,
        ink: u8,
    },
}

/// A heading that readers of the file can jump to.
pub(super) struct Bookmark {
    /// As of [`Block::Heading`].
    pub level: u8,
    /// Its words.
    pub text: String,
    /// Its page, from 0.
    pub page: usize,
    /// How far down, points.
    pub y: f32,
}

/// A document laid out.
pub(super) struct Flow<'a> {
    /// The face of most words.
    pub(super) regular: &'a Face,
    /// That of headings and of what wants a look.
    pub(super) bold: &'a Face,
    /// Width of the paper, points.
    pub(super) width: f32,
    /// Its height.
    pub(super) height: f32,
    /// What is drawn on each page.
    pub pages: Vec<Vec<Mark>>,
    /// Its headings.
    pub bookmarks: Vec<Bookmark>,
    /// How far down the last page is written on.
    pub(super) y: f32,
    /// Height of the words behind a table, which the end of the table takes along.
    pub(super) tail: f32,
    /// Where the contents stand: page, upper edge, lines of a column.
    pub(super) contents: Option<(usize, f32, usize)>,
}

/// Said at the end where a letter stands as its number.
const LACKED: &str = "Letters that this print has no type for stand as their number, \\u{...}: the web page of the \
                      same record (linewright report, a name ending in .html) shows them as they are.";

impl<'a> Flow<'a> {
    /// Lays a document out on paper of this width and height, in points.
    pub fn of(document: &Document, faces: (&'a Face, &'a Face), size: (f32, f32)) -> Self {
        let mut flow = Self::begun(faces, size);
        flow.paragraph(&document.title, 20.0, true, 0.0);
        flow.paragraph(&document.subtitle, 11.0, false, 0.0);
        flow.y += 3.0;
        flow.ruled(1.6);
        flow.y += 8.0;
        let chapters = |it: &&Block| matches!(it, Block::Heading(1, _));
        let count = document.blocks.iter().filter(chapters).count();
        for (at, block) in document.blocks.iter().enumerate() {
            let before = at.checked_sub(1).and_then(|at| document.blocks.get(at));
            let after_a_heading = matches!(before, Some(Block::Heading(..)));
            match block {
                // The first section of a chapter stays with the chapter's heading.
                Block::Heading(..) if after_a_heading => {}
                Block::Heading(..) => {
                    flow.keep(&document.blocks[at..]);
                    flow.keep_with_words(&document.blocks[at..]);
                }
                Block::Contents => flow.room_for_contents(count),
                Block::Text(text) => {
                    let next = document.blocks.get(at + 1);
                    let leads = matches!(next, Some(Block::Table(_) | Block::Picture(_)));
                    let room = flow.room();
                    flow.whole(text, room, if leads { LED_TO } else { 0.0 });
                }
                Block::Table(_) => flow.tail = flow.height_of_tail(document.blocks.get(at + 1)),
                _ => {}
            }
            flow.block(block);
        }
        if faces.0.lacked() || faces.1.lacked() {
            flow.y += LEADING * SMALL;
            flow.note(LACKED);
        }
        flow.write_contents();
        flow.feet(&document.foot);
        flow
    }

    fn begun(faces: (&'a Face, &'a Face), size: (f32, f32)) -> Self {
        Self {
            regular: faces.0,
            bold: faces.1,
            width: size.0,
            height: size.1,
            pages: vec![Vec::new()],
            bookmarks: Vec::new(),
            y: TOP,
            tail: 0.0,
            contents: None,
        }
    }

    /// A new page before a section that does not fit on the little that is left of this one. Where more is
    /// left, or the section takes more than a page, it begins here and breaks.
    fn keep(&mut self, blocks: &[Block]) {
        let is_heading = |it: &&Block| matches!(it, Block::Heading(..));
        // A chapter's heading goes with its first section where nothing stands between.
        let heads = blocks.iter().take(2).take_while(is_heading).count();
        let rest = blocks.iter().skip(heads);
        let section = &blocks[..heads + rest.take_while(|it| !is_heading(it)).count()];
        let long = section
            .iter()
            .any(|it| matches!(it, Block::Table(table) if table.rows.len() > MOST_ROWS_KEPT));
        if long || self.y <= TOP {
            return;
        }
        let wanted = self.height_of(section);
        let little = self.left() <= MOST_EMPTY * self.page_height();
        if little && wanted > self.left() && wanted <= self.page_height() {
            self.new_page();
        }
    }

    /// A heading goes on to the next page with the few lines of words behind it, where those do.
    fn keep_with_words(&mut self, blocks: &[Block]) {
        let heads = blocks.iter().take(2);
        let heads = heads.take_while(|it| matches!(it, Block::Heading(..)));
        let heads = heads.count();
        let Some(Block::Text(text)) = blocks.get(heads) else {
            return;
        };
        let leads = matches!(
            blocks.get(heads + 1),
            Some(Block::Table(_) | Block::Picture(_))
        );
        if self.regular.wrapped(text, BODY, self.room()).len() <= MOST_LINES_KEPT {
            let below = if leads { LED_TO } else { 0.0 };
            self.want(self.height_of(&blocks[..=heads]) + below);
        }
    }

    /// What these take on a page that never ends.
    fn height_of(&self, blocks: &[Block]) -> f32 {
        let mut trial = Self::begun((self.regular, self.bold), (self.width, f32::MAX / 4.0));
        blocks.iter().for_each(|it| trial.block(it));
        trial.y - TOP
    }

    /// A new page where words of a few lines, and so much below them, would break.
    fn whole(&mut self, text: &str, room: f32, below: f32) {
        let lines = self.regular.wrapped(text, BODY, room).len();
        if lines <= MOST_LINES_KEPT {
            self.want(BODY * LEADING * lines as f32 + below);
        }
    }

    /// A line or two behind a table do not begin a page.
    fn height_of_tail(&self, next: Option<&Block>) -> f32 {
        let Some(Block::Text(text)) = next else {
            return 0.0;
        };
        let lines = self.regular.wrapped(text, BODY, self.room()).len();
        if lines <= MOST_LINES_IN_A_TAIL {
            AFTER_A_TABLE + BODY * LEADING * lines as f32
        } else {
            0.0
        }
    }

    /// One of the two faces.
    pub(super) fn face(&self, bold: bool) -> &'a Face {
        if bold { self.bold } else { self.regular }
    }

    /// From margin to margin, points.
    pub(super) fn room(&self) -> f32 {
        self.width - 2.0 * MARGIN
    }

    /// What is left of the page, points.
    pub(super) fn left(&self) -> f32 {
        self.height - BOTTOM - self.y
    }

    /// What a page holds, points.
    pub(super) fn page_height(&self) -> f32 {
        self.height - BOTTOM - TOP
    }

    /// What follows begins on a new page.
    pub(super) fn new_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    /// A new page where less than this is left of it.
    pub(super) fn want(&mut self, height: f32) {
        if self.left() < height && self.y > TOP {
            self.new_page();
        }
    }

    /// Draws this on the page.
    pub(super) fn mark(&mut self, mark: Mark) {
        if let Some(page) = self.pages.last_mut() {
            page.push(mark);
        }
    }

    /// Words in black that begin at x on the line y, not broken.
    pub(super) fn words(&mut self, x: f32, y: f32, size: f32, bold: bool, text: &str) {
        self.inked((x, y), size, bold, BLACK, text);
    }

    fn inked(&mut self, (x, y): (f32, f32), size: f32, bold: bool, ink: u8, text: &str) {
        if !text.is_empty() {
            self.mark(Mark::Text {
                x,
                y,
                size,
                bold,
                ink,
                text: text.to_owned(),
            });
        }
    }

    /// A rule from margin to margin.
    fn ruled(&mut self, width: f32) {
        let y = self.y;
        self.mark(Mark::Line {
            from: (MARGIN, y),
            to: (self.width - MARGIN, y),
            width,
            ink: BLACK,
        });
    }

    /// Words below a picture.
    pub(super) fn note(&mut self, text: &str) {
        for line in self.regular.wrapped(text, SMALL, self.room()) {
            self.want(SMALL * LEADING);
            self.inked((MARGIN, self.y + SMALL), SMALL, false, FAINT, &line);
            self.y += SMALL * LEADING;
        }
    }

    /// Words broken into lines, so far from the margin.
    pub(super) fn paragraph(&mut self, text: &str, size: f32, bold: bool, indent: f32) {
        let step = size * LEADING;
        for line in self.face(bold).wrapped(text, size, self.room() - indent) {
            self.want(step);
            self.words(MARGIN + indent, self.y + size, size, bold, &line);
            self.y += step;
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading(level, text) => self.heading(*level, text),
            Block::Text(text) => {
                self.paragraph(text, BODY, false, 0.0);
                self.y += 5.0;
            }
            Block::Points(points) => {
                for (at, point) in points.iter().enumerate() {
                    self.whole(point, self.room() - 12.0, 0.0);
                    // The last point never stands alone on the next page.
                    let mut lines = 1;
                    if at + 2 == points.len() {
                        let room = self.room() - 12.0;
                        let wrapped = |it: &String| self.regular.wrapped(it, BODY, room).len();
                        lines = points[at..].iter().map(wrapped).sum();
                    }
                    let gaps = if at + 2 == points.len() { 2.0 } else { 1.0 };
                    self.want(BODY * LEADING * lines as f32 + 1.5 * gaps);
                    self.words(MARGIN + 2.0, self.y + BODY, BODY, false, "\u{2022}");
                    self.paragraph(point, BODY, false, 12.0);
                    self.y += 1.5;
                }
                self.y += 4.0;
            }
            Block::Table(table) => self.table(table),
            Block::Picture(picture) => self.picture(picture),
            Block::NewPage => {
                if self.y > TOP {
                    self.new_page();
                }
            }
            Block::Contents => {}
        }
    }

    fn heading(&mut self, level: u8, text: &str) {
        let size = if level == 1 { 13.0 } else { 10.5 };
        self.y += if level == 1 { 12.0 } else { 6.0 };
        // A heading never stands alone at the foot of a page, nor a chapter's with a section's.
        self.want(size * LEADING + if level == 1 { 90.0 } else { 60.0 });
        let y = self.y;
        self.bookmarks.push(Bookmark {
            level,
            text: text.to_owned(),
            page: self.pages.len() - 1,
            y,
        });
        self.paragraph(text, size, true, 0.0);
        if level == 1 {
            self.y += 1.0;
            self.ruled(0.8);
            self.y += 4.0;
        }
        self.y += 2.0;
    }
}
