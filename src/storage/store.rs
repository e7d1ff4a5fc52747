//! An open site that can be written: journal and checkpoints.
//!
//! Promise: what was answered as recorded is on the disk; nothing recorded is lost; nothing is
//! silently changed.

use super::files::{Files, Guard, Stat};
use super::format1::{self, LARGEST, Sum};
use super::journal::{From, JournalError, JournalName, Journalist, folder_of};
use super::merge::doubt_retirements;
use super::open::Who;
use super::recover::{Found, lacking};
use super::replay::union;
use super::words::{Notice, StoreError};
use crate::site::{Elements, Entry, Log, Site, WriterId, unsound};
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The site file as last read or written.
struct Known {
    stat: Option<Stat>,
    bytes: Vec<u8>,
}

/// An open site that can be written. Dropped without [`Store::close`], its journal is replayed by
/// the next opening.
pub struct Store {
    files: Arc<dyn Files>,
    path: PathBuf,
    journal: Box<Journalist>,
    known: Known,
    /// Something is in the journal that is not in the site file.
    unsaved: bool,
    /// The last checkpoint did not come to its end: the file is written even if it looks right.
    again: bool,
    /// The file on the disk was changed by another hand: its bytes are kept aside before it is
    /// replaced.
    foreign: bool,
    writer: WriterId,
    temps: u32,
    _lock: Option<Guard>,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store")
            .field("path", &self.path)
            .field("writer", &self.writer)
            .finish_non_exhaustive()
    }
}

/// The bytes of a site that can be read again.
pub(super) fn sound_bytes(site: &Site) -> Result<Vec<u8>, StoreError> {
    let problems: Vec<String> = unsound(site.elements(), site.log())
        .iter()
        .map(ToString::to_string)
        .collect();
    if !problems.is_empty() {
        return Err(StoreError::Unsound { problems });
    }
    Ok(format1::write(site)?)
}

/// A synced file under a temporary name; nothing is left when it fails.
pub(super) fn write_temp(
    files: &dyn Files,
    temp: &Path,
    like: Option<&Path>,
    bytes: &[u8],
) -> Result<(), StoreError> {
    let refused = StoreError::disk("written", temp);
    let mut file = match files.create_new(temp, like) {
        Ok(file) => file,
        Err(why) => return Err(refused(why)),
    };
    if let Err(why) = file.append(bytes).and_then(|()| file.sync()) {
        drop(file);
        let _ = files.remove(temp);
        return Err(refused(why));
    }
    Ok(())
}

impl Store {
    /// A store on a file just read, with its journal begun; or why that is not yet.
    pub(super) fn begin(
        files: Arc<dyn Files>,
        path: &Path,
        found: &mut Found,
        who: &Who,
        now: Timestamp,
        writer: &WriterId,
        lock: Option<Guard>,
    ) -> (Self, Result<(), JournalError>) {
        let from = From {
            len: u64::try_from(found.bytes.len()).unwrap_or(u64::MAX),
            sum: format!("{:08x}", crc32fast::hash(&found.bytes)),
        };
        let by = (who.name.as_str(), who.machine.as_str());
        let id = found.site.id().clone();
        let (journal, begun) = Journalist::begin(files.clone(), path, &id, writer, by, now, from);
        let store = Self {
            known: Known {
                stat: files.stat(path).ok(),
                bytes: std::mem::take(&mut found.bytes),
            },
            files,
            path: path.to_owned(),
            journal: Box::new(journal),
            unsaved: !found.new.is_empty(),
            again: false,
            foreign: found.sum != Sum::Right,
            writer: writer.clone(),
            temps: 0,
            _lock: lock,
        };
        (store, begun)
    }

    /// The site file, links resolved.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Who writes: the first half of every entry's id.
    #[must_use]
    pub const fn writer(&self) -> &WriterId {
        &self.writer
    }

    /// Something is recorded that is not in the site file yet.
    #[must_use]
    pub const fn unsaved(&self) -> bool {
        self.unsaved
    }

    /// Puts entries on the disk, all or none. Only after `Ok` they are recorded.
    ///
    /// # Errors
    /// When the disk refuses; the same entries may be given again.
    pub fn record(&mut self, entries: &[Entry]) -> Result<(), JournalError> {
        if entries.is_empty() {
            return Ok(());
        }
        self.journal.record(entries)?;
        self.unsaved = true;
        Ok(())
    }

    /// Looks whether the journal is still where it was; writes it anew if not.
    ///
    /// # Errors
    /// When that is refused.
    pub fn look(&mut self) -> Result<(), JournalError> {
        self.journal.look()
    }

    /// Brings the site file up to date: a temporary file beside it, synced, renamed over it, the
    /// folder synced. Does nothing when nothing was recorded since the last one. If another hand
    /// changed the file meanwhile and it is the same site with nothing lacking, both are joined
    /// and the joined site is returned.
    ///
    /// # Errors
    /// When the disk refuses, or what lies there now may not be overwritten. What was recorded is
    /// in the journal all the same.
    pub fn checkpoint(&mut self, site: &Site) -> Result<Option<Site>, StoreError> {
        if !self.unsaved && !self.again {
            return Ok(None);
        }
        let joined = self.join_file(site)?;
        let bytes = sound_bytes(joined.as_ref().unwrap_or(site))?;
        if self.again || bytes != self.known.bytes {
            self.replace(bytes)?;
        }
        self.unsaved = false;
        self.again = false;
        Ok(joined)
    }

