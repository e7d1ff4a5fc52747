//! Opening a site to work on it or to look at it, and making a new one.
//!
//! The lock decides who writes; whoever comes second reads.

use super::copies::copies;
use super::files::{Files, Guard, Locking};
use super::journal::{Head, JournalName, folder_of};
use super::notice::Notice;
use super::recover::{Found, find, names, resolve};
use super::store::{Held, Store, sound_bytes, write_temp};
use super::words::{StoreError, clock, day_and_clock, name_of};
use crate::site::{Site, WriterId};
use jiff::Timestamp;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Within it a time of day is told without its day.
const A_DAY_S: i64 = 24 * 60 * 60;

/// Who opens a site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Who {
    /// The person, as text.
    pub name: String,
    /// The machine, as people know it.
    pub machine: String,
}

/// A site that was opened.
#[derive(Debug)]
pub struct Opened {
    /// What stands on the disk, journals included.
    pub site: Site,
    /// Whether it can be written.
    pub access: Access,
    /// What there is to say.
    pub notices: Vec<Notice>,
}

/// Whether an opened site can be written.
#[derive(Debug)]
pub enum Access {
    /// It can.
    Writes(Store),
    /// It cannot.
    ReadsOnly {
        /// Why, in words: `A. M. on LAPTOP-2 writes here since 13:58`.
        held_by: String,
    },
}

/// A site that was only looked at.
#[derive(Debug)]
pub struct Looked {
    /// What stands on the disk, journals included.
    pub site: Site,
    /// What there is to say.
    pub notices: Vec<Notice>,
}

pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

/// Opens a site to work on it. `writer` must be new at each opening ([`super::new_writer`]).
///
/// # Errors
/// When the site file is missing or refused. Held by another program it opens all the same, to
/// read.
pub fn open(
    files: Arc<dyn Files>,
    path: &Path,
    who: &Who,
    now: Timestamp,
    writer: &WriterId,
) -> Result<Opened, StoreError> {
    if !JournalName::fits(writer) {
        // Under any other name no later opening would find the journal.
        let found = writer.to_string();
        return Err(StoreError::Writer { found });
    }
    let path = resolve(&*files, path)?;
    let lock_path = beside(&path, ".lock");
    let (lock, no_lock) = match files.lock(&lock_path) {
        Ok(Locking::Held(guard)) => {
            let identity = files.stat(&lock_path).ok().and_then(|stat| stat.identity);
            let held = Held {
                path: lock_path,
                identity,
                _guard: guard,
            };
            (Some(held), false)
        }
        Ok(Locking::Unsupported) => (None, true),
        Ok(Locking::ByAnother) => return reader(&*files, &path, now, None),
        Err(why)
            if matches!(
                why.kind(),
                ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem
            ) =>
        {
            let words = "this folder cannot be written".to_owned();
            return reader(&*files, &path, now, Some(words));
        }
        Err(why) => return Err(StoreError::disk("locked", &lock_path)(why)),
    };
    let mut found = find(&*files, &path, true)?;
    let mut notices = std::mem::take(&mut found.notices);
    if let Some(journal) = found.newer {
        let held_by = format!("a newer linewright wrote {journal}; nothing is changed");
        return Ok(Opened {
            site: found.site,
            access: Access::ReadsOnly { held_by },
            notices,
        });
    }
    if no_lock {
        let name = name_of(&path);
        notices.push(Notice::NoLock { name });
    }
    notices.extend(writes_elsewhere(&*files, &found, who, now));
    let (lacked, offered) = copies(&*files, &path, &found.site);
    found.older.extend(lacked);
    notices.extend(offered);
    let (mut store, begun) = Store::begin(files, &path, &mut found, who, now, writer, lock);
    if let Err(why) = begun {
        let why = why.to_string();
        notices.push(Notice::NotYet { why });
    }
    let site = store.settle(found, no_lock, &mut notices);
    Ok(Opened {
        site,
        access: Access::Writes(store),
        notices,
    })
}

/// A clock that is behind the newest entry: it is said, never mended. Two laptops may differ by a
/// minute. \[assumed\]
#[must_use]
pub fn clock_behind(site: &Site, now: Timestamp) -> Option<Notice> {
    let newest = site.log().entries().iter().map(|entry| entry.at).max()?;
    let words = |at: Timestamp| at.strftime("%Y-%m-%d %H:%M UTC").to_string();
    (newest.as_second() - now.as_second() > 60).then(|| Notice::ClockBehind {
        now: words(now),
        newest: words(newest),
    })
}

/// Other machines whose journals are not closed and grew in the last hour.
fn writes_elsewhere(files: &dyn Files, found: &Found, who: &Who, now: Timestamp) -> Vec<Notice> {
    let foreign = found.journals.iter().filter(|it| !it.may_go(&who.machine));
    foreign
        .filter_map(|beside| {
            let head = beside.journal.head.as_ref()?;
            let written = files.stat(&beside.path).ok()?.modified?;
            let at = Timestamp::try_from(written).ok()?;
            let lately = now.as_second() - at.as_second() < 3600;
            lately.then(|| Notice::WritesElsewhere {
                who: head.who.clone(),
                machine: head.machine.clone(),
                at: clock(&found.site, at),
            })
        })
        .collect()
}

