//! Files written in one go: a document, the result of a merge. Whole or not at all.

use super::files::Files;
use super::journal::folder_of;
use super::open::beside;
use super::store::{sound_bytes, write_temp};
use super::words::StoreError;
use crate::site::Site;
use std::path::Path;

/// Writes a file, over one of that name if there is one: under a temporary name, synced, renamed.
///
/// # Errors
/// When the disk refuses; what was there stays as it was.
pub fn write_whole(files: &dyn Files, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let temp = beside(path, ".tmp-new");
    // Of an earlier try that was cut off.
    let _ = files.remove(&temp);
    let like = files.stat(path).is_ok().then_some(path);
    // What is told is the name asked for, not the temporary one.
    let of_path = |why| match why {
        StoreError::Disk { doing, why, .. } => StoreError::disk(doing, path)(why),
        other => other,
    };
    write_temp(files, &temp, like, bytes).map_err(of_path)?;
    let placed = files
        .rename(&temp, path)
        .map_err(StoreError::disk("written", path));
    if placed.is_err() {
        let _ = files.remove(&temp);
        return placed;
    }
    files
        .sync_dir(folder_of(path))
        .map_err(StoreError::disk("synced", path))
}

/// Whether a file could be written: tried with an empty one under the temporary name, which goes again.
/// Asked before what takes its time to make.
///
/// # Errors
/// What the disk says.
pub fn try_whole(files: &dyn Files, path: &Path) -> Result<(), StoreError> {
    let temp = beside(path, ".tmp-new");
    let _ = files.remove(&temp);
    let made = files.create_new(&temp, None).map(drop);
    let _ = files.remove(&temp);
    made.map_err(StoreError::disk("written", path))
}

/// Whether two paths lead to one file, links followed; false where the system does not tell.
#[must_use]
pub fn is_same_file(files: &dyn Files, a: &Path, b: &Path) -> bool {
    let identity = |path: &Path| {
        let stat = files.stat(path).ok()?;
        match stat.target {
            Some(target) => files.stat(&target).ok()?.identity,
            None => stat.identity,
        }
    };
    identity(a).is_some_and(|found| identity(b) == Some(found))
}

/// Puts a site in the place of a site file, such as the result of a merge.
///
/// # Errors
/// When the site has problems or the disk refuses; what was there stays as it was.
pub fn overwrite(files: &dyn Files, path: &Path, site: &Site) -> Result<(), StoreError> {
    write_whole(files, path, &sound_bytes(site)?)
}
