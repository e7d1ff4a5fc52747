//! Storage: the only code that touches files and what spreadsheets hand in.
//!
//! Uses `quantity` and `site` only. Never here: what a line does electrically, screens.

mod cables;
mod device;
mod formula;
mod log_csv;
mod near;
mod numbers;
mod problem;
mod reading_columns;
mod reading_rows;
mod readings;
mod records;
mod revise;
mod schedule;
mod schedule_items;
mod schedule_rows;
mod site_labels;
mod table;
mod text;

pub use cables::read_cables;
pub use log_csv::write_log;
pub use problem::{Place, RowProblem, Warning};
pub use readings::{Recorded, read_readings};
pub use revise::{is_revision, revise};
pub use schedule::read_schedule;
