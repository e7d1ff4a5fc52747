//! The loop's side of storage: the keeper while this opening writes, the watch while another does,
//! and the moves from one to the other.

use super::moving::{Landing, Move};
use super::run::Incoming;
use crate::session::{Event, News, Offer, Wish};
use crate::site::{Entry, Site};
use crate::storage::{Answer, Disk, Files, Keeper, Notice, Seen, Store, Watch, Who, watch};
use jiff::Timestamp;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::Sender;
use std::time::Duration;

/// Where the site lies and who sits here.
#[derive(Clone, Debug)]
pub struct Place {
    /// The site file.
    pub path: PathBuf,
    /// Who opens it.
    pub who: Who,
}

/// Who writes, and whose answers count.
pub(super) struct Keeping {
    files: Arc<dyn Files>,
    place: Place,
    keeper: Option<Keeper>,
    /// Follows whoever writes, as long as that is another.
    watch: Option<Watch>,
    /// A move is on its way.
    moving: bool,
    /// Grows when all writing moves: what an earlier keeper still answers is no news.
    turn: usize,
    tell: Sender<Incoming>,
}

impl Keeping {
    /// Starts the keeper, or the watch where there is nothing to write to.
    pub fn begin(
        place: Place,
        store: Option<Store>,
        site: &Site,
        tell: Sender<Incoming>,
    ) -> io::Result<Self> {
        let mut out = Self {
            files: Arc::new(Disk),
            place,
            keeper: None,
            watch: None,
            moving: false,
            turn: 0,
            tell,
        };
        match store {
            Some(store) => out.write_to(store, site)?,
            None => out.follow(site)?,
        }
        Ok(out)
    }

    fn write_to(&mut self, store: Store, site: &Site) -> io::Result<()> {
        self.turn += 1;
        let (turn, tell) = (self.turn, self.tell.clone());
        let keeper = Keeper::spawn_with(store, site.clone(), move |answer| {
            let _ = tell.send(Incoming::Answer(turn, answer));
        })?;
        self.watch = None;
        if let Some(old) = self.keeper.replace(keeper) {
            // Its thread ends by itself, as soon as its disk answers.
            old.close();
        }
        Ok(())
    }

    fn follow(&mut self, site: &Site) -> io::Result<()> {
        let (turn, tell) = (self.turn, self.tell.clone());
        let (files, path) = (self.files.clone(), self.place.path.clone());
        let watched = watch(files, path, site.clone(), move |seen| {
            tell.send(Incoming::Seen(turn, seen)).is_ok()
        })?;
        self.watch = Some(watched);
        Ok(())
    }

    /// The site file.
    pub fn path(&self) -> &Path {
        &self.place.path
    }

    /// Whether what comes from this turn is still news.
    pub const fn is_current(&self, turn: usize) -> bool {
        turn == self.turn
    }

    /// Whether entries can be recorded.
    pub const fn writes(&self) -> bool {
        self.keeper.is_some()
    }

    /// Sends entries to the disk; returns them when nobody takes them.
    pub fn record(&self, entries: Vec<Entry>) -> Option<Vec<Entry>> {
        match &self.keeper {
            Some(keeper) => keeper.record(entries).err().map(|gone| gone.entries),
            None => Some(entries),
        }
    }

    /// Asks for the site file to be brought up to date.
    pub fn save(&self) {
        if let Some(keeper) = &self.keeper {
            keeper.save();
        }
    }

    /// The same, waiting so long and no longer.
    pub fn save_within(&self, patience: Duration) {
        if let Some(keeper) = &self.keeper {
            keeper.save_within(patience);
        }
    }

    /// Asks for the end; the keeper, to be waited for.
    pub fn close(&mut self) -> Option<Keeper> {
        let keeper = self.keeper.take()?;
        keeper.close();
        Some(keeper)
    }

    /// Does what the engineer wants done about the files.
    pub fn meet(&mut self, wish: Wish, site: &Site, now: Timestamp) -> Option<News> {
        match wish {
            Wish::Join => {
                if let Some(keeper) = &self.keeper {
                    keeper.take_in();
                }
                None
            }
            _ if self.moving => Some(News::Refused(
                "still at the last one: that place has not answered yet".to_owned(),
            )),
            wish => self
                .set_out(wish, site, now)
                .err()
                .map(|why| News::Refused(why.to_string())),
        }
    }

    /// Whether a move is on its way.
    pub const fn is_moving(&self) -> bool {
        self.moving
    }

    fn set_out(&mut self, wish: Wish, site: &Site, now: Timestamp) -> io::Result<()> {
        let asked = Move {
            files: Arc::clone(&self.files),
            place: self.place.clone(),
            wish,
            site: site.clone(),
            now,
        };
        let tell = self.tell.clone();
        let work = move || {
            if let Some(landing) = asked.make() {
                // Nobody listens any more: the engineer has left.
                let _ = tell.send(Incoming::Arrived(Box::new(landing)));
            }
        };
        std::thread::Builder::new()
            .name("moving".to_owned())
            .spawn(work)?;
        self.moving = true;
        Ok(())
    }

    /// A move came to its end: from now on all writing goes there, or goes on where it went.
    pub fn arrived(&mut self, landing: Result<Landing, String>) -> News {
        self.moving = false;
        landing
            .and_then(|it| self.land(it))
            .unwrap_or_else(News::Refused)
    }

