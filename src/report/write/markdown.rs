//! A document as Markdown that reads well as it stands; pictures as text.

use super::super::document::{Block, Document, Table};
use super::super::markdown_table;
use super::super::picture::to_text;
use crate::quantity::show::harmless;
use std::fmt::Write;

/// Text of a file that must not become a heading, a list, a link or HTML.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in harmless(text).chars() {
        if matches!(
            c,
            '\\' | '&' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|'
        ) {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// The same where it begins a line.
fn begins(text: &str) -> String {
    let text = plain(text);
    let digits = text.trim_start_matches(|c: char| c.is_ascii_digit());
    let numbered = digits.len() < text.len() && digits.starts_with(['.', ')']);
    if numbered {
        let (number, rest) = text.split_at(text.len() - digits.len());
        format!("{number}\\{rest}")
    } else if text.starts_with(['-', '+', '=', '~']) {
        format!("\\{text}")
    } else {
        text
    }
}

fn write_table(it: &Table, out: &mut String) {
    let mut escaped = it.clone();
    let rows = escaped.rows.iter_mut();
    for cell in rows.flat_map(|row| &mut row.cells) {
        *cell = plain_cell(cell);
    }
    markdown_table::write(&escaped, out);
}

/// The bar is escaped by the table itself.
fn plain_cell(text: &str) -> String {
    plain(text).replace("\\|", "|")
}

/// The document as Markdown.
#[must_use]
pub fn markdown(document: &Document) -> String {
    let mut out = format!("# {}\n\n{}\n\n", plain(&document.title), document.subtitle);
    for block in &document.blocks {
        match block {
            Block::Heading(level, text) => {
                let signs = "#".repeat(usize::from(*level) + 1);
                let _ = writeln!(out, "{signs} {}\n", plain(text));
            }
            Block::Text(text) => {
                let _ = writeln!(out, "{}\n", begins(text));
            }
            Block::Points(points) => {
                for point in points {
                    let _ = writeln!(out, "- {}", begins(point));
                }
                out.push('\n');
            }
            Block::Table(table) => write_table(table, &mut out),
            Block::Picture(picture) => {
                let _ = writeln!(out, "{}:\n\n```text", plain(&picture.title));
                for line in to_text(&picture.primitives, picture.columns, picture.rows, false) {
                    let _ = writeln!(out, "{}", line.replace("```", "'''"));
                }
                out.push_str("```\n\n");
                if !picture.note.is_empty() {
                    let _ = writeln!(out, "{}\n", begins(&picture.note));
                }
            }
            Block::NewPage | Block::Contents => {}
        }
    }
    let _ = writeln!(out, "{}", plain(&document.foot));
    out
}
