//! The writers of the record: one document in, one file's content out.
//!
//! Never here: what stands in the document; files.

mod csv;
mod html;
mod markdown;
mod pdf;
mod svg;

pub use csv::{Separator, csv};
pub use html::html;
pub use markdown::markdown;
pub use pdf::{Paper, PdfError, pdf};
