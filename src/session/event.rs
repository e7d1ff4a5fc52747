//! What comes into the application, and what it asks of the outside world.

use super::{Ahead, Key, News, Offer, Print, Printed, Reckoned, Wish};
use crate::site::{Entry, EntryId, Site};
use jiff::Timestamp;

/// What comes in.
#[derive(Clone, Debug)]
pub enum Event {
    /// A key, with the time it was pressed.
    Key(Key, Timestamp),
    /// It is this time: what [`Session::waits_until`](super::Session::waits_until) told of is due.
    Waited(Timestamp),
    /// All that there is to tell of the opening was told.
    Opened,
    /// The screen's size changed: columns, rows.
    Resize(usize, usize),
    /// These entries are on the disk.
    Recorded(Vec<EntryId>),
    /// These entries are not on the disk, and why.
    NotRecorded(Vec<EntryId>, String),
    /// Something to be said on the message line.
    Say(String),
    /// What there is to say of a site at its opening, first things first.
    Told(Vec<String>),
    /// What copies in the folder hold that the site lacks, all of it, at its opening or when it is asked for: told
    /// once, and again when it changes.
    Offered(Vec<Offer>),
    /// Text pasted in one go.
    Paste(String),
    /// Another hand changed the site file: this is what it and ours are together.
    Replaced(Box<Site>),
    /// Nothing else to do: something may be reckoned ahead.
    Idle,
    /// What was sent away to be reckoned came back.
    Reckoned(Box<Reckoned>),
    /// How it stands with the files.
    News(News),
    /// What became of a record that was asked for.
    Printed(Printed),
}

/// What the outside world is asked to do.
#[derive(Clone, Debug)]
pub enum Effect {
    /// Put these entries on the disk; answered by `Recorded` or `NotRecorded`.
    Record(Vec<Entry>),
    /// Keep this text as the place to stand.
    Remember(String),
    /// Leave.
    Leave,
    /// There is more to reckon: say `Idle` again as soon as no key waits.
    GoOn,
    /// Do this on another thread; answered by `Reckoned`.
    Reckon(Box<Ahead>),
    /// What the engineer wants done about the files; answered by `News`.
    Wish(Wish),
    /// Write this record, on another thread; answered by `Printed`.
    Print(Box<Print>),
}
