//! Lays a document out for the tests that look at its pages.

use super::super::super::document::{Block, Document};
use super::face::Face;
use super::flow::Flow;
use super::{BOLD, REGULAR};

/// What is asked of a document of these blocks, laid out.
pub(super) fn laid_out<T>(blocks: Vec<Block>, ask: impl FnOnce(&Flow) -> T) -> T {
    let (regular, bold) = (Face::read(REGULAR).unwrap(), Face::read(BOLD).unwrap());
    let document = Document {
        title: "x".to_owned(),
        blocks,
        ..Document::default()
    };
    ask(&Flow::of(&document, (&regular, &bold), (595.0, 842.0)))
}
