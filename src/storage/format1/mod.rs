//! Format 1 of the site file: `Site(format, id, items, log, questions)` in RON, one row a line,
//! then a line with the sum of all bytes before it. The same facts give the same bytes.
//!
//! Never here: opening files, the clock.

mod asked;
mod conflict;
mod limits;
mod place;
mod quick;
mod read;
mod scan;
mod write;

pub use place::Place;
pub use read::{Placed, ReadError, SiteText, Sum, read};
pub use write::{WriteError, write};

use crate::site::{Design, Entry, Item, Ref, SiteId, Stamp};
use jiff::Timestamp;
use ron::extensions::Extensions;
use scan::Amiss;
use serde::{Deserialize, Serialize};

/// The version this program writes.
pub const FORMAT: u32 = 1;

/// The largest site file that is read, in bytes.
pub const LARGEST: u64 = 256 * 1024 * 1024;

/// The most items that are read.
pub const MOST_ITEMS: usize = 200_000;

/// The most entries that are read.
pub const MOST_ENTRIES: usize = 1_000_000;

/// The longest free text that is read, in characters.
pub const LONGEST_NOTE: usize = 4_000;

/// Starts the last line.
const SUM: &str = "// sum ";

/// The whole file.
#[derive(Deserialize)]
#[serde(rename = "Site", deny_unknown_fields)]
struct File {
    format: u32,
    id: SiteId,
    #[serde(deserialize_with = "limits::items")]
    items: Vec<Item>,
    #[serde(deserialize_with = "limits::entries")]
    log: Vec<Entry>,
    #[serde(deserialize_with = "limits::questions")]
    questions: Vec<Question>,
}

/// The whole file, borrowed.
#[derive(Serialize)]
#[serde(rename = "Site")]
struct FileRef<'a> {
    format: u32,
    id: &'a SiteId,
    items: Vec<Item>,
    log: Vec<&'a Entry>,
    questions: Vec<Question>,
}

/// An item for which several designs stand, until an edit answers. What the designs replaced, who
/// set them and when stand in the log; they are repeated here for people who read the file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Question {
    of: Ref,
    was: Vec<Design>,
    designs: Vec<(Stamp, String, Timestamp, Design)>,
}

/// Enum variants around a struct are written `Site(label: ..)`, not `Site((label: ..))`.
fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES)
}

/// Why a row may not stand in a file, whatever its kind. Reader, writer and journal ask this one
/// question: what is recorded can be saved, and what is saved can be read again.
pub(super) fn unfit(row: &impl Serialize) -> Option<String> {
    Some(match scan::amiss(row, LONGEST_NOTE)? {
        Amiss::Number => "a number of this row is not finite (NaN, inf or over 1.7e308); a plain \
                          number was wanted"
            .to_owned(),
        Amiss::Text(longest) => {
            format!("a text of this row has {longest} characters; at most {LONGEST_NOTE} are read")
        }
        Amiss::Formless => "this row has no plain form".to_owned(),
    })
}
