//! Pages: where each line of a document stands, before anything is drawn.
//!
//! Tables break between rows and their headings are written again; a row too high for a page breaks
//! within. Points and coordinates are those of PDF: 1/72 inch, here from the upper left corner down.

use super::super::super::document::{Block, Document, Picture, Side, Table};
use super::super::super::picture::Primitive;
use super::columns::{CELL, PAD, widths};
use super::face::Face;

/// Left and right margin.
const MARGIN: f32 = 40.0;
const TOP: f32 = 44.0;
const BOTTOM: f32 = 50.0;
/// Sizes of letters.
const BODY: f32 = 9.0;
const LEADING: f32 = 1.32;

/// Something drawn on a page.
pub(super) enum Mark {
    Text {
        x: f32,
        y: f32,
        size: f32,
        bold: bool,
        text: String,
    },
    Line {
        from: (f32, f32),
        to: (f32, f32),
        width: f32,
    },
    Box {
        x: f32,
        y: f32,
        w: f32,
        h: f32,
    },
}

/// A bookmark.
pub(super) struct Bookmark {
    pub level: u8,
    pub text: String,
    pub page: usize,
    pub y: f32,
}

/// A document laid out.
pub(super) struct Flow<'a> {
    regular: &'a Face,
    bold: &'a Face,
    width: f32,
    height: f32,
    pub pages: Vec<Vec<Mark>>,
    pub bookmarks: Vec<Bookmark>,
    y: f32,
}

impl<'a> Flow<'a> {
    pub fn of(document: &Document, faces: (&'a Face, &'a Face), size: (f32, f32)) -> Self {
        let mut flow = Self {
            regular: faces.0,
            bold: faces.1,
            width: size.0,
            height: size.1,
            pages: vec![Vec::new()],
            bookmarks: Vec::new(),
            y: TOP,
        };
        flow.paragraph(&document.title, 18.0, true, 0.0);
        flow.paragraph(&document.subtitle, 11.0, false, 0.0);
        flow.y += 8.0;
        for block in &document.blocks {
            flow.block(block);
        }
        flow.feet(&document.foot);
        flow
    }

