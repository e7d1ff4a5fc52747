//! The loop's side of storage: the keeper while this opening writes, the watch while another does,
//! and the moves from one to the other.

use super::run::Incoming;
use crate::session::{News, Wish};
use crate::site::{Entry, Site, WriterId};
use crate::storage::{
    Access, Answer, Disk, Files, Keeper, Seen, Store, Who, new_writer, open, save_elsewhere, watch,
};
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
    place: Place,
    keeper: Option<Keeper>,
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
            place,
            keeper: None,
            turn: 0,
            tell,
        };
        match store {
            Some(store) => out.write_to(store, site)?,
            None => out.follow()?,
        }
        Ok(out)
    }

    fn write_to(&mut self, store: Store, site: &Site) -> io::Result<()> {
        self.turn += 1;
        let (turn, tell) = (self.turn, self.tell.clone());
        let keeper = Keeper::spawn_with(store, site.clone(), move |answer| {
            let _ = tell.send(Incoming::Answer(turn, answer));
        })?;
        if let Some(old) = self.keeper.replace(keeper) {
            // Its thread ends by itself, as soon as its disk answers.
            old.close();
        }
        Ok(())
    }

    fn follow(&self) -> io::Result<()> {
        let (turn, tell) = (self.turn, self.tell.clone());
        let files: Arc<dyn Files> = Arc::new(Disk);
        watch(files, self.place.path.clone(), move |seen| {
            tell.send(Incoming::Seen(turn, seen)).is_ok()
        })
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
            Wish::TakeOver => Some(self.take_over(now).unwrap_or_else(News::Refused)),
            Wish::Elsewhere(to) => Some(self.go_to(&to, site, now).unwrap_or_else(News::Refused)),
        }
    }

    fn writer(&self, path: &Path, now: Timestamp) -> WriterId {
        new_writer(path, &self.place.who, now)
    }

    fn take_over(&mut self, now: Timestamp) -> Result<News, String> {
        let Place { path, who } = self.place.clone();
        let writer = self.writer(&path, now);
        let opened =
            open(Arc::new(Disk), &path, &who, now, &writer).map_err(|why| why.to_string())?;
        match opened.access {
            Access::Writes(store) => {
                self.write_to(store, &opened.site)
                    .map_err(|why| why.to_string())?;
                Ok(News::Writes(Box::new(opened.site), writer, None))
            }
            Access::ReadsOnly { held_by } => Err(format!("still read only: {held_by}")),
        }
    }

    fn go_to(&mut self, to: &str, site: &Site, now: Timestamp) -> Result<News, String> {
        let Place { path, who } = self.place.clone();
        let writer = self.writer(Path::new(to), now);
        let files: Arc<dyn Files> = Arc::new(Disk);
        let moved = save_elsewhere(&files, &path, Path::new(to), site, (&who, now, &writer))
            .map_err(|why| format!("not saved there: {why}"))?;
        self.write_to(moved.store, &moved.site)
            .map_err(|why| why.to_string())?;
        let words = moved.path.display().to_string();
        self.place.path = moved.path;
        Ok(News::Writes(Box::new(moved.site), writer, Some(words)))
    }

    /// What the watch saw, as news or as a word.
    pub fn seen(&self, seen: Seen) -> Result<News, String> {
        match seen {
            Seen::Fresh(site) => Ok(News::Fresh(site)),
            Seen::Free => {
                Err("whoever wrote here has closed, or died: g t goes on here".to_owned())
            }
        }
    }
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
