//! The file operations: all that the store, recovery and merge ever do to a disk.
//!
//! One real implementation, [`Disk`]; tests put others in its place.
//!
//! Never here: what stands in a file.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// What a name in a folder stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A regular file.
    File,
    /// A folder.
    Folder,
    /// A link.
    Link,
    /// A pipe, a device or the like: reading it could hang.
    Other,
}

/// What is known of a file without opening it. Links are not followed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stat {
    /// What it is.
    pub kind: FileKind,
    /// Its length in bytes.
    pub len: u64,
    /// When it was last written.
    pub modified: Option<SystemTime>,
    /// Device and inode, where the system has them: the same file under any name.
    pub identity: Option<(u64, u64)>,
    /// Where a link leads in the end; none if it is no link or leads nowhere.
    pub target: Option<PathBuf>,
}

/// A file open for appending.
pub trait OpenFile: Send {
    /// Writes all bytes at the end, in one call to the system where it takes them.
    ///
    /// # Errors
    /// Those of the system; some of the bytes may be written.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;

    /// Waits until the contents are on the disk.
    ///
    /// # Errors
    /// Those of the system. After one the file must never be written or synced again: a second
    /// sync may say yes though the bytes are gone.
    fn sync(&mut self) -> io::Result<()>;
}

/// A lock; dropping it lets go.
pub struct Guard(#[allow(dead_code)] Box<dyn Send>);

impl Guard {
    /// Keeps whatever holds the lock.
    pub fn new(holder: impl Send + 'static) -> Self {
        Self(Box::new(holder))
    }
}

impl std::fmt::Debug for Guard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Guard")
    }
}

/// The answer to asking for a lock.
#[derive(Debug)]
pub enum Locking {
    /// Ours until the guard is dropped.
    Held(Guard),
    /// Another program has it.
    ByAnother,
    /// This place knows no locks.
    Unsupported,
}

/// The file layer. Nothing else touches a disk.
pub trait Files: Send + Sync {
    /// The whole contents of a regular file (links followed).
    ///
    /// # Errors
    /// Those of the system; `FileTooLarge` over `limit` bytes, `InvalidInput` for anything but a
    /// regular file.
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>>;

    /// At least so many first bytes of what is known to be a regular file, if it has them.
    ///
    /// # Errors
    /// As [`Files::read`].
    fn start(&self, path: &Path, _most: u64) -> io::Result<Vec<u8>> {
        self.read(path, u64::MAX)
    }

    /// The names in a folder, sorted.
    ///
    /// # Errors
    /// Those of the system.
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>>;

    /// What is known of a file.
    ///
    /// # Errors
    /// Those of the system; `NotFound` when there is none.
    fn stat(&self, path: &Path) -> io::Result<Stat>;

    /// A new file open for appending, with the mode of another where one is named.
    ///
    /// # Errors
    /// Those of the system; `AlreadyExists` when there is one, link or not.
    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn OpenFile>>;

    /// Gives a file another name; a file of that name is replaced.
    ///
    /// # Errors
    /// Those of the system.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// A synced copy under a name that must be free.
    ///
    /// # Errors
    /// Those of the system.
    fn copy_new(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// Those of the system.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Waits until the names of a folder are on the disk.
    ///
    /// # Errors
    /// Those of the system.
    fn sync_dir(&self, folder: &Path) -> io::Result<()>;

    /// Asks for the lock that a file stands for; the file is made where there is none.
    ///
    /// # Errors
    /// Those of the system when the file cannot be opened; `InvalidInput` when it is a link.
    fn lock(&self, path: &Path) -> io::Result<Locking>;
}

/// The real disk.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

struct DiskFile(File);

impl OpenFile for DiskFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write_all(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        // Bytes and length; the time of the last change need not wait for the disk.
        self.0.sync_data()
    }
}

fn invalid(words: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidInput, words)
}