    fn land(&mut self, landing: Landing) -> Result<News, String> {
        self.write_to(landing.store, &landing.site)
            .map_err(|why| why.to_string())?;
        let mut words = match &landing.path {
            Some(path) => format!(
                "saved in {}; everything goes there from now on",
                path.display()
            ),
            None => "taken over: you write here now".to_owned(),
        };
        for notice in landing.notices {
            words = format!("{words}; {notice}");
        }
        let elsewhere = landing.path.is_some();
        if let Some(path) = landing.path {
            self.place.path = path;
        }
        let (site, writer) = (Box::new(landing.site), landing.writer);
        Ok(News::Writes {
            site,
            writer,
            elsewhere,
            words,
        })
    }
}

/// What the watch saw.
pub(super) fn event_of(seen: Seen) -> Event {
    match seen {
        Seen::Fresh(site) => Event::News(News::Fresh(site)),
        Seen::Free => {
            Event::Say("whoever wrote here has closed, or died: g t goes on here".to_owned())
        }
    }
}

/// What copies hold, out of what there is to say of a place.
pub fn offers(notices: &[Notice]) -> Vec<Offer> {
    let offer = |notice: &Notice| match notice {
        Notice::Copy(copy) => Some(Offer {
            holds: copy.to_string(),
            told: notice.to_string(),
        }),
        _ => None,
    };
    notices.iter().filter_map(offer).collect()
}

/// An answer of the keeper that is news of the files and of no entry.
pub(super) fn news_of(answer: Answer) -> Option<News> {
    match answer {
        Answer::Unfit(refused) => Some(News::Unfit(refused)),
        Answer::TakenIn(site, new) => Some(News::Joined(site, new)),
        Answer::NotTakenIn(why) => Some(News::Refused(why)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::{Do, Note, Ref};
    use crate::storage::{Access, Locking, OpenFile, Stat, create, new_writer, open};
    use std::ffi::OsString;
    use std::sync::mpsc::{Receiver, channel};
    use std::sync::{Mutex, MutexGuard};

    /// The disk with a folder that does not answer before somebody lets go of it.
    struct Hung {
        folder: PathBuf,
        held: Arc<Mutex<()>>,
    }

    impl Hung {
        fn waits(&self, path: &Path) -> Option<MutexGuard<'_, ()>> {
            path.starts_with(&self.folder)
                .then(|| self.held.lock().unwrap())
        }
    }

    impl Files for Hung {
        fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
            let _held = self.waits(path);
            Disk.read(path, limit)
        }
        fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
            let _held = self.waits(folder);
            Disk.list(folder)
        }
        fn stat(&self, path: &Path) -> io::Result<Stat> {
            let _held = self.waits(path);
            Disk.stat(path)
        }
        fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn OpenFile>> {
            Disk.create_new(path, like)
        }
        fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
            Disk.rename(from, to)
        }
        fn copy_new(&self, from: &Path, to: &Path) -> io::Result<()> {
            Disk.copy_new(from, to)
        }
        fn remove(&self, path: &Path) -> io::Result<()> {
            Disk.remove(path)
        }
        fn sync_dir(&self, folder: &Path) -> io::Result<()> {
            Disk.sync_dir(folder)
        }
        fn lock(&self, path: &Path) -> io::Result<Locking> {
            Disk.lock(path)
        }
    }

    fn next(incoming: &Receiver<Incoming>) -> Incoming {
        incoming.recv_timeout(Duration::from_secs(20)).unwrap()
    }

    #[test]
    fn a_place_that_does_not_answer_holds_up_neither_the_loop_nor_a_reading() {
        let folder = tempfile::tempdir().unwrap();
        let there = tempfile::tempdir().unwrap();
        let path = folder.path().join("S.ron");
        let who = Who {
            name: "engineer A".into(),
            machine: "desk".into(),
        };
        let now = Timestamp::UNIX_EPOCH;
        let writer = new_writer(&path, &who, now);
        create(&Disk, &path, &Site::begun("Hall", &writer)).unwrap();
        let opened = open(Arc::new(Disk), &path, &who, now, &writer).unwrap();
        let Access::Writes(store) = opened.access else {
            panic!("read only")
        };
        let (tell, incoming) = channel();
        let place = Place { path, who };
        let mut keeping = Keeping::begin(place, Some(store), &opened.site, tell).unwrap();
        let held = Arc::new(Mutex::new(()));
        let hangs = held.lock().unwrap();
        keeping.files = Arc::new(Hung {
            folder: there.path().to_owned(),
            held: Arc::clone(&held),
        });
        let to = || Wish::Elsewhere(there.path().display().to_string());
        assert!(keeping.meet(to(), &opened.site, now).is_none());
        assert!(keeping.is_moving());
        let again = keeping.meet(to(), &opened.site, now);
        assert!(matches!(again, Some(News::Refused(_))));
        let entry = Entry {
            at: now,
            id: format!("{writer}-1").into(),
            by: "engineer A".into(),
            what: Do::Note(Note {
                of: Ref::Site,
                text: "goes on".into(),
            }),
            act: None,
            row: None,
            corrects: None,
            why: None,
        };
        assert!(keeping.record(vec![entry]).is_none());
        let answer = next(&incoming);
        assert!(
            matches!(&answer, Incoming::Answer(turn, Answer::Recorded(ids))
            if ids.len() == 1 && keeping.is_current(*turn))
        );
        drop(hangs);
        let Incoming::Arrived(landing) = next(&incoming) else {
            panic!("no landing")
        };
        let news = keeping.arrived(*landing);
        assert!(matches!(&news, News::Writes { elsewhere: true, words, .. }
            if words.starts_with("saved in ")));
        assert!(there.path().join("S.ron").exists() && !keeping.is_moving());
        if let Some(keeper) = keeping.close() {
            keeper.join();
        }
    }
}
