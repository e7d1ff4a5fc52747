//! Saving in another place and going on there, when the folder takes nothing any more.

use super::files::{FileKind, Files};
use super::notice::Notice;
use super::open::{Access, Who, create, open, read_only};
use super::replay::replay;
use super::store::Store;
use super::words::StoreError;
use crate::site::{Site, WriterId};
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A site that was saved in another place.
#[derive(Debug)]
pub struct Moved {
    /// What stands there now.
    pub site: Site,
    /// Where entries go from now on.
    pub store: Store,
    /// The file.
    pub path: PathBuf,
    /// What there is to say of that place.
    pub notices: Vec<Notice>,
}

/// Saves all of a site in another folder (under the name of `from`) or file, and opens it there. A
/// copy of the same site that lies there already is joined, by identity: nothing of it is lost.
///
/// # Errors
/// When something else lies there, another program has it open, or the disk refuses. The old place
/// is not touched.
pub fn save_elsewhere(
    files: &Arc<dyn Files>,
    from: &Path,
    to: &Path,
    site: &Site,
    (who, now, writer): (&Who, Timestamp, &WriterId),
) -> Result<Moved, StoreError> {
    let is_folder = |stat: super::files::Stat| match (stat.kind, &stat.target) {
        (FileKind::Folder, _) => true,
        (FileKind::Link, Some(target)) => files
            .stat(target)
            .is_ok_and(|stat| stat.kind == FileKind::Folder),
        _ => false,
    };
    let path = if files.stat(to).is_ok_and(is_folder) {
        to.join(from.file_name().unwrap_or_default())
    } else {
        to.to_owned()
    };
    if files.stat(&path).is_ok() {
        let there = read_only(&**files, &path)?.site;
        if there.id() != site.id() {
            let found = there.id().clone();
            return Err(StoreError::OtherSite { path, found });
        }
    } else {
        create(&**files, &path, site)?;
    }
    let opened = open(files.clone(), &path, who, now, writer)?;
    let mut store = match opened.access {
        Access::Writes(store) => store,
        Access::ReadsOnly { held_by } => return Err(StoreError::Held { path, held_by }),
    };
    let (mut joined, new) = replay(&opened.site, site.log().entries().to_vec());
    if !new.is_empty() {
        store.unsaved = true;
    }
    if let Some(with_theirs) = store.checkpoint(&joined)? {
        joined = with_theirs;
    }
    Ok(Moved {
        site: joined,
        store,
        path,
        notices: opened.notices,
    })
}
