//! What is handed on: one assessment as data, its text, pictures.
//!
//! Never here: files, the clock, figures of its own.

mod assessment;
mod in_question;
mod markdown;
pub mod picture;
mod table;

pub use assessment::{
    Assessment, ExpectedRow, HintRow, InsulationRow, LineRow, MeasuredRow, NextRow, OutputRow,
    PlaceRow, QuestionRow,
};
pub use markdown::{assessment as text, one_reading};
