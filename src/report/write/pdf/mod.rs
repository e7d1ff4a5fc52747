//! A document as PDF: pages laid out, then drawn; fonts embedded, text to be selected, bookmarks.
//!
//! No date and no chance goes in: the same document makes the same bytes.
//!
//! Never here: what stands in the document; files.

mod columns;
mod contents;
mod drawing;
mod face;
mod flow;
mod table;
#[cfg(test)]
mod trial;

use super::super::document::Document;
use face::{Face, in_order_on_paper};
use flow::{Bookmark, Flow, Mark};
use krilla::color::luma;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use thiserror::Error;

/// DejaVu Sans 2.37; its licence lies beside it.
pub(super) const REGULAR: &[u8] = include_bytes!("fonts/DejaVuSans.ttf");
const BOLD: &[u8] = include_bytes!("fonts/DejaVuSans-Bold.ttf");

/// The paper, upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm. Source: ISO 216.
    #[default]
    A4,
    /// 8.5 x 11 inch.
    Letter,
}

impl Paper {
    /// Width and height in points of 1/72 inch.
    const fn points(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// A document that could not be written, which is a defect of the program.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("the PDF cannot be made: {why}; please report it, and write another kind of file")]
pub struct PdfError {
    /// What the writer of PDF said.
    pub why: String,
}

impl PdfError {
    fn of(why: &str) -> Self {
        Self {
            why: why.to_owned(),
        }
    }
}

fn grey(level: u8) -> Fill {
    Fill {
        paint: luma::Color::new(level).into(),
        opacity: NormalizedF32::ONE,
        rule: krilla::paint::FillRule::default(),
    }
}

fn draw(surface: &mut Surface<'_>, mark: &Mark, faces: (&Face, &Face)) {
    match mark {
        Mark::Text {
            x,
            y,
            size,
            bold,
            ink,
            text,
        } => {
            let face = if *bold { faces.1 } else { faces.0 };
            let text = in_order_on_paper(text);
            surface.set_fill(Some(grey(*ink)));
            surface.set_stroke(None);
            let at = Point::from_xy(*x, *y);
            surface.draw_glyphs(
                at,
                &face.glyphs(&text),
                face.font.clone(),
                &text,
                *size,
                false,
            );
        }
        Mark::Line {
            from,
            to,
            width,
            ink,
        } => {
            let mut path = PathBuilder::new();
            path.move_to(from.0, from.1);
            path.line_to(to.0, to.1);
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke {
                paint: luma::Color::new(*ink).into(),
                width: *width,
                ..Stroke::default()
            }));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Mark::Box { x, y, w, h, ink } => {
            surface.set_stroke(None);
            surface.set_fill(Some(grey(*ink)));
            let Some(rect) = Rect::from_xywh(*x, *y, *w, *h) else {
                return;
            };
            let mut path = PathBuilder::new();
            path.push_rect(rect);
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
    }
}

fn outline(bookmarks: &[Bookmark]) -> Outline {
    let mut out = Outline::new();
    let node = |it: &Bookmark| {
        let to = XyzDestination::new(it.page, Point::from_xy(0.0, it.y));
        OutlineNode::new(it.text.clone(), to)
    };
    let mut at = 0;
    while at < bookmarks.len() {
        let mut chapter = node(&bookmarks[at]);
        at += 1;
        while let Some(it) = bookmarks.get(at).filter(|it| it.level > 1) {
            chapter.push_child(node(it));
            at += 1;
        }
        out.push_child(chapter);
    }
    out
}

/// The document as PDF.
///
/// # Errors
/// When the writer of PDF refuses it, which is a defect of the program.
pub fn pdf(document: &Document, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let regular = Face::read(REGULAR).ok_or_else(|| PdfError::of("a font cannot be read"))?;
    let bold = Face::read(BOLD).ok_or_else(|| PdfError::of("a font cannot be read"))?;
    let faces = (&regular, &bold);
    let size = paper.points();
    let flow = Flow::of(document, faces, size);
    let mut out = krilla::Document::new();
    for marks in &flow.pages {
        let settings = PageSettings::from_wh(size.0, size.1)
            .ok_or_else(|| PdfError::of("the paper has no size"))?;
        let mut page = out.start_page_with(settings);
        let mut surface = page.surface();
        for mark in marks {
            draw(&mut surface, mark, faces);
        }
        surface.finish();
        page.finish();
    }
    out.set_outline(outline(&flow.bookmarks));
    out.set_metadata(
        Metadata::new()
            .title(format!("{}, {}", document.title, document.subtitle))
            .language("en".to_owned())
            .creator("linewright".to_owned()),
    );
    out.finish().map_err(|why| PdfError {
        why: format!("{why:?}"),
    })
}
