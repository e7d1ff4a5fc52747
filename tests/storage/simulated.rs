//! A disk in memory that forgets what was not synced.
//!
//! Names: those that a sync of the folder kept, and changes that wait for one. Contents: pieces that
//! were synced, that were not, and that a failed sync has doomed. A power cut keeps any subset of
//! the waiting changes, and of what was written last nothing, all, a first part, or zeros. A kill
//! loses nothing. After a failed sync the data can still be read, is gone at the next cut, and the
//! next sync says yes. The shipping store and recovery run on it through `Files`.

use linewright::storage::{FileKind, Files, Guard, Locking, OpenFile, Stat};
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{Duration, SystemTime};

/// Numbers that only look like chance (xorshift64*).
#[derive(Clone)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        // Small seeds would give small first numbers.
        let mut dice = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        dice.next();
        dice
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 16
    }

    /// One of `0..n`.
    pub fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(n.max(1)).unwrap()).unwrap()
    }
}

/// What goes wrong, and at which operation, counted from the last [`Simulated::plan`].
#[derive(Clone, Copy, Debug)]
pub enum Plan {
    /// Nothing.
    Well,
    /// The program is killed before it.
    Killed { before: usize },
    /// It fails, with this number of the system, and the program is killed before a later one.
    Fails {
        at: usize,
        errno: i32,
        for_good: bool,
        dies_before: usize,
    },
}

pub const ENOSPC: i32 = 28;
pub const EIO: i32 = 5;
pub const EROFS: i32 = 30;
pub const EACCES: i32 = 13;

#[derive(Clone, Copy, PartialEq)]
enum Fate {
    Synced,
    Written,
    Doomed,
}

type Node = u64;

#[derive(Clone)]
enum Change {
    Named(PathBuf, Node),
    Gone(PathBuf),
    Renamed(PathBuf, PathBuf, Node),
}

impl Change {
    fn folder(&self) -> &Path {
        let (Self::Named(path, _) | Self::Gone(path) | Self::Renamed(_, path, _)) = self;
        path.parent().unwrap()
    }

    fn apply(&self, names: &mut BTreeMap<PathBuf, Node>) {
        match self {
            Self::Named(path, node) => {
                names.insert(path.clone(), *node);
            }
            Self::Gone(path) => {
                names.remove(path);
            }
            Self::Renamed(from, to, node) => {
                if names.get(from) == Some(node) {
                    names.remove(from);
                }
                names.insert(to.clone(), *node);
            }
        }
    }
}

struct World {
    live: BTreeMap<PathBuf, Node>,
    kept: BTreeMap<PathBuf, Node>,
    waiting: Vec<Change>,
    pieces: BTreeMap<Node, Vec<(Vec<u8>, Fate)>>,
    touched: BTreeMap<Node, u64>,
    locked: BTreeSet<Node>,
    next: Node,
    /// Which program runs: what a dead one still holds counts for nothing.
    program: usize,
    plan: Plan,
    done: usize,
    names: Vec<&'static str>,
    dice: Dice,
}

/// The disk.
#[derive(Clone)]
pub struct Simulated(Arc<Mutex<World>>);

enum Go {
    Well,
    Fail(io::Error),
}

impl World {
    fn step(&mut self, name: &'static str) -> io::Result<Go> {
        let n = self.done;
        self.done += 1;
        self.names.push(name);
        match self.plan {
            Plan::Killed { before }
            | Plan::Fails {
                dies_before: before,
                ..
            } if n >= before => Err(io::Error::other("killed")),
            Plan::Fails {
                at,
                errno,
                for_good,
                ..
            } if n == at || (for_good && n > at) => {
                Ok(Go::Fail(io::Error::from_raw_os_error(errno)))
            }
            _ => Ok(Go::Well),
        }
    }

    fn read_steps(&mut self, name: &'static str) -> io::Result<()> {
        match self.step(name)? {
            Go::Well => Ok(()),
            Go::Fail(why) => Err(why),
        }
    }

    fn node(&self, path: &Path) -> io::Result<Node> {
        let none = || io::Error::from(io::ErrorKind::NotFound);
        self.live.get(path).copied().ok_or_else(none)
    }

    fn bytes(&self, node: Node) -> Vec<u8> {
        let pieces = self.pieces[&node].iter();
        pieces.flat_map(|(bytes, _)| bytes.clone()).collect()
    }