impl Files for Disk {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        // Asked before opening: opening a pipe would wait for its other end.
        let about = fs::metadata(path)?;
        if !about.is_file() {
            return Err(invalid("not a regular file"));
        }
        let too_large = || {
            let words = format!("{} bytes, at most {limit} are read", about.len());
            io::Error::new(io::ErrorKind::FileTooLarge, words)
        };
        if about.len() > limit {
            return Err(too_large());
        }
        let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
        File::open(path)?
            .take(limit.saturating_add(1))
            .read_to_end(&mut bytes)?;
        if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > limit {
            return Err(too_large());
        }
        Ok(bytes)
    }

    fn start(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        File::open(path)?.take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let mut names = fs::read_dir(folder)?
            .map(|entry| entry.map(|entry| entry.file_name()))
            .collect::<io::Result<Vec<_>>>()?;
        names.sort();
        Ok(names)
    }

    fn stat(&self, path: &Path) -> io::Result<Stat> {
        let about = fs::symlink_metadata(path)?;
        let kind = match about.file_type() {
            it if it.is_symlink() => FileKind::Link,
            it if it.is_file() => FileKind::File,
            it if it.is_dir() => FileKind::Folder,
            _ => FileKind::Other,
        };
        Ok(Stat {
            kind,
            len: about.len(),
            modified: about.modified().ok(),
            identity: system::identity(&about),
            target: (kind == FileKind::Link)
                .then(|| fs::canonicalize(path).ok())
                .flatten(),
        })
    }

    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn OpenFile>> {
        let file = OpenOptions::new()
            .append(true)
            .create_new(true)
            .open(path)?;
        if let Some(like) = like {
            let set =
                fs::metadata(like).and_then(|about| file.set_permissions(about.permissions()));
            // A file system without modes is no reason to lose a reading.
            if let Err(why) = set
                && why.kind() == io::ErrorKind::NotFound
            {
                drop(file);
                fs::remove_file(path)?;
                return Err(why);
            }
        }
        Ok(Box::new(DiskFile(file)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        system::rename(from, to)
    }

    fn copy_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut source = File::open(from)?;
        let mut copy = OpenOptions::new().write(true).create_new(true).open(to)?;
        let done = io::copy(&mut source, &mut copy).and_then(|_| copy.sync_all());
        if let Err(why) = done {
            drop(copy);
            fs::remove_file(to)?;
            return Err(why);
        }
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn sync_dir(&self, folder: &Path) -> io::Result<()> {
        system::sync_dir(folder)
    }

    fn lock(&self, path: &Path) -> io::Result<Locking> {
        match fs::symlink_metadata(path) {
            Ok(about) if !about.is_file() => return Err(invalid("the lock is not a regular file")),
            Ok(_) => {}
            Err(why) if why.kind() == io::ErrorKind::NotFound => {}
            Err(why) => return Err(why),
        }
        // Read and write, never append: NFS wants write access, Windows refuses append handles.
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)?;
        match file.try_lock() {
            Ok(()) => Ok(Locking::Held(Guard::new(file))),
            Err(fs::TryLockError::WouldBlock) => Ok(Locking::ByAnother),
            Err(fs::TryLockError::Error(why)) if why.kind() == io::ErrorKind::Unsupported => {
                Ok(Locking::Unsupported)
            }
            Err(fs::TryLockError::Error(why)) => Err(why),
        }
    }
}

#[cfg(unix)]
mod system {
    use super::{File, Path, fs, io};
    use std::os::unix::fs::MetadataExt as _;

    pub fn identity(about: &fs::Metadata) -> Option<(u64, u64)> {
        Some((about.dev(), about.ino()))
    }

    pub fn rename(from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    pub fn sync_dir(folder: &Path) -> io::Result<()> {
        File::open(folder)?.sync_all()
    }
}

#[cfg(not(unix))]
mod system {
    use super::{OpenOptions, Path, fs, io};
    use std::time::{Duration, Instant};

    pub fn identity(_: &fs::Metadata) -> Option<(u64, u64)> {
        None
    }

    /// Virus scanners and sync clients keep a new file open for a moment: tried for a second.
    pub fn rename(from: &Path, to: &Path) -> io::Result<()> {
        let start = Instant::now();
        loop {
            match fs::rename(from, to) {
                Ok(()) => break,
                Err(_) if start.elapsed() < Duration::from_secs(1) => {
                    std::thread::sleep(Duration::from_millis(50));
                }
                Err(why) => return Err(why),
            }
        }
        OpenOptions::new().write(true).open(to)?.sync_all()
    }

    /// Folders cannot be synced here; the renamed file was.
    pub fn sync_dir(_: &Path) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_created_once_and_appended_to() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let mut file = Disk.create_new(&path, None).unwrap();
        file.append(b"one ").unwrap();
        file.append(b"two").unwrap();
        file.sync().unwrap();
        Disk.sync_dir(folder.path()).unwrap();
        assert_eq!(Disk.read(&path, 7).unwrap(), b"one two");
        let again = Disk.create_new(&path, None).err().unwrap();
        assert_eq!(again.kind(), io::ErrorKind::AlreadyExists);
        let large = Disk.read(&path, 6).unwrap_err();
        assert_eq!(large.kind(), io::ErrorKind::FileTooLarge);
        assert_eq!(Disk.list(folder.path()).unwrap(), ["a"]);
    }

    #[test]
    fn a_lock_is_held_by_one_until_it_lets_go() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lock");
        let first = Disk.lock(&path).unwrap();
        assert!(matches!(first, Locking::Held(_)));
        assert!(matches!(Disk.lock(&path).unwrap(), Locking::ByAnother));
        drop(first);
        assert!(matches!(Disk.lock(&path).unwrap(), Locking::Held(_)));
    }

    #[cfg(unix)]
    #[test]
    fn links_are_told_apart_and_a_new_file_takes_the_mode_of_another() {
        use std::os::unix::fs::{PermissionsExt as _, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (file, link) = (folder.path().join("file"), folder.path().join("link"));
        drop(Disk.create_new(&file, None).unwrap());
        symlink(&file, &link).unwrap();
        let stat = Disk.stat(&link).unwrap();
        assert_eq!(stat.kind, FileKind::Link);
        assert_eq!(stat.target, Some(fs::canonicalize(&file).unwrap()));
        assert!(Disk.lock(&link).is_err());
        assert!(Disk.create_new(&link, None).is_err());
        assert!(Disk.read(folder.path(), 10).is_err());
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
        let other = folder.path().join("other");
        drop(Disk.create_new(&other, Some(&file)).unwrap());
        let mode = fs::metadata(&other).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }
}
