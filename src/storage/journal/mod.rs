//! The journal of one opening: every entry on the disk before it is shown as recorded.
//!
//! One record a line: `8 hex digits` `space` `sequence` `space` `one-line JSON`. The digits are the
//! CRC-32 of `W-N sequence JSON` (W-N: writer and part, also in the file's name), so that a line of
//! another journal, or one that was moved, is not sound. Each line stands alone: damage costs that
//! line and no other. A journal is only ever appended to.
//!
//! Never here: the site file, the lock.

#[cfg(test)]
mod parts;
mod read;
mod write;

pub(super) use read::{Journal, parse_journal};
pub use write::JournalError;
pub(super) use write::{Journalist, folder_of, json};

use crate::site::{SiteId, WriterId};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// The version of the journal this program writes.
pub const JOURNAL_FORMAT: u32 = 1;

/// The largest journal that is read; a full one goes on in the next part.
pub const LARGEST_JOURNAL: u64 = 64 * 1024 * 1024;

/// The longest line that is read or written, in bytes.
pub const LONGEST_LINE: usize = 64 * 1024;

/// Which journal: writer and part, as in the file's name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JournalName {
    /// The opening that writes it.
    pub writer: WriterId,
    /// 1, and one more after each journal that could not be written any further.
    pub part: u32,
}

impl std::fmt::Display for JournalName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}-{}", self.writer, self.part)
    }
}

impl JournalName {
    /// The name behind `SITE.ron.KIND-`; none for any text that is not 16 characters of `a-z2-7`
    /// and a number.
    #[must_use]
    pub fn of_file(site: &OsStr, kind: &str, file: &OsStr) -> Option<Self> {
        let rest = file.as_encoded_bytes();
        let rest = rest.strip_prefix(site.as_encoded_bytes())?;
        let rest = std::str::from_utf8(rest).ok()?;
        let rest = rest.strip_prefix('.')?.strip_prefix(kind)?;
        let (writer, part) = rest.strip_prefix('-')?.split_once('-')?;
        let writer = WriterId::from(writer);
        let part: u32 = part.parse().ok()?;
        (Self::fits(&writer) && part > 0).then_some(Self { writer, part })
    }

    /// Whether this can name an opening: 16 characters of `a-z2-7`.
    #[must_use]
    pub fn fits(writer: &WriterId) -> bool {
        let text = writer.as_str();
        let letter = |b: u8| b.is_ascii_lowercase() || (b'2'..=b'7').contains(&b);
        text.len() == 16 && text.bytes().all(letter)
    }

    /// The path of `SITE.ron.KIND-W-N`.
    #[must_use]
    pub fn path(&self, site: &Path, kind: &str) -> PathBuf {
        let mut name = site.as_os_str().to_owned();
        name.push(format!(".{kind}-{self}"));
        name.into()
    }
}

/// The first record: whose journal this is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Always `journal`.
    pub linewright: String,
    /// Its version.
    pub format: u32,
    /// The site.
    pub site: SiteId,
    /// The opening.
    pub writer: WriterId,
    /// The part.
    pub part: u32,
    /// The machine's name, as people know it.
    pub machine: String,
    /// Who writes.
    pub who: String,
    /// Since when.
    pub at: Timestamp,
    /// The site file it began from.
    pub from: From,
}

/// Which bytes a journal began from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct From {
    /// Their number.
    pub len: u64,
    /// Their CRC-32, as eight hex digits.
    pub sum: String,
}

/// The last record of a journal whose entries all stand in the site file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Closed {
    closed: bool,
}

/// One record as a line.
fn line(name: &JournalName, sequence: u64, json: &str) -> String {
    let body = format!("{sequence} {json}");
    format!("{:08x} {body}\n", sum(name, &body))
}

fn sum(name: &JournalName, body: &str) -> u32 {
    let mut hasher = crc32fast::Hasher::new();
    hasher.update(format!("{name} ").as_bytes());
    hasher.update(body.as_bytes());
    hasher.finalize()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_sum_sequence_and_json() {
        let name = JournalName {
            writer: "aaaaaaaaaaaaaaaa".into(),
            part: 1,
        };
        let closed = line(&name, 2, r#"{"closed":true}"#);
        // CRC-32 of `aaaaaaaaaaaaaaaa-1 2 {"closed":true}` by zlib.
        assert_eq!(closed, "a6957423 2 {\"closed\":true}\n");
    }

    #[test]
    fn only_names_of_sixteen_letters_and_a_part_are_journals() {
        let of = |file: &str| {
            JournalName::of_file("S.ron".as_ref(), "journal", file.as_ref()).map(|n| n.to_string())
        };
        assert_eq!(
            of("S.ron.journal-abcdefgh234567ab-12").as_deref(),
            Some("abcdefgh234567ab-12")
        );
        for other in [
            "S.ron.journal-abcdefgh234567ab-0",
            "S.ron.journal-abcdefgh234567a-1",
            "S.ron.journal-abcdefgh23456/ab-1",
            "S.ron.journal-abcdefgh234567A8-1",
            "T.ron.journal-abcdefgh234567ab-1",
            "S.ron.aside-abcdefgh234567ab-1",
        ] {
            assert_eq!(of(other), None, "{other}");
        }
    }
}
