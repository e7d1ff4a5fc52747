//! CSV: schedules, cables and readings as spreadsheets hand them in, the log as they take it.
//!
//! Every bad row is reported by line and column, and then nothing is taken.
//! Never here: files, what a reading means.

mod cables;
mod cells;
mod column;
mod device;
mod in_turn;
mod log;
mod near;
mod numbers;
mod odd;
mod problem;
mod reading_columns;
mod reading_rows;
mod readings;
mod records;
mod revise;
mod schedule;
mod schedule_items;
mod schedule_node;
mod schedule_rows;
mod site_labels;
mod table;
mod text;
mod unsaid;
mod within;

pub use cables::read_cables;
pub use log::write_log;
pub use problem::{Place, RowProblem, Warning};
pub use readings::{Recorded, read_readings};
pub use revise::{is_revision, revise};
pub use schedule::{Schedule, read_schedule};
pub use unsaid::Unsaid;
