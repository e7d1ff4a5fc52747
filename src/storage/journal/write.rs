//! Writing a journal, and going on in a new one when the old can no longer be trusted.
//!
//! After a failed write or sync the system may count the bytes as written though they are lost,
//! and a second sync says yes. So a journal that failed once is never written or synced again: the
//! next part gets every entry of this opening, and only then an entry is recorded.

use super::{Closed, From, Head, JOURNAL_FORMAT, JournalName, LARGEST_JOURNAL, LONGEST_LINE, line};
use crate::site::{Entry, SiteId, WriterId};
use crate::storage::files::{Files, OpenFile};
use crate::storage::format1::unfit;
use jiff::Timestamp;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use thiserror::Error;

/// Why entries are not recorded.
#[derive(Debug, Error)]
pub enum JournalError {
    /// The disk refused.
    #[error("{}: {} cannot be written: {why}", short(why), path.display())]
    Disk {
        /// The journal that was tried last.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// An entry that cannot be written down.
    #[error("entry {id} cannot be written: {why}")]
    Entry {
        /// The entry.
        id: String,
        /// Why.
        why: String,
    },
}

/// What the system said, as an engineer would say it.
fn short(why: &io::Error) -> &'static str {
    match why.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => "disk full",
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read only",
        io::ErrorKind::PermissionDenied => "no permission to write here",
        io::ErrorKind::NotFound => "the folder is gone",
        _ => "the disk failed",
    }
}

/// Writes the journal of one opening.
pub struct Journalist {
    files: Arc<dyn Files>,
    /// The site file's path, links resolved.
    site: PathBuf,
    head: Head,
    /// The part being written; none after a failure, until the next one stands.
    open: Option<Part>,
    /// Records of this opening without the head, as JSON: the next part gets them all.
    records: Vec<String>,
    /// No part is longer than this, in bytes.
    pub(super) largest: u64,
}

/// More than a head takes, in bytes; who, machine and site are no longer than a line.
pub(super) const MOST_OF_A_HEAD: u64 = 64 * 1024;
/// Sum, sequence, spaces and end of a line take no more, in bytes.
const MOST_BESIDE: u64 = 32;

struct Part {
    file: Box<dyn OpenFile>,
    path: PathBuf,
    identity: Option<(u64, u64)>,
    len: u64,
    /// The next number.
    sequence: u64,
}

impl Journalist {
    /// Creates the journal with its head: who else opens the site can be told who holds it. When
    /// the disk refuses, nothing is left behind, the reason comes along and the first entry tries
    /// again.
    pub fn begin(
        files: Arc<dyn Files>,
        site: &Path,
        id: &SiteId,
        writer: &WriterId,
        by: (&str, &str),
        at: Timestamp,
        from: From,
    ) -> (Self, Result<(), JournalError>) {
        let (who, machine) = by;
        let head = Head {
            linewright: "journal".to_owned(),
            format: JOURNAL_FORMAT,
            site: id.clone(),
            writer: writer.clone(),
            part: 0,
            machine: machine.to_owned(),
            who: who.to_owned(),
            at,
            from,
        };
        let mut out = Self {
            files,
            site: site.to_owned(),
            head,
            open: None,
            records: Vec::new(),
            largest: LARGEST_JOURNAL,
        };
        let begun = out.anew(&[]);
        (out, begun)
    }

    /// The name of the part written last.
    #[must_use]
    pub fn name(&self) -> JournalName {
        JournalName {
            writer: self.head.writer.clone(),
            part: self.head.part,
        }
    }

    /// Puts entries on the disk, all or none of them.
    ///
    /// # Errors
    /// When neither this part nor a new one takes them. They may be given again: an entry keeps
    /// its id, so that a copy which did reach the disk is not counted twice.
    pub fn record(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        let records = entries.iter().map(json).collect::<Result<Vec<_>, _>>()?;
        self.put(records)
    }

    /// Writes the record that says: all of this stands in the site file.
    ///
    /// # Errors
    /// When the disk refuses; then the next opening replays the journal, which changes nothing.
    pub fn close(mut self) -> Result<(), JournalError> {
        if self.open.is_none() && self.records.is_empty() {
            // The disk never took a journal, and nothing was to be written.
            return Ok(());
        }
        let closed = serde_json::to_string(&Closed { closed: true });
        let closed = closed.map_err(|why| JournalError::Entry {
            id: "closed".to_owned(),
            why: why.to_string(),
        })?;
        self.put(vec![closed])
    }

    /// Looks whether the journal's name still means the file that is being written; if someone
    /// removed or replaced it, everything is written anew.
    ///
    /// # Errors
    /// When that is refused.
    pub fn look(&mut self) -> Result<(), JournalError> {
        if self.open.as_ref().is_some_and(|part| self.is_there(part)) {
            return Ok(());
        }
        self.anew(&[])
    }

