//! What is handed on: one assessment as data; the text, the record and the small prints made of it; the files
//! that these are written as; an older assessment read back.
//!
//! Never here: files, the clock, figures of its own.

mod against;
mod also_read;
mod as_drawn;
mod assessment;
mod carries_if;
mod collect;
pub mod document;
mod in_question;
mod insulation;
mod line_done;
mod log_rows;
mod looks;
mod markdown_table;
mod meters;
mod moved;
mod older;
mod on_visit;
mod one_reading;
mod overall;
pub mod picture;
mod pictures;
mod previous;
mod prints;
mod questions;
mod record;
mod record_rows;
mod review_text;
mod row_words;
mod rows;
#[cfg(test)]
mod schema;
#[cfg(test)]
mod schema_words;
mod signed;
mod site_hint;
mod slips;
mod story;
mod suspected;
mod text;
mod to_do;
mod values;
mod write;

pub use against::baseline;
pub use as_drawn::DrawnRow;
pub use meters::Given;
pub use older::{Older, OlderError};
pub use one_reading::one_reading;
pub use prints::{chart, labels, walk_sheet};
pub use questions::{Question, question};
pub use record::record;
pub use record_rows::BaselineRow;
pub use review_text::review_text;
pub use rows::{Assessment, LineRow, SCHEMA};
pub use text::text;
pub use write::{Paper, PdfError, Separator, csv, html, markdown, pdf};
