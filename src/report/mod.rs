//! What is handed on: one assessment as data, its text, pictures.
//!
//! Never here: files, the clock, figures of its own.

mod assessment;
mod in_question;
mod looks;
mod markdown;
mod one_reading;
pub mod picture;
mod review_text;
mod rows;
mod table;

pub use markdown::assessment as text;
pub use one_reading::one_reading;
pub use review_text::review_text;
pub use rows::{
    AnswerRow, Assessment, ExpectedRow, HintRow, InsulationRow, LineRow, MeasuredRow, NextRow,
    OutputRow, PlaceRow, QuestionRow, SiteHintRow, SitePlaceRow,
};