    fn is_there(&self, part: &Part) -> bool {
        self.files
            .stat(&part.path)
            .is_ok_and(|stat| stat.identity == part.identity)
    }

    fn put(&mut self, records: Vec<String>) -> Result<(), JournalError> {
        if let Some(mut part) = self.open.take() {
            let name = self.name();
            let text: String = (part.sequence..)
                .zip(&records)
                .map(|(sequence, json)| line(&name, sequence, json))
                .collect();
            let len = part.len + byte_count(&text);
            if len > self.largest && self.is_there(&part) {
                // Full, but sound: the next part goes on from here. Should it fail, this one is not
                // written again all the same: the next try begins with everything.
                self.open = Some(self.next_part(&records)?);
                self.records.extend(records);
                return Ok(());
            }
            let done = len <= self.largest
                && part.file.append(text.as_bytes()).is_ok()
                && part.file.sync().is_ok()
                && self.is_there(&part);
            if done {
                part.sequence += u64::try_from(records.len()).unwrap_or(0);
                part.len = len;
                self.open = Some(part);
                self.records.extend(records);
                return Ok(());
            }
            // Poisoned: the part is dropped here, never written or synced again.
        }
        self.anew(&records)?;
        self.records.extend(records);
        Ok(())
    }

    /// Everything so far and what waits into new parts, none of them larger than is read.
    fn anew(&mut self, waiting: &[String]) -> Result<(), JournalError> {
        self.open = None;
        let all: Vec<String> = self.records.iter().chain(waiting).cloned().collect();
        let mut made: Vec<PathBuf> = Vec::new();
        let mut rest = all.as_slice();
        loop {
            let (now, later) = rest.split_at(self.how_many_fit(rest));
            match self.next_part(now) {
                Ok(part) if later.is_empty() => {
                    self.open = Some(part);
                    return Ok(());
                }
                Ok(part) => made.push(part.path),
                Err(why) => {
                    // All of it comes again: a full disk must not fill with a part of it each time.
                    for path in made {
                        let _ = self.files.remove(&path);
                    }
                    return Err(why);
                }
            }
            rest = later;
        }
    }

    /// How many of these records fit into one part with its head; one at least.
    fn how_many_fit(&self, records: &[String]) -> usize {
        let mut left = self.largest.saturating_sub(MOST_OF_A_HEAD);
        let fits = records.iter().take_while(|json| {
            let bytes = byte_count(json) + MOST_BESIDE;
            let fits = bytes <= left;
            left = left.saturating_sub(bytes);
            fits
        });
        fits.count().max(1).min(records.len())
    }

    /// A new part with these records.
    fn next_part(&mut self, records: &[String]) -> Result<Part, JournalError> {
        self.head.part += 1;
        let name = self.name();
        let path = name.path(&self.site, "journal");
        let refused = |why| JournalError::Disk {
            path: path.clone(),
            why,
        };
        let head = serde_json::to_string(&self.head).map_err(io::Error::from);
        let mut text = line(&name, 0, &head.map_err(refused)?);
        let mut sequence = 1;
        for json in records {
            text.push_str(&line(&name, sequence, json));
            sequence += 1;
        }
        let mut file = self
            .files
            .create_new(&path, Some(&self.site))
            .map_err(refused)?;
        let written = file
            .append(text.as_bytes())
            .and_then(|()| file.sync())
            .and_then(|()| self.files.sync_dir(folder_of(&self.site)))
            .and_then(|()| self.files.stat(&path));
        match written {
            Ok(stat) => Ok(Part {
                file,
                path,
                identity: stat.identity,
                len: byte_count(&text),
                sequence,
            }),
            Err(why) => {
                drop(file);
                // A full disk must not fill with empty journals. If it cannot be removed either,
                // the next opening reads it: it holds nothing that was not typed.
                let _ = self.files.remove(&path);
                Err(refused(why))
            }
        }
    }
}

fn byte_count(text: &str) -> u64 {
    u64::try_from(text.len()).unwrap_or(u64::MAX)
}

/// The folder a file lies in.
pub(in crate::storage) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// An entry as the journal has it.
pub(in crate::storage) fn json(entry: &Entry) -> Result<String, JournalError> {
    let refuse = |why: String| JournalError::Entry {
        id: entry.id.to_string(),
        why,
    };
    if let Some(why) = unfit(entry) {
        return Err(refuse(why));
    }
    let json = serde_json::to_string(entry).map_err(|why| refuse(why.to_string()))?;
    if byte_count(&json) + MOST_BESIDE > u64::try_from(LONGEST_LINE).unwrap_or(u64::MAX) {
        let words = format!("{} bytes, at most {LONGEST_LINE} fit in a line", json.len());
        return Err(refuse(words));
    }
    Ok(json)
}