    /// Checkpoint, then the word that the journal is done with.
    ///
    /// # Errors
    /// As [`Store::checkpoint`]; the journal then stays as it is, for the next opening.
    pub fn close(mut self, site: &Site) -> Result<(), StoreError> {
        self.checkpoint(site)?;
        self.journal.close()?;
        Ok(())
    }

    /// What lies on the disk now, joined with what we hold, if another hand changed it.
    fn join_file(&mut self, ours: &Site) -> Result<Option<Site>, StoreError> {
        let stat = self
            .files
            .stat(&self.path)
            .map_err(StoreError::disk("read", &self.path))?;
        if self.known.stat.as_ref() == Some(&stat) {
            return Ok(None);
        }
        let bytes = self
            .files
            .read(&self.path, LARGEST)
            .map_err(StoreError::disk("read", &self.path))?;
        if bytes == self.known.bytes {
            self.known.stat = Some(stat);
            return Ok(None);
        }
        let name = self.path.display().to_string();
        let theirs = format1::read(&name, &bytes)?;
        let found = theirs.site.id();
        if found != ours.id() {
            return Err(StoreError::OtherSite {
                path: self.path.clone(),
                found: found.clone(),
            });
        }
        let base = format1::read(&name, &self.known.bytes)?.site;
        let lacks = lacking(theirs.site.log(), base.log().entries());
        if lacks > 0 {
            let path = self.path.clone();
            return Err(StoreError::Replaced { path, lacks });
        }
        let joined = join(&base, ours, &theirs.site);
        self.foreign |= theirs.sum != Sum::Right;
        self.known = Known {
            stat: Some(stat),
            bytes,
        };
        Ok(Some(joined))
    }

    fn replace(&mut self, bytes: Vec<u8>) -> Result<(), StoreError> {
        let files = self.files.clone();
        if self.foreign {
            let aside = self.free("aside");
            files
                .copy_new(&self.path, &aside)
                .map_err(StoreError::disk("kept aside", &self.path))?;
            self.foreign = false;
        }
        self.again = true;
        self.temps = self.temps.saturating_add(1);
        let name = JournalName {
            writer: self.writer.clone(),
            part: self.temps,
        };
        let temp = name.path(&self.path, "tmp");
        write_temp(&*files, &temp, Some(&self.path), &bytes)?;
        if let Err(why) = files.rename(&temp, &self.path) {
            let _ = files.remove(&temp);
            return Err(StoreError::disk("replaced", &self.path)(why));
        }
        self.known = Known {
            stat: files.stat(&self.path).ok(),
            bytes,
        };
        let folder = folder_of(&self.path);
        files
            .sync_dir(folder)
            .map_err(StoreError::disk("synced", folder))
    }

    /// A name of ours that no file has.
    fn free(&self, kind: &str) -> PathBuf {
        let mut name = JournalName {
            writer: self.writer.clone(),
            part: 1,
        };
        while self.files.stat(&name.path(&self.path, kind)).is_ok() && name.part < 10_000 {
            name.part += 1;
        }
        name.path(&self.path, kind)
    }

    /// After opening: what was recovered goes into the site file first, then the journals that it
    /// holds in full go, the damaged ones aside.
    pub(super) fn settle(
        &mut self,
        found: Found,
        no_lock: bool,
        notices: &mut Vec<Notice>,
    ) -> Site {
        let files = self.files.clone();
        let mut site = found.site;
        match self.checkpoint(&site) {
            Ok(joined) => site = joined.unwrap_or(site),
            Err(why) => {
                let why = why.to_string();
                notices.push(Notice::NotSaved { why });
                return site;
            }
        }
        // Without a lock someone may be at work on them.
        if no_lock {
            return site;
        }
        if let Err(why) = files.sync_dir(folder_of(&self.path)) {
            let why = why.to_string();
            notices.push(Notice::NoSync { why });
            return site;
        }
        for temp in &found.temps {
            let _ = files.remove(temp);
        }
        for beside in &found.journals {
            // What cannot be tidied now is tidied by a later opening.
            let _ = if beside.journal.is_sound() {
                files.remove(&beside.path)
            } else {
                let mut aside = beside.name.path(&self.path, "aside");
                if files.stat(&aside).is_ok() {
                    aside = self.free("aside");
                }
                files.rename(&beside.path, &aside)
            };
        }
        site
    }
}

/// Three copies of a site as one.
pub(super) fn join(base: &Site, ours: &Site, theirs: &Site) -> Site {
    let mut elements = Elements::join(base.elements(), ours.elements(), theirs.elements());
    let log: Log = union(&[base.log(), ours.log(), theirs.log()]);
    doubt_retirements(&mut elements, &log, ours, theirs);
    Site::new(ours.id().clone(), elements, log)
}
