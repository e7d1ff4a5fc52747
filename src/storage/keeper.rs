//! Storage on a thread of its own: a slow disk never holds up a key.
//!
//! Never here: what a key means, the screen.

use super::fit::unfit_entries;
use super::notice::Notice;
use super::replay::apply;
use super::store::Store;
use super::words::StoreError;
use crate::site::{Entry, EntryId, Site};
use std::collections::HashSet;
use std::io;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;
use thiserror::Error;

/// How often an idle keeper looks whether its journal is still there.
const LOOK_EVERY: Duration = Duration::from_secs(1);

/// What the keeper is asked for.
#[derive(Debug)]
enum Request {
    Record(Vec<Entry>),
    Save,
    SaveNow(Sender<()>),
    TakeIn,
    Close,
}

/// What the keeper answers.
#[derive(Debug)]
pub enum Answer {
    /// These entries are on the disk. Only now the screen may say so.
    Recorded(Vec<EntryId>),
    /// These are not. Given again, they keep their ids, so that nothing is counted twice.
    NotRecorded {
        /// The entries.
        entries: Vec<Entry>,
        /// Why, in words.
        why: String,
    },
    /// These can never be recorded as they are, and why: the site file could not hold them.
    Unfit(Vec<(EntryId, String)>),
    /// Asked to join what was offered, it found copies that were not: they are offered, and nothing is joined yet.
    Offered(Vec<Notice>),
    /// What was offered is joined: the site, and how many entries were new.
    TakenIn(Box<Site>, usize),
    /// It is not.
    NotTakenIn(String),
    /// The site file holds everything recorded.
    Saved,
    /// It does not; the journal does.
    NotSaved(String),
    /// It does not, since another hand changed what lies there; what can be done about it.
    Displaced(String),
    /// Another hand changed the site file; this is what it and ours are together.
    Joined(Box<Site>),
    /// The last answer: everything asked before was answered, the lock is free.
    Closed,
}

/// The keeper's thread has ended; what was sent is returned.
#[derive(Debug, Error)]
#[error("storage has stopped: {} entries are not recorded", entries.len())]
pub struct KeeperGone {
    /// What was to be recorded.
    pub entries: Vec<Entry>,
}

/// The handle to the keeper's thread. Its requests never wait for the disk.
#[derive(Debug)]
pub struct Keeper {
    requests: Sender<Request>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Starts the thread. Answers come in the order of the requests.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn spawn(store: Store, site: Site) -> io::Result<(Self, Receiver<Answer>)> {
        let (tell, answers) = channel();
        let keeper = Self::spawn_with(store, site, move |answer| {
            // Nobody listens any more: what is recorded is on the disk all the same.
            let _ = tell.send(answer);
        })?;
        Ok((keeper, answers))
    }

    /// The same with the answers going into a function, such as one that sends them on as events.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn spawn_with(
        store: Store,
        site: Site,
        tell: impl FnMut(Answer) + Send + 'static,
    ) -> io::Result<Self> {
        let (requests, asked) = channel();
        let thread = std::thread::Builder::new()
            .name("storage".to_owned())
            .spawn(move || work(store, site, &asked, tell))?;
        Ok(Self {
            requests,
            thread: Some(thread),
        })
    }

    /// Asks for entries to be recorded.
    ///
    /// # Errors
    /// With the entries, when the thread has ended.
    pub fn record(&self, entries: Vec<Entry>) -> Result<(), KeeperGone> {
        self.requests
            .send(Request::Record(entries))
            .map_err(|sent| match sent.0 {
                Request::Record(entries) => KeeperGone { entries },
                _ => KeeperGone {
                    entries: Vec::new(),
                },
            })
    }

    /// Asks for the site file to be brought up to date.
    pub fn save(&self) {
        // A thread that has ended said so at the last record.
        let _ = self.requests.send(Request::Save);
    }

    /// Asks for the same and waits for it, so long and no longer: the journal holds everything.
    pub fn save_within(&self, patience: Duration) {
        let (tell, done) = channel();
        if self.requests.send(Request::SaveNow(tell)).is_ok() {
            let _ = done.recv_timeout(patience);
        }
    }

    /// Asks for what was offered to be joined: entries of closed journals that the file lacked, and
    /// a version that was put in the file's place.
    pub fn take_in(&self) {
        let _ = self.requests.send(Request::TakeIn);
    }

    /// Asks for the end: a last save, then [`Answer::Closed`].
    pub fn close(&self) {
        let _ = self.requests.send(Request::Close);
    }

    /// Asks for the end and waits for it.
    pub fn join(mut self) {
        self.close();
        if let Some(thread) = self.thread.take() {
            // A panic there was told by the panic hook.
            let _ = thread.join();
        }
    }
}

