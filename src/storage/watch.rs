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

/// Looks at a site on a thread of its own until `tell` answers false.
///
/// # Errors
/// When the system gives no thread.
pub fn watch(
    files: Arc<dyn Files>,
    path: PathBuf,
    mut tell: impl FnMut(Seen) -> bool + Send + 'static,
) -> std::io::Result<()> {
    let look = move || {
        let mut last = signature(&*files, &path);
        let mut shown: Option<Site> = None;
        let mut free = false;
        loop {
            std::thread::sleep(LOOK_EVERY);
            let now = signature(&*files, &path);
            if now != last {
                // Half written by git, or gone for a moment: looked at again the next time.
                let Ok(looked) = read_only(&*files, &path) else {
                    continue;
                };
                last = now;
                let same = |old: &Site| {
                    old.log() == looked.site.log() && old.elements() == looked.site.elements()
                };
                if !shown.as_ref().is_some_and(same) {
                    shown = Some(looked.site.clone());
                    if !tell(Seen::Fresh(Box::new(looked.site))) {
                        return;
                    }
                }
            }
            // Let go of at once: taking over is the engineer's word.
            let free_now = matches!(files.lock(&beside(&path, ".lock")), Ok(Locking::Held(_)));
            if free_now && !free && !tell(Seen::Free) {
                return;
            }
            free = free_now;
        }
    };
    std::thread::Builder::new()
        .name("watch".to_owned())
        .spawn(look)
        .map(drop)
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
