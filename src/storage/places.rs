//! The user's own folders: where a session stood, which files were open last, the log file.
//!
//! Nothing here is a fact of a site; all of it may be lost without harm. So these small files are
//! written straight, not through those of `files`.

use super::journal::folder_of;
use crate::site::{SiteId, short_hash};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Names the state folder, over the system's own.
pub const STATE_DIR: &str = "LINEWRIGHT_STATE_DIR";

/// Names the data folder, over the system's own.
pub const DATA_DIR: &str = "LINEWRIGHT_DATA_DIR";

/// How many files are remembered.
const MOST_RECENT: usize = 20;

/// The largest file that is read from these folders.
const LARGEST: u64 = 1024 * 1024;

/// The user's folders; none where the system names none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Places {
    /// Where a session stood, recent files, the log file.
    pub state: Option<PathBuf>,
    /// What the user keeps for all sites.
    pub data: Option<PathBuf>,
}

impl Places {
    /// The folders of this process, from its environment and the system.
    #[must_use]
    pub fn of_environment() -> Self {
        let dirs = directories::ProjectDirs::from("", "", "linewright");
        let own = |name| {
            std::env::var_os(name)
                .filter(|text| !text.is_empty())
                .map(PathBuf::from)
        };
        Self {
            state: own(STATE_DIR).or_else(|| {
                let dirs = dirs.as_ref()?;
                // Only Linux has a folder for state; elsewhere it lies with the local data.
                let state = dirs.state_dir().unwrap_or_else(|| dirs.data_local_dir());
                Some(state.to_owned())
            }),
            data: own(DATA_DIR).or_else(|| Some(dirs.as_ref()?.data_dir().to_owned())),
        }
    }
}

/// Keeps where a session stood. `text` belongs to the session. It survives a kill, not a power
/// cut: it is written after every key and not synced.
///
/// # Errors
/// When the disk refuses; the old state then stands.
pub fn save_resume(folder: &Path, site: &SiteId, path: &Path, text: &str) -> io::Result<()> {
    write(&resume_path(folder, site, path), text)
}

/// Where a session stood, if that is known.
#[must_use]
pub fn load_resume(folder: &Path, site: &SiteId, path: &Path) -> Option<String> {
    text(&resume_path(folder, site, path))
}

fn resume_path(folder: &Path, site: &SiteId, path: &Path) -> PathBuf {
    // The id comes out of a file: only its digest becomes part of a name.
    let key = format!("{site}\n{}", path.display());
    folder.join(format!("resume-{}", short_hash(key.as_bytes())))
}

/// The files opened last, newest first.
#[must_use]
pub fn recent(folder: &Path) -> Vec<PathBuf> {
    let text = text(&folder.join("recent")).unwrap_or_default();
    text.lines()
        .filter(|line| !line.is_empty())
        .take(MOST_RECENT)
        .map(|line| line.replace("%0A", "\n").replace("%25", "%").into())
        .collect()
}

/// Puts a file at the head of that list.
///
/// # Errors
/// When the disk refuses.
pub fn remember(folder: &Path, path: &Path) -> io::Result<()> {
    let mut list = recent(folder);
    list.retain(|other| other != path);
    list.insert(0, path.to_owned());
    list.truncate(MOST_RECENT);
    let mut out = String::new();
    for path in list {
        let line = path.to_string_lossy().replace('%', "%25");
        out.push_str(&line.replace('\n', "%0A"));
        out.push('\n');
    }
    write(&folder.join("recent"), &out)
}

fn text(path: &Path) -> Option<String> {
    let len = fs::metadata(path).ok().filter(fs::Metadata::is_file)?.len();
    (len <= LARGEST).then(|| fs::read_to_string(path).ok())?
}

/// A small file, replaced whole.
fn write(path: &Path, text: &str) -> io::Result<()> {
    fs::create_dir_all(folder_of(path))?;
    let mut temp = path.as_os_str().to_owned();
    temp.push(format!(".{}", std::process::id()));
    let temp = PathBuf::from(temp);
    fs::write(&temp, text)?;
    fs::rename(&temp, path).inspect_err(|_| {
        let _ = fs::remove_file(&temp);
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_a_session_stood_is_kept_for_each_site_and_path() {
        let folder = tempfile::tempdir().unwrap();
        let state = folder.path().join("deep/er");
        let (site, path) = (SiteId::from("../s-a"), Path::new("/sites/A.ron"));
        assert_eq!(load_resume(&state, &site, path), None);
        save_resume(&state, &site, path, "line P-01").unwrap();
        save_resume(&state, &site, path, "line P-02\ntyped 4.1").unwrap();
        let found = load_resume(&state, &site, path);
        assert_eq!(found.as_deref(), Some("line P-02\ntyped 4.1"));
        assert_eq!(load_resume(&state, &site, Path::new("/copy/A.ron")), None);
        assert_eq!(fs::read_dir(&state).unwrap().count(), 1);
    }

    #[test]
    fn the_file_opened_last_heads_the_list() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["/a.ron", "/50%.ron", "/a.ron"] {
            remember(folder.path(), Path::new(name)).unwrap();
        }
        let found = recent(folder.path());
        assert_eq!(found, [Path::new("/a.ron"), Path::new("/50%.ron")]);
    }
}
