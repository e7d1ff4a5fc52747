//! What stands in the record: the demo's assessment, and parts of a document found by their words.
#![allow(dead_code)]

use crate::desk::{assessed, demo};
use linewright::report::document::{Block, Document, Picture, Table};
use linewright::report::{Assessment, LineRow};
use std::sync::OnceLock;

/// The demo's assessment, reckoned once.
pub fn glasshouse() -> &'static Assessment {
    static DEMO: OnceLock<Assessment> = OnceLock::new();
    DEMO.get_or_init(|| assessed(&demo()))
}

/// The row of a line.
pub fn line<'a>(data: &'a Assessment, label: &str) -> &'a LineRow {
    data.lines.iter().find(|row| row.line == label).unwrap()
}

/// The table of a document that has this heading among its columns.
#[track_caller]
pub fn table<'a>(document: &'a Document, column: &str) -> &'a Table {
    let found = document.blocks.iter().find_map(|block| match block {
        Block::Table(table) if table.columns.iter().any(|it| it.title == column) => Some(table),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("no table with a column {column}"))
}

/// Every picture of a document.
pub fn pictures(document: &Document) -> impl Iterator<Item = &Picture> {
    document.blocks.iter().filter_map(|it| match it {
        Block::Picture(picture) => Some(picture),
        _ => None,
    })
}

/// Points of the section of a line.
#[track_caller]
pub fn section(document: &Document, line: &str) -> Vec<String> {
    let title = format!("{line}, ");
    let mut blocks = document
        .blocks
        .iter()
        .skip_while(|it| !matches!(it, Block::Heading(2, text) if text.starts_with(&title)));
    blocks
        .next()
        .unwrap_or_else(|| panic!("no section of {line}"));
    match blocks.next() {
        Some(Block::Points(points)) => points.clone(),
        other => panic!("{other:?}"),
    }
}
