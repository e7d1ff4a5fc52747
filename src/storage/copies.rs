//! Copies of a site under another name in its folder, as clients that keep folders in step leave them
//! when two wrote at once: `SITE (conflicted copy).ron`. What they hold is offered, never taken in
//! unasked, and no copy is ever removed.

use super::files::{FileKind, Files};
use super::format1::{self, LARGEST};
use super::journal::folder_of;
use super::notice::{InCopy, Notice};
use super::recover::lacking;
use super::store::Store;
use super::words::name_of;
use crate::site::{Design, Do, Entry, Ref, Site};
use std::path::Path;

/// How many files of the kind are looked at.
const MOST_FILES: usize = 1_000;
/// In so many first bytes a site file names its site.
const HEAD: u64 = 4 * 1024;

/// Entries of copies that a site lacks, and what there is to say of them.
pub(super) fn copies(files: &dyn Files, path: &Path, site: &Site) -> (Vec<Entry>, Vec<Notice>) {
    let (mut lacked, mut notices) = (Vec::new(), Vec::new());
    let own = path.file_name().unwrap_or_default();
    // What cannot be listed was said by those who need it more.
    let mut names = files.list(folder_of(path)).unwrap_or_default();
    names.retain(|name| name != own && name.to_string_lossy().to_lowercase().ends_with(".ron"));
    names.truncate(MOST_FILES);
    let id = format!("id: {:?}", site.id().as_str());
    for name in names {
        let path = path.with_file_name(&name);
        let is_file = files.stat(&path).is_ok_and(|it| it.kind == FileKind::File);
        let head = is_file.then(|| files.start(&path, HEAD).ok()).flatten();
        let head = head.unwrap_or_default();
        if !String::from_utf8_lossy(&head).contains(&id) {
            continue;
        }
        let copy = name_of(&path);
        let read = files.read(&path, LARGEST).map_err(|why| why.to_string());
        let read = read.and_then(|bytes| {
            let text = format1::read(&path.display().to_string(), &bytes);
            text.map_err(|why| why.to_string())
        });
        match read {
            Ok(text) if text.site.id() == site.id() => {
                let new = lacking(site.log(), text.site.log().entries());
                if !new.is_empty() {
                    let called = label(&text.site).filter(|it| Some(it) != label(site).as_ref());
                    notices.push(offer((copy, name_of(own.as_ref())), &new, called));
                    lacked.extend(new.into_iter().cloned());
                }
            }
            Ok(_) => {}
            Err(why) => notices.push(Notice::CopyUnread { copy, why }),
        }
    }
    (lacked, notices)
}

impl Store {
    /// Looks once more for copies in the site's folder: one may have been put there since the opening. What they
    /// hold that neither `ours` nor an earlier look has is offered from now on; nothing where there is none.
    pub fn look_for_copies(&mut self, ours: &Site) -> Vec<Notice> {
        let (lacked, found) = copies(&*self.files, &self.path, ours);
        let new: Vec<Entry> = lacked
            .into_iter()
            .filter(|entry| !self.older.iter().any(|it| it.id == entry.id))
            .collect();
        if new.is_empty() {
            return Vec::new();
        }
        self.older.extend(new);
        found
    }
}

fn offer((copy, name): (String, String), new: &[&Entry], called: Option<String>) -> Notice {
    let mut by: Vec<String> = new.iter().map(|entry| entry.by.clone()).collect();
    by.sort();
    by.dedup();
    let is_reading = |entry: &&&Entry| matches!(entry.what, Do::Read(_) | Do::Insulate(_));
    Notice::Copy(InCopy {
        copy,
        name,
        count: new.len(),
        readings: new.iter().filter(is_reading).count(),
        by,
        called,
    })
}

/// What a site is called.
fn label(site: &Site) -> Option<String> {
    match site.elements().settled(&Ref::Site) {
        Some(Design::Site(it)) => Some(it.label.clone()),
        _ => None,
    }
}