    fn change(&mut self, change: Change) {
        change.apply(&mut self.live);
        self.waiting.push(change);
    }

    fn new_file(&mut self, path: &Path) -> Node {
        self.next += 1;
        let node = self.next;
        self.pieces.insert(node, Vec::new());
        self.touched.insert(node, node);
        self.change(Change::Named(path.to_owned(), node));
        node
    }

    fn append(&mut self, node: Node, bytes: &[u8]) {
        self.next += 1;
        self.touched.insert(node, self.next);
        let piece = (bytes.to_vec(), Fate::Written);
        self.pieces.get_mut(&node).unwrap().push(piece);
    }

    fn settle(&mut self, node: Node, fate: Fate) {
        for piece in self.pieces.get_mut(&node).unwrap() {
            if piece.1 == Fate::Written {
                piece.1 = fate;
            }
        }
    }

    /// What a power cut leaves of a file.
    fn after_cut(&mut self, node: Node) -> Vec<u8> {
        let pieces = self.pieces[&node].clone();
        let synced = pieces.iter().rposition(|(_, fate)| *fate == Fate::Synced);
        let mut out = Vec::new();
        let tail = synced.map_or(0, |at| at + 1);
        for (bytes, fate) in &pieces[..tail] {
            match fate {
                Fate::Synced => out.extend(bytes),
                _ => out.resize(out.len() + bytes.len(), 0),
            }
        }
        let last: usize = pieces[tail..].iter().map(|(bytes, _)| bytes.len()).sum();
        let keeps = match self.dice.below(4) {
            0 => 0,
            1 => self.dice.below(last + 1),
            _ => last,
        };
        let zeros = self.dice.below(4) == 0;
        let end = out.len() + keeps;
        for (bytes, fate) in &pieces[tail..] {
            match fate {
                Fate::Written if !zeros => out.extend(bytes),
                _ => out.resize(out.len() + bytes.len(), 0),
            }
        }
        out.truncate(end);
        out
    }
}

impl Simulated {
    /// With one file, synced.
    pub fn with(path: &Path, bytes: &[u8], seed: u64) -> Self {
        let mut world = World {
            live: BTreeMap::new(),
            kept: BTreeMap::new(),
            waiting: Vec::new(),
            pieces: BTreeMap::new(),
            touched: BTreeMap::new(),
            locked: BTreeSet::new(),
            next: 0,
            program: 0,
            plan: Plan::Well,
            done: 0,
            names: Vec::new(),
            dice: Dice::new(seed),
        };
        let node = world.new_file(path);
        world.append(node, bytes);
        world.settle(node, Fate::Synced);
        world.kept = world.live.clone();
        world.waiting.clear();
        Self(Arc::new(Mutex::new(world)))
    }

    fn world(&self) -> MutexGuard<'_, World> {
        self.0.lock().unwrap()
    }

    /// From here on this goes wrong.
    pub fn plan(&self, plan: Plan) {
        let mut world = self.world();
        (world.plan, world.done) = (plan, 0);
        world.names.clear();
    }

    /// Operations since the plan was made.
    pub fn names(&self) -> Vec<&'static str> {
        self.world().names.clone()
    }

    /// Whether the plan's operation was reached.
    pub fn killed(&self) -> bool {
        let world = self.world();
        match world.plan {
            Plan::Well => false,
            Plan::Killed { before }
            | Plan::Fails {
                dies_before: before,
                ..
            } => world.done > before,
        }
    }

    /// The program that ran is dead.
    pub fn kill(&self) {
        let mut world = self.world();
        world.program += 1;
        world.locked.clear();
    }

    /// The power goes, and with it the program.
    pub fn cut(&self) {
        self.kill();
        let mut world = self.world();
        let waiting = std::mem::take(&mut world.waiting);
        let mut kept = std::mem::take(&mut world.kept);
        let mood = world.dice.below(4);
        for change in waiting {
            let stays = match mood {
                0 => false,
                1 => true,
                _ => world.dice.below(2) == 0,
            };
            if stays {
                change.apply(&mut kept);
            }
        }
        let nodes: Vec<Node> = world.pieces.keys().copied().collect();
        for node in nodes {
            let bytes = world.after_cut(node);
            world.pieces.insert(node, vec![(bytes, Fate::Synced)]);
        }
        world.live.clone_from(&kept);
        world.kept = kept;
    }

    /// One of `0..n`, from the disk's own dice.
    pub fn below(&self, n: usize) -> usize {
        self.world().dice.below(n)
    }

    /// Every file with its bytes.
    pub fn files(&self) -> BTreeMap<String, Vec<u8>> {
        let world = self.world();
        let name = |path: &PathBuf| path.file_name().unwrap().to_str().unwrap().to_owned();
        let all = world.live.iter();
        all.map(|(path, node)| (name(path), world.bytes(*node)))
            .collect()
    }
}

