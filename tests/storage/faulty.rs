//! A disk that fails where a test wants it to.

use linewright::storage::{Disk, Files, Locking, OpenFile, Stat};
use std::ffi::OsString;
use std::io;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

/// The disk with one operation that fails.
pub struct Faulty {
    pub plan: Arc<Plan>,
}

pub struct Plan {
    /// Operations so far.
    pub done: AtomicUsize,
    /// The one that fails; none before the first.
    pub fails: usize,
    /// All after it fail too: the program was killed there, or the disk is gone.
    pub for_good: bool,
    /// Names of the operations, to see that the test reaches what it means to.
    pub names: Mutex<Vec<&'static str>>,
    /// What another hand does right behind the next rename.
    pub behind_rename: Mutex<Option<Box<dyn FnOnce() + Send>>>,
}

impl Plan {
    pub fn new(fails: usize, for_good: bool) -> Arc<Self> {
        Arc::new(Self {
            done: AtomicUsize::new(0),
            fails,
            for_good,
            names: Mutex::new(Vec::new()),
            behind_rename: Mutex::new(None),
        })
    }

    pub fn step(&self, name: &'static str) -> io::Result<()> {
        let n = self.done.fetch_add(1, Ordering::SeqCst);
        self.names.lock().unwrap().push(name);
        if n == self.fails || (self.for_good && n > self.fails) {
            Err(io::Error::other(format!("{name} made to fail")))
        } else {
            Ok(())
        }
    }
}

pub struct FaultyFile {
    pub plan: Arc<Plan>,
    inner: Box<dyn OpenFile>,
}

impl OpenFile for FaultyFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.plan.step("append").inspect_err(|_| {
            // A full disk takes half of it.
            let _ = self.inner.append(&bytes[..bytes.len() / 2]);
        })?;
        self.inner.append(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.plan.step("sync")?;
        self.inner.sync()
    }
}

impl Files for Faulty {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        self.plan.step("read")?;
        Disk.read(path, limit)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        self.plan.step("list")?;
        Disk.list(folder)
    }
    fn stat(&self, path: &Path) -> io::Result<Stat> {
        self.plan.step("stat")?;
        Disk.stat(path)
    }
    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn OpenFile>> {
        self.plan.step("create_new")?;
        let inner = Disk.create_new(path, like)?;
        let plan = self.plan.clone();
        Ok(Box::new(FaultyFile { plan, inner }))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.plan.step("rename")?;
        Disk.rename(from, to)?;
        if let Some(act) = self.plan.behind_rename.lock().unwrap().take() {
            act();
        }
        Ok(())
    }
    fn copy_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.plan.step("copy_new")?;
        Disk.copy_new(from, to)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.plan.step("remove")?;
        Disk.remove(path)
    }
    fn sync_dir(&self, folder: &Path) -> io::Result<()> {
        self.plan.step("sync_dir")?;
        Disk.sync_dir(folder)
    }
    fn lock(&self, path: &Path) -> io::Result<Locking> {
        self.plan.step("lock")?;
        Disk.lock(path)
    }
}
