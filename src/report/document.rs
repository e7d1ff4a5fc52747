//! One document, whatever it is written as: headings, paragraphs, lists, tables, pictures.
//!
//! Never here: how a page looks.

use super::picture::Primitive;

/// Where the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its heading.
    pub title: String,
    /// Where its cells stand.
    pub side: Side,
}

/// A row of a table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// One cell a column.
    pub cells: Vec<String>,
    /// It wants a look: written strong.
    pub strong: bool,
}

impl Row {
    /// Whether it is the title of the rows below it: strong, and nothing stands in it but its first cell.
    pub(super) fn is_title(&self) -> bool {
        self.strong && self.cells.len() > 1 && self.cells.iter().skip(1).all(String::is_empty)
    }
}

/// Rows under headings, which are repeated where a page breaks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
    /// Written large, from margin to margin: what is read at arm's length.
    pub large: bool,
}

impl Table {
    /// A table of these columns: a title that begins with `>` is one of figures.
    #[must_use]
    pub fn new(titles: &[&str]) -> Self {
        let columns = titles.iter().map(|title| match title.strip_prefix('>') {
            Some(title) => Column {
                title: title.to_owned(),
                side: Side::Right,
            },
            None => Column {
                title: (*title).to_owned(),
                side: Side::Left,
            },
        });
        Self {
            columns: columns.collect(),
            rows: Vec::new(),
            large: false,
        }
    }

    /// The same written large.
    pub(super) fn enlarged(self) -> Self {
        Self {
            large: true,
            ..self
        }
    }

    /// One more row.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(Row {
            cells,
            strong: false,
        });
    }

    /// One more row that wants a look.
    pub(super) fn strong_row(&mut self, cells: Vec<String>, strong: bool) {
        self.rows.push(Row { cells, strong });
    }

    /// Without the columns that have no word in any row.
    pub(super) fn trimmed(mut self) -> Self {
        let used: Vec<bool> = (0..self.columns.len())
            .map(|at| {
                self.rows
                    .iter()
                    .any(|row| row.cells.get(at).is_some_and(|cell| !cell.is_empty()))
            })
            .collect();
        let mut keep = used.iter();
        self.columns.retain(|_| *keep.next().unwrap_or(&true));
        for row in &mut self.rows {
            let mut keep = used.iter();
            row.cells.retain(|_| *keep.next().unwrap_or(&true));
        }
        self
    }
}

/// A picture: strokes and words on a grid of cells, x to the right, y down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// What it shows: stands above it.
    pub title: String,
    /// How it is read: stands below it.
    pub note: String,
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// So many of its first rows are a heading, repeated where it breaks across pages.
    pub head: usize,
    /// The strokes.
    pub primitives: Vec<Primitive>,
}

/// A part of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading: 1 is a chapter, 2 stands under one.
    Heading(u8, String),
    /// A paragraph.
    Text(String),
    /// A list of points.
    Points(Vec<String>),
    /// A table.
    Table(Table),
    /// A picture.
    Picture(Picture),
    /// What follows begins on a page of its own, on paper.
    NewPage,
    /// The chapters with their pages, on paper.
    Contents,
}

/// A document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// What it is of.
    pub title: String,
    /// What it is.
    pub subtitle: String,
    /// Stands at the foot of every page.
    pub foot: String,
    /// Its parts.
    pub blocks: Vec<Block>,
}

impl Document {
    /// A chapter begins.
    pub(super) fn chapter(&mut self, title: &str) {
        self.blocks.push(Block::Heading(1, title.to_owned()));
    }

    /// A part of a chapter begins.
    pub(super) fn section(&mut self, title: &str) {
        self.blocks.push(Block::Heading(2, title.to_owned()));
    }

    /// A paragraph.
    pub(super) fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    /// Points; none where there are none.
    pub(super) fn points(&mut self, points: Vec<String>) {
        if !points.is_empty() {
            self.blocks.push(Block::Points(points));
        }
    }

    /// A table, its empty columns left out; none without rows.
    pub(super) fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table.trimmed()));
        }
    }

    /// A picture; none without strokes.
    pub(super) fn picture(&mut self, picture: Picture) {
        if !picture.primitives.is_empty() {
            self.blocks.push(Block::Picture(picture));
        }
    }
}