    fn face(&self, bold: bool) -> &'a Face {
        if bold { self.bold } else { self.regular }
    }

    fn room(&self) -> f32 {
        self.width - 2.0 * MARGIN
    }

    fn left(&self) -> f32 {
        self.height - BOTTOM - self.y
    }

    fn page_height(&self) -> f32 {
        self.height - BOTTOM - TOP
    }

    fn new_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    /// A new page where less than this is left of it.
    fn want(&mut self, height: f32) {
        if self.left() < height && self.y > TOP {
            self.new_page();
        }
    }

    fn mark(&mut self, mark: Mark) {
        if let Some(page) = self.pages.last_mut() {
            page.push(mark);
        }
    }

    fn words(&mut self, x: f32, y: f32, size: f32, bold: bool, text: &str) {
        if !text.is_empty() {
            self.mark(Mark::Text {
                x,
                y,
                size,
                bold,
                text: text.to_owned(),
            });
        }
    }

    fn paragraph(&mut self, text: &str, size: f32, bold: bool, indent: f32) {
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
                for point in points {
                    self.want(BODY * LEADING);
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
        }
    }

    fn heading(&mut self, level: u8, text: &str) {
        let size = if level == 1 { 13.0 } else { 10.5 };
        self.y += if level == 1 { 12.0 } else { 6.0 };
        // A heading never stands alone at the foot of a page.
        self.want(size * LEADING + 60.0);
        let y = self.y;
        self.bookmarks.push(Bookmark {
            level,
            text: text.to_owned(),
            page: self.pages.len() - 1,
            y,
        });
        self.paragraph(text, size, true, 0.0);
        if level == 1 {
            let y = self.y + 1.0;
            self.mark(Mark::Line {
                from: (MARGIN, y),
                to: (self.width - MARGIN, y),
                width: 1.0,
            });
            self.y += 5.0;
        }
        self.y += 2.0;
    }

    fn cells(&self, cells: &[String], widths: &[f32], bold: bool) -> Vec<Vec<String>> {
        let face = self.face(bold);
        cells
            .iter()
            .zip(widths)
            .map(|(cell, width)| face.wrapped(cell, CELL, width - 2.0 * PAD))
            .collect()
    }

    /// Writes lines of a row's cells from one line on, so many.
    fn row(
        &mut self,
        cells: &[Vec<String>],
        (first, count): (usize, usize),
        table: &Table,
        widths: &[f32],
        bold: bool,
    ) {
        let step = CELL * LEADING;
        let mut x = MARGIN;
        for ((cell, width), column) in cells.iter().zip(widths).zip(&table.columns) {
            for (at, line) in cell.iter().skip(first).take(count).enumerate() {
                let y = self.y + PAD + CELL + at as f32 * step;
                let at_x = match column.side {
                    Side::Left => x + PAD,
                    Side::Right => x + width - PAD - self.face(bold).width(line, CELL),
                };
                self.words(at_x, y, CELL, bold, line);
            }
            x += width;
        }
        self.y += count as f32 * step + 2.0 * PAD;
    }

    fn rule(&mut self, widths: &[f32], width: f32) {
        let (y, end) = (self.y, MARGIN + widths.iter().sum::<f32>());
        self.mark(Mark::Line {
            from: (MARGIN, y),
            to: (end, y),
            width,
        });
    }

    fn head(&mut self, table: &Table, widths: &[f32]) {
        let titles: Vec<String> = table.columns.iter().map(|it| it.title.clone()).collect();
        if titles.iter().all(String::is_empty) {
            return;
        }
        let cells = self.cells(&titles, widths, true);
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1);
        self.row(&cells, (0, lines), table, widths, true);
        self.rule(widths, 0.9);
    }

    fn table(&mut self, table: &Table) {
        let widths = widths(table, (self.regular, self.bold), self.room());
        let step = CELL * LEADING;
        self.want(4.0 * (step + 2.0 * PAD));
        self.head(table, &widths);
        for row in &table.rows {
            let cells = self.cells(&row.cells, &widths, row.strong);
            let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
            let height = lines as f32 * step + 2.0 * PAD;
            let fits_a_page = height < self.page_height() / 2.0;
            if self.left() < height && fits_a_page {
                self.new_page();
                self.head(table, &widths);
            }
            let mut first = 0;
            while first < lines {
                let room = ((self.left() - 2.0 * PAD) / step).floor();
                let count = (room.max(1.0) as usize).min(lines - first);
                self.row(&cells, (first, count), table, &widths, row.strong);
                first += count;
                if first < lines {
                    self.new_page();
                    self.head(table, &widths);
                }
            }
            self.rule(&widths, 0.25);
        }
        self.y += 8.0;
    }

    fn picture(&mut self, picture: &Picture) {
        let (columns, rows) = (picture.columns as f32, picture.rows as f32);
        let caption = 2.0 * 7.5 * LEADING + 6.0;
        let mut w = (self.room() / columns).min(5.2);
        // Never higher than a page.
        w = w.min((self.page_height() - caption) / (rows * 2.1));
        let h = 2.1 * w;
        let size = 1.55 * w;
        self.want(rows * h + caption);
        let (left, top) = (MARGIN, self.y);
        let place = |x: f64, y: f64| (left + x as f32 * w, top + y as f32 * h);
        for primitive in &picture.primitives {
            match primitive {
                Primitive::Box {
                    x,
                    y,
                    w: wide,
                    h: high,
                } => {
                    let (x, y) = place(*x, y + 0.15);
                    self.mark(Mark::Box {
                        x,
                        y,
                        w: *wide as f32 * w,
                        h: *high as f32 * h * 0.7,
                    });
                }
                Primitive::Line { from, to } => self.mark(Mark::Line {
                    from: place(from.0 + 0.5, from.1 + 0.5),
                    to: place(to.0 + 0.5, to.1 + 0.5),
                    width: 0.6,
                }),
                Primitive::Text { at, text } => {
                    let sign = text.chars().count() == 1;
                    let text = self.face(sign).legible(text);
                    let (mut x, y) = place(at.0, at.1 + 0.75);
                    if sign {
                        x += 0.5 * w - 0.5 * self.bold.width(&text, size);
                    }
                    self.words(x, y, size, sign, &text);
                }
            }
        }
        self.y += rows * h + 2.0;
        self.paragraph(&picture.title, 7.5, false, 0.0);
        self.y += 8.0;
    }

    fn feet(&mut self, foot: &str) {
        let count = self.pages.len();
        let y = self.height - 26.0;
        let (regular, width) = (self.regular, self.width);
        let foot = regular.wrapped(foot, 7.0, self.room() - 80.0);
        for (at, page) in self.pages.iter_mut().enumerate() {
            let number = format!("page {} of {count}", at + 1);
            let x = width - MARGIN - regular.width(&number, 7.0);
            let lines = foot.iter().take(1).cloned();
            for (x, text) in [(x, number)]
                .into_iter()
                .chain(lines.map(|it| (MARGIN, it)))
            {
                page.push(Mark::Text {
                    x,
                    y,
                    size: 7.0,
                    bold: false,
                    text,
                });
            }
        }
    }
}