/// Looks at a site without changing anything on the disk.
///
/// # Errors
/// When the site file is missing or refused.
pub fn read_only(files: &dyn Files, path: &Path) -> Result<Looked, StoreError> {
    let path = resolve(files, path)?;
    let found = find(files, &path, false)?;
    let notices = found.notices.into_iter().filter_map(|notice| match notice {
        // A program may be at work: half a line on its way is no torn end, and what stands in its
        // journal was never lost.
        Notice::Torn { .. } => None,
        Notice::Recovered {
            count,
            readings,
            last,
        } => Some(Notice::InJournal {
            count,
            readings,
            last,
        }),
        other => Some(other),
    });
    Ok(Looked {
        notices: notices.collect(),
        site: found.site,
    })
}

fn reader(
    files: &dyn Files,
    path: &Path,
    now: Timestamp,
    why: Option<String>,
) -> Result<Opened, StoreError> {
    let found = find(files, path, true)?;
    let held = || held_by(&found.site, found.writer.as_ref(), now);
    let held_by = why.unwrap_or_else(held);
    // Entries of a program at work are not recovered: they were never lost.
    let notices = found
        .notices
        .into_iter()
        .filter(|notice| !matches!(notice, Notice::Torn { .. } | Notice::Recovered { .. }))
        .collect();
    Ok(Opened {
        site: found.site,
        access: Access::ReadsOnly { held_by },
        notices,
    })
}

fn held_by(site: &Site, head: Option<&Head>, now: Timestamp) -> String {
    let Some(head) = head else {
        return "another linewright writes here".to_owned();
    };
    // A program may have stood open over the night, or a week.
    let since = match now.as_second() - head.at.as_second() < A_DAY_S {
        true => clock(site, head.at),
        false => day_and_clock(site, head.at),
    };
    match head.machine.as_str() {
        "" => format!("{} writes here since {since}", head.who),
        machine => format!("{} on {machine} writes here since {since}", head.who),
    }
}

/// The lock of a site file for as long as the guard lives; none where the place knows no locks.
///
/// # Errors
/// When another program has it, `held_by` in words; or the disk refuses.
pub(super) fn hold(
    files: &dyn Files,
    path: &Path,
    held_by: &str,
) -> Result<Option<Guard>, StoreError> {
    let lock_path = beside(path, ".lock");
    match files.lock(&lock_path) {
        Ok(Locking::Held(guard)) => Ok(Some(guard)),
        Ok(Locking::Unsupported) => Ok(None),
        Ok(Locking::ByAnother) => Err(StoreError::Held {
            path: path.to_owned(),
            held_by: held_by.to_owned(),
        }),
        Err(why) => Err(StoreError::disk("locked", &lock_path)(why)),
    }
}

/// Gives a site file another name, its journals and what else belongs to it with it: what was
/// recorded stays with the site that it was recorded on.
///
/// # Errors
/// When another program has it open, or the disk refuses.
pub fn set_aside(files: &dyn Files, path: &Path, aside: &Path) -> Result<(), StoreError> {
    let _lock = hold(files, path, "another linewright writes here")?;
    let site = path.file_name().unwrap_or_default();
    let rename = |from: &Path, to: &Path| {
        files
            .rename(from, to)
            .map_err(StoreError::disk("renamed", from))
    };
    rename(path, aside)?;
    for file in names(files, path)? {
        for kind in ["journal", "aside", "tmp"] {
            if let Some(name) = JournalName::of_file(site, kind, &file) {
                rename(&name.path(path, kind), &name.path(aside, kind))?;
            }
        }
    }
    files
        .sync_dir(folder_of(path))
        .map_err(StoreError::disk("synced", folder_of(path)))
}

/// Makes a new site file.
///
/// # Errors
/// When there is a file of that name, or the disk refuses; then no file is left.
pub fn create(files: &dyn Files, path: &Path, site: &Site) -> Result<(), StoreError> {
    let exists = || StoreError::Exists {
        path: path.to_owned(),
    };
    if files.stat(path).is_ok() {
        return Err(exists());
    }
    let bytes = sound_bytes(site)?;
    // A folder that is not there knows no lock either: what was asked for is the file.
    let held_by = "another linewright writes here";
    let _lock = hold(files, path, held_by).map_err(|error| match error {
        StoreError::Disk { why, .. } => StoreError::disk("written", path)(why),
        other => other,
    })?;
    let temp = beside(path, ".tmp-new");
    // Of an earlier try that was cut off; nobody else is here, we hold the lock.
    let _ = files.remove(&temp);
    write_temp(files, &temp, None, &bytes)?;
    let placed = match files.stat(path) {
        Ok(_) => Err(exists()),
        Err(_) => files
            .rename(&temp, path)
            .map_err(StoreError::disk("written", path)),
    };
    if placed.is_err() {
        let _ = files.remove(&temp);
    }
    placed?;
    files
        .sync_dir(folder_of(path))
        .map_err(StoreError::disk("synced", folder_of(path)))
}
