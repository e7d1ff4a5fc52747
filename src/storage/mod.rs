//! Storage: the only code that touches files and what spreadsheets hand in. Site file, journal,
//! lock, merge, places, CSV.
//!
//! Uses `quantity` and `site` only. Never here: what a reading means, screens.

mod cables;
mod device;
mod files;
pub mod format1;
mod journal;
mod keeper;
mod log_csv;
mod merge;
mod near;
mod numbers;
mod open;
pub mod places;
mod reading_rows;
mod readings;
mod recover;
mod replay;
mod revise;
mod schedule;
mod schedule_items;
mod site_labels;
mod store;
mod table;
mod text;
mod whole;
mod words;
mod writer;

pub use cables::read_cables;
pub use files::{Disk, FileKind, Files, Guard, Locking, OpenFile, Stat};
pub use journal::JournalError;
pub use keeper::{Answer, Keeper, KeeperGone};
pub use log_csv::write_log;
pub use merge::{MergeError, merge};
pub use open::{Access, Looked, Opened, Who, create, open, read_only};
pub use readings::{Recorded, read_readings};
pub use revise::{is_revision, revise};
pub use schedule::read_schedule;
pub use store::Store;
pub use table::{Place, RowProblem, Warning};
pub use whole::{overwrite, write_whole};
pub use words::{Notice, StoreError};
pub use writer::{Opening, new_writer, writer_id};