fn work(mut store: Store, mut site: Site, asked: &Receiver<Request>, mut tell: impl FnMut(Answer)) {
    let mut looked_well = true;
    let mut refused = HashSet::new();
    loop {
        match asked.recv_timeout(LOOK_EVERY) {
            Ok(Request::Record(entries)) => {
                record(&mut store, &mut site, &mut refused, entries, &mut tell);
            }
            Ok(Request::Save) => {
                save(&mut store, &mut site, &mut tell);
            }
            Ok(Request::SaveNow(done)) => {
                save(&mut store, &mut site, &mut tell);
                // Whoever waited may have gone on.
                let _ = done.send(());
            }
            Ok(Request::TakeIn) => take_in(&mut store, &mut site, &mut tell),
            Ok(Request::Close) => {
                close(store, site, &mut tell);
                return;
            }
            Err(RecvTimeoutError::Timeout) => {
                let look = store.look();
                if let Err(why) = &look
                    && looked_well
                {
                    tell(Answer::Displaced(format!(
                        "the journal is gone, what was recorded is in memory alone ({why}): g e \
                         saves it elsewhere"
                    )));
                }
                looked_well = look.is_ok();
            }
            // The handle was dropped without a word. The journal holds everything; the next
            // opening reads it.
            Err(RecvTimeoutError::Disconnected) => return,
        }
    }
}

/// Nothing is joined that was not told first.
fn take_in(store: &mut Store, site: &mut Site, tell: &mut impl FnMut(Answer)) {
    let found = store.look_for_copies(site);
    if !found.is_empty() {
        return tell(Answer::Offered(found));
    }
    match store.take_in(site) {
        Ok((joined, new)) => {
            *site = joined.clone();
            tell(Answer::TakenIn(Box::new(joined), new));
            save(store, site, tell);
        }
        Err(why) => tell(Answer::NotTakenIn(why.to_string())),
    }
}

/// `refused` are entries that the disk refused and that have not come again yet.
fn record(
    store: &mut Store,
    site: &mut Site,
    refused: &mut HashSet<EntryId>,
    mut entries: Vec<Entry>,
    tell: &mut impl FnMut(Answer),
) {
    for entry in &entries {
        refused.remove(&entry.id);
    }
    let unfit = unfit_entries(site, &entries);
    if !unfit.is_empty() && !refused.is_empty() {
        // It may hang on them: typed ahead of the disk's answer, it comes again with them.
        refused.extend(entries.iter().map(|entry| entry.id.clone()));
        let why = "the disk refused what this hangs on".to_owned();
        tell(Answer::NotRecorded { entries, why });
        return;
    }
    if !unfit.is_empty() {
        entries.retain(|entry| !unfit.iter().any(|(id, _)| *id == entry.id));
        tell(Answer::Unfit(unfit));
    }
    if entries.is_empty() {
        return;
    }
    match store.record(&entries) {
        Ok(()) => {
            let ids = entries.iter().map(|entry| entry.id.clone()).collect();
            apply(site, entries);
            tell(Answer::Recorded(ids));
        }
        Err(why) => {
            let why = why.to_string();
            refused.extend(entries.iter().map(|entry| entry.id.clone()));
            tell(Answer::NotRecorded { entries, why });
        }
    }
}

/// True when the site file holds everything.
fn save(store: &mut Store, site: &mut Site, tell: &mut impl FnMut(Answer)) -> bool {
    match store.checkpoint(site) {
        Ok(joined) => {
            if let Some(joined) = joined {
                *site = joined.clone();
                tell(Answer::Joined(Box::new(joined)));
            }
            tell(Answer::Saved);
            true
        }
        Err(why) => {
            let words = why.to_string();
            tell(match why {
                StoreError::Replaced { .. } | StoreError::Gone { .. } => Answer::Displaced(words),
                _ => Answer::NotSaved(words),
            });
            false
        }
    }
}

fn close(mut store: Store, mut site: Site, tell: &mut impl FnMut(Answer)) {
    // Only after a save that went well the journal is closed; else the next opening replays it.
    if save(&mut store, &mut site, tell)
        && let Err(why) = store.close(&site)
    {
        tell(Answer::NotSaved(why.to_string()));
    }
    tell(Answer::Closed);
}
