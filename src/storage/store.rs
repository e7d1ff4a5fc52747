//! An open site that can be written: journal and checkpoints.
//!
//! Promise: what was answered as recorded is on the disk; nothing recorded is lost; nothing is
//! silently changed.

use super::files::{Files, Guard, Stat};
use super::format1::{self, Sum};
use super::journal::{From, JournalError, JournalName, Journalist, folder_of};
use super::merge::doubt_retirements;
use super::notice::Notice;
use super::open::Who;
use super::recover::{Beside, Found};
use super::replay::union;
use super::words::StoreError;
use crate::site::{Do, Elements, Entry, Log, Site, WriterId, unsound};
use jiff::Timestamp;
use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The site file as last read or written.
pub(super) struct Known {
    pub stat: Option<Stat>,
    pub bytes: Vec<u8>,
}

/// The lock we hold, and which file it was when we took it.
pub(super) struct Held {
    pub path: PathBuf,
    pub identity: Option<(u64, u64)>,
    pub _guard: Guard,
}

/// An open site that can be written. Dropped without [`Store::close`], its journal is replayed by
/// the next opening.
pub struct Store {
    pub(super) files: Arc<dyn Files>,
    pub(super) path: PathBuf,
    journal: Box<Journalist>,
    pub(super) known: Box<Known>,
    /// Something is in the journal that is not in the site file.
    pub(super) unsaved: bool,
    /// The last checkpoint did not come to its end: the file is written even if it looks right.
    pub(super) again: bool,
    /// The file on the disk was changed by another hand: its bytes are kept aside before it is
    /// replaced.
    pub(super) foreign: bool,
    /// What we hold was kept aside, since an older version lies in its place.
    pub(super) kept_ours: bool,
    /// Entries of closed journals that the file lacked when it was opened.
    pub(super) older: Vec<Entry>,
    machine: String,
    writer: WriterId,
    temps: u32,
    pub(super) lock: Option<Held>,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store")
            .field("path", &self.path)
            .field("writer", &self.writer)
            .finish_non_exhaustive()
    }
}

/// What a site file must not have.
pub(super) fn problems_of(site: &Site) -> Vec<String> {
    let problems = unsound(site.elements(), site.log());
    problems.iter().map(ToString::to_string).collect()
}

/// The bytes of a site that can be read again.
pub(super) fn sound_bytes(site: &Site) -> Result<Vec<u8>, StoreError> {
    let problems = problems_of(site);
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
        lock: Option<Held>,
    ) -> (Self, Result<(), JournalError>) {
        let from = From {
            len: u64::try_from(found.bytes.len()).unwrap_or(u64::MAX),
            sum: format!("{:08x}", crc32fast::hash(&found.bytes)),
        };
        let by = (who.name.as_str(), who.machine.as_str());
        let id = found.site.id().clone();
        let (journal, begun) = Journalist::begin(files.clone(), path, &id, writer, by, now, from);
        let store = Self {
            known: Box::new(Known {
                stat: files.stat(path).ok(),
                bytes: std::mem::take(&mut found.bytes),
            }),
            files,
            path: path.to_owned(),
            journal: Box::new(journal),
            unsaved: !found.new.is_empty(),
            // A journal that was not closed: what the file seems to hold of it may never have come to
            // the disk, when the sync after its last replacement failed.
            again: found
                .journals
                .iter()
                .any(|it| it.may_go(&who.machine) && !it.journal.closed),
            foreign: found.sum != Sum::Right,
            kept_ours: false,
            older: std::mem::take(&mut found.older),
            machine: who.machine.clone(),
            writer: writer.clone(),
            temps: 0,
            lock,
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
        self.hold_lock()?;
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

    fn replace(&mut self, bytes: Vec<u8>) -> Result<(), StoreError> {
        let files = self.files.clone();
        if self.foreign && self.known.stat.is_some() {
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
        let like = self.known.stat.as_ref().map(|_| self.path.as_path());
        write_temp(&*files, &temp, like, &bytes)?;
        // Looked at under its own name: what another hand puts in its place behind the rename is not ours.
        let stat = files.stat(&temp).ok();
        if let Err(why) = files.rename(&temp, &self.path) {
            let _ = files.remove(&temp);
            return Err(StoreError::disk("replaced", &self.path)(why));
        }
        *self.known = Known { stat, bytes };
        let folder = folder_of(&self.path);
        files
            .sync_dir(folder)
            .map_err(StoreError::disk("synced", folder))
    }

    /// A name of ours that no file has.
    pub(super) fn free(&self, kind: &str) -> PathBuf {
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
        let gone = |beside: &&Beside| beside.may_go(&self.machine);
        for beside in found.journals.iter().filter(gone) {
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
    keep_unknown(&mut elements, base, [ours, theirs]);
    let log: Log = union(&[base.log(), ours.log(), theirs.log()]);
    doubt_retirements(&mut elements, &log, ours, theirs);
    Site::new(ours.id().clone(), elements, log)
}

/// A side that never knew a design of the base, since it lacks the entry that made it, has not
/// replaced it: without this a base that is no ancestor (git picks a commit out of another branch so)
/// would drop that design from the other side.
fn keep_unknown(elements: &mut Elements, base: &Site, sides: [&Site; 2]) {
    let unknown = sides.map(|side| {
        let known: HashSet<_> = side.log().entries().iter().map(|entry| &entry.id).collect();
        let made = base.log().entries().iter();
        made.filter(|entry| matches!(entry.what, Do::Edit(_)) && !known.contains(&entry.id))
            .map(|entry| entry.id.as_str())
            .collect::<HashSet<_>>()
    });
    if unknown.iter().all(HashSet::is_empty) {
        return;
    }
    for (of, stamp, design) in base.elements().iter() {
        let stands = |(side, unknown): (&Site, &HashSet<&str>)| {
            side.elements().has(of, stamp, design) || unknown.contains(stamp.as_str())
        };
        if sides.into_iter().zip(&unknown).all(stands) {
            elements.add(of.clone(), stamp.clone(), design.clone());
        }
    }
    elements.look();
}