struct Handle {
    disk: Simulated,
    node: Node,
    program: usize,
}

impl Handle {
    fn world(&self) -> MutexGuard<'_, World> {
        let world = self.disk.world();
        assert_eq!(world.program, self.program, "a dead program writes");
        world
    }
}

impl OpenFile for Handle {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut world = self.world();
        match world.step("append")? {
            Go::Well => {
                world.append(self.node, bytes);
                Ok(())
            }
            Go::Fail(why) => {
                // A full disk takes some of it.
                let part = world.dice.below(bytes.len() + 1);
                world.append(self.node, &bytes[..part]);
                Err(why)
            }
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut world = self.world();
        match world.step("sync")? {
            Go::Well => {
                world.settle(self.node, Fate::Synced);
                Ok(())
            }
            Go::Fail(why) => {
                world.settle(self.node, Fate::Doomed);
                Err(why)
            }
        }
    }
}

struct Held {
    disk: Simulated,
    node: Node,
    program: usize,
}

impl Drop for Held {
    fn drop(&mut self) {
        let mut world = self.disk.world();
        if world.program == self.program {
            world.locked.remove(&self.node);
        }
    }
}

impl Files for Simulated {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        let mut world = self.world();
        world.read_steps("read")?;
        let bytes = world.bytes(world.node(path)?);
        if u64::try_from(bytes.len()).unwrap() > limit {
            return Err(io::ErrorKind::FileTooLarge.into());
        }
        Ok(bytes)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let mut world = self.world();
        world.read_steps("list")?;
        let all = world.live.keys();
        let own = all.filter(|path| path.parent() == Some(folder));
        Ok(own.map(|path| path.file_name().unwrap().into()).collect())
    }

    fn stat(&self, path: &Path) -> io::Result<Stat> {
        let mut world = self.world();
        world.read_steps("stat")?;
        let node = world.node(path)?;
        let touched = Duration::from_secs(world.touched[&node]);
        Ok(Stat {
            kind: FileKind::File,
            len: u64::try_from(world.bytes(node).len()).unwrap(),
            modified: Some(SystemTime::UNIX_EPOCH + touched),
            identity: Some((1, node)),
            target: None,
        })
    }

    fn create_new(&self, path: &Path, _: Option<&Path>) -> io::Result<Box<dyn OpenFile>> {
        let mut world = self.world();
        let go = world.step("create_new")?;
        if world.live.contains_key(path) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        if let Go::Fail(why) = go {
            // The name may be there all the same.
            if world.dice.below(2) == 0 {
                world.new_file(path);
            }
            return Err(why);
        }
        let node = world.new_file(path);
        Ok(Box::new(Handle {
            disk: self.clone(),
            node,
            program: world.program,
        }))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut world = self.world();
        let go = world.step("rename")?;
        let node = world.node(from)?;
        let change = Change::Renamed(from.to_owned(), to.to_owned(), node);
        match go {
            Go::Well => {
                world.change(change);
                Ok(())
            }
            Go::Fail(why) => {
                // Old or new, both whole.
                if world.dice.below(2) == 0 {
                    world.change(change);
                }
                Err(why)
            }
        }
    }

    fn copy_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut world = self.world();
        world.read_steps("copy_new")?;
        let bytes = world.bytes(world.node(from)?);
        if world.live.contains_key(to) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let node = world.new_file(to);
        world.append(node, &bytes);
        world.settle(node, Fate::Synced);
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        let mut world = self.world();
        world.read_steps("remove")?;
        world.node(path)?;
        world.change(Change::Gone(path.to_owned()));
        Ok(())
    }

    fn sync_dir(&self, folder: &Path) -> io::Result<()> {
        let mut world = self.world();
        let go = world.step("sync_dir")?;
        let waiting = std::mem::take(&mut world.waiting);
        for change in waiting {
            let ours = change.folder() == folder;
            match (&go, ours) {
                (_, false) => world.waiting.push(change),
                (Go::Well, true) => change.apply(&mut world.kept),
                // A failed sync forgets: such a change may never come to the disk, and the next
                // sync says yes.
                (Go::Fail(_), true) => {
                    if world.dice.below(2) == 0 {
                        world.waiting.push(change);
                    }
                }
            }
        }
        match go {
            Go::Well => Ok(()),
            Go::Fail(why) => Err(why),
        }
    }

    fn lock(&self, path: &Path) -> io::Result<Locking> {
        let mut world = self.world();
        world.read_steps("lock")?;
        let node = match world.live.get(path) {
            Some(node) => *node,
            None => world.new_file(path),
        };
        if !world.locked.insert(node) {
            return Ok(Locking::ByAnother);
        }
        let program = world.program;
        let disk = self.clone();
        Ok(Locking::Held(Guard::new(Held {
            disk,
            node,
            program,
        })))
    }
}

