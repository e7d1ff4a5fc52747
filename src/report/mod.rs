//! What is handed on: one assessment as data, its text, pictures.
//!
//! Never here: files, the clock, figures of its own.

mod assessment;
mod markdown;
pub mod picture;

pub use assessment::{
    Assessment, ExpectedRow, HintRow, InsulationRow, LineRow, MeasuredRow, OutputRow, PlaceRow,
    QuestionRow,
};
pub use markdown::{assessment as text, one_reading};
