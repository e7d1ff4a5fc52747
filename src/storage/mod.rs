//! Storage: the only code that touches files and what spreadsheets hand in. Site file, journal,
//! lock, merge, places, CSV.
//!
//! Uses `quantity` and `site` only. Never here: what a reading means, screens.

mod copies;
mod csv;
mod elsewhere;
mod files;
mod fit;
pub mod format1;
mod journal;
mod keeper;
mod merge;
mod notice;
mod open;
pub mod places;
mod recover;
mod replaced;
mod replay;
mod store;
mod watch;
mod whole;
mod words;
mod writer;

pub use csv::{
    Place, Recorded, RowProblem, Schedule, Unsaid, Warning, is_revision, read_cables,
    read_readings, read_schedule, revise, write_log,
};
pub use elsewhere::{Moved, save_elsewhere};
pub use files::{Disk, FileKind, Files, Guard, Locking, OpenFile, Stat};
pub use fit::unfit_entries;
pub use journal::{JOURNAL_FORMAT, JournalError};
pub use keeper::{Answer, Keeper, KeeperGone};
pub use merge::{Copy, MergeError, Merged, merge, merge_files};
pub use notice::{InCopy, Notice};
pub use open::{Access, Looked, Opened, Who, clock_behind, create, open, read_only, set_aside};
pub use replay::apply;
pub use store::Store;
pub use watch::{Seen, Watch, watch};
pub use whole::{is_same_file, overwrite, try_whole, write_whole};
pub use words::StoreError;
pub use writer::{Opening, new_writer, writer_id};