mod tests {
    use super::*;

    const A: &str = "/site/a";

    fn disk(seed: u64) -> Simulated {
        Simulated::with(Path::new(A), b"one", seed)
    }

    fn new(disk: &Simulated, name: &str, bytes: &[u8]) -> Box<dyn OpenFile> {
        let mut file = disk.create_new(Path::new(name), None).unwrap();
        file.append(bytes).unwrap();
        file
    }

    #[test]
    fn what_was_not_synced_may_go_in_every_way_and_what_was_stays() {
        let mut seen = BTreeSet::new();
        for seed in 0..200 {
            let disk = disk(seed);
            let mut file = new(&disk, "/site/b", b"kept");
            file.sync().unwrap();
            disk.sync_dir(Path::new("/site")).unwrap();
            file.append(b"lost").unwrap();
            disk.cut();
            let bytes = disk.files()["b"].clone();
            assert!(bytes.starts_with(b"kept"));
            seen.insert(bytes);
        }
        for wanted in [&b"kept"[..], b"keptlost", b"keptlo", b"kept\0\0\0\0"] {
            assert!(seen.contains(wanted), "{wanted:?} of {seen:?}");
        }
    }

    #[test]
    fn a_name_that_its_folder_did_not_sync_may_go_and_a_rename_may_not_have_been() {
        let (mut names, mut renames) = (BTreeSet::new(), BTreeSet::new());
        for seed in 0..50 {
            let disk = disk(seed);
            new(&disk, "/site/b", b"two").sync().unwrap();
            disk.rename(Path::new("/site/b"), Path::new(A)).unwrap();
            assert_eq!(disk.files()["a"], b"two");
            new(&disk, "/site/c", b"three").sync().unwrap();
            disk.cut();
            renames.insert(disk.files()["a"].clone());
            names.insert(disk.files().contains_key("c"));
        }
        assert_eq!((names.len(), renames.len()), (2, 2));
    }

    #[test]
    fn after_a_failed_sync_the_next_says_yes_and_the_data_is_gone_at_a_cut() {
        for seed in 0..50 {
            let disk = disk(seed);
            let mut file = new(&disk, "/site/b", b"lost");
            disk.sync_dir(Path::new("/site")).unwrap();
            disk.plan(Plan::Fails {
                at: 0,
                errno: EIO,
                for_good: false,
                dies_before: usize::MAX,
            });
            assert!(file.sync().is_err());
            assert_eq!(disk.files()["b"], b"lost");
            file.sync().unwrap();
            file.append(b"kept").unwrap();
            file.sync().unwrap();
            disk.cut();
            assert_eq!(disk.files()["b"], b"\0\0\0\0kept");
        }
    }

    #[test]
    fn a_kill_loses_nothing_and_frees_the_lock() {
        let disk = disk(1);
        let lock = disk.lock(Path::new("/site/lock")).unwrap();
        assert!(matches!(
            disk.lock(Path::new("/site/lock")).unwrap(),
            Locking::ByAnother
        ));
        drop(new(&disk, "/site/b", b"two"));
        disk.kill();
        assert_eq!(disk.files()["b"], b"two");
        let again = disk.lock(Path::new("/site/lock")).unwrap();
        drop(lock);
        assert!(matches!(again, Locking::Held(_)));
        assert!(matches!(
            disk.lock(Path::new("/site/lock")).unwrap(),
            Locking::ByAnother
        ));
    }
}
