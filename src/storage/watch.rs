//! Whoever only reads follows whoever writes: what was recorded meanwhile, and when the lock is
//! free.
//!
//! Never here: writing anything.

use super::files::{Files, Locking};
use super::open::{beside, read_only};
use super::recover::names;
use crate::site::Site;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// How often it looks.
const LOOK_EVERY: Duration = Duration::from_secs(2);

/// What the one who reads is told.
#[derive(Debug)]
pub enum Seen {
    /// Something was recorded: the site as it stands now, journals included.
    Fresh(Box<Site>),
    /// Nobody holds the lock any more.
    Free,
}

/// A watch; dropping it ends it.
#[derive(Debug)]
#[must_use]
pub struct Watch(Arc<AtomicBool>);

impl Drop for Watch {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Looks at a site on a thread of its own, until the watch is dropped or `tell` answers false; `shown` is
/// what was read of it before. Nothing is written and no file is made, not even that of the lock.
///
/// # Errors
/// When the system gives no thread.
pub fn watch(
    files: Arc<dyn Files>,
    path: PathBuf,
    mut shown: Site,
    mut tell: impl FnMut(Seen) -> bool + Send + 'static,
) -> std::io::Result<Watch> {
    let over = Arc::new(AtomicBool::new(false));
    let ends = Arc::clone(&over);
    let look = move || {
        // Looked at once in any case: something may have been recorded since it was read.
        let mut last = String::new();
        let mut free = false;
        loop {
            std::thread::sleep(LOOK_EVERY);
            if ends.load(Ordering::Relaxed) {
                return;
            }
            let now = signature(&*files, &path);
            if now != last {
                // Half written by git, or gone for a moment: looked at again the next time.
                let Ok(looked) = read_only(&*files, &path) else {
                    continue;
                };
                last = now;
                let site = looked.site;
                if shown.log() != site.log() || shown.elements() != site.elements() {
                    shown = site.clone();
                    if !tell(Seen::Fresh(Box::new(site))) {
                        return;
                    }
                }
            }
            let free_now = is_free(&*files, &path);
            if free_now && !free && !tell(Seen::Free) {
                return;
            }
            free = free_now;
        }
    };
    std::thread::Builder::new()
        .name("watch".to_owned())
        .spawn(look)
        .map(|_| Watch(over))
}

/// Whether nobody holds the lock: asked for and let go of at once, since taking over is the engineer's
/// word. Where its file is gone nobody can be seen to hold it.
fn is_free(files: &dyn Files, path: &Path) -> bool {
    let lock = beside(path, ".lock");
    match files.stat(&lock) {
        Ok(_) => matches!(files.lock(&lock), Ok(Locking::Held(_))),
        Err(why) => why.kind() == std::io::ErrorKind::NotFound,
    }
}

/// Whatever changes when something is recorded or saved: names, lengths, times, identities.
fn signature(files: &dyn Files, path: &Path) -> String {
    let mut out = format!("{:?}", files.stat(path).ok());
    for name in names(files, path).unwrap_or_default() {
        let stat = files.stat(&path.with_file_name(&name)).ok();
        out.push_str(&format!("{name:?} {stat:?}"));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::{Disk, create, overwrite};

    #[test]
    fn asking_whether_the_lock_is_free_makes_no_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("S.ron");
        assert!(is_free(&Disk, &path));
        assert!(Disk.list(folder.path()).unwrap().is_empty());
        let held = Disk.lock(&beside(&path, ".lock")).unwrap();
        assert!(!is_free(&Disk, &path));
        drop(held);
        assert!(is_free(&Disk, &path));
    }

    #[test]
    fn what_was_recorded_between_the_reading_and_the_watch_is_seen() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("S.ron");
        let writer = "aaaaaaaaaaaaaaaa".into();
        create(&Disk, &path, &Site::begun("Hall", &writer)).unwrap();
        let read = read_only(&Disk, &path).unwrap().site;
        overwrite(&Disk, &path, &Site::begun("Hall, north", &writer)).unwrap();
        let (tell, told) = std::sync::mpsc::channel();
        let told_of = watch(Arc::new(Disk), path, read, move |seen| {
            tell.send(matches!(seen, Seen::Fresh(_))).is_ok()
        });
        let _watched = told_of.unwrap();
        assert_eq!(told.recv_timeout(LOOK_EVERY * 5), Ok(true));
    }

    #[test]
    fn a_watch_that_was_dropped_ends() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("S.ron");
        let (tell, told) = std::sync::mpsc::channel::<()>();
        let site = Site::begun("Hall", &"aaaaaaaaaaaaaaaa".into());
        let watched = watch(Arc::new(Disk), path, site, move |_| {
            // The thread holds this end as long as it lives.
            let _ = &tell;
            true
        });
        drop(watched.unwrap());
        let ended = told.recv_timeout(LOOK_EVERY * 5);
        assert_eq!(ended, Err(std::sync::mpsc::RecvTimeoutError::Disconnected));
    }
}
