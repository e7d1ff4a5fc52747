//! What is told when a site is opened, though it opened well, and entries put into words.

use super::words::{clock, noun};
use crate::quantity::show::{self, few};
use crate::site::{Design, Do, Entry, LineId, NodeId, Ref, Site, SiteId};
use std::path::PathBuf;
use thiserror::Error;

/// So many persons are named.
const MOST_PERSONS: usize = 3;

/// What a copy of the site holds that the site file lacks.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error(
    "{copy:?} is a copy of this site and holds {count} {} that {name} lacks{}", noun(*count, false),
    whose(*readings, by, called.as_deref())
)]
pub struct InCopy {
    /// Its file name.
    pub copy: String,
    /// The site file.
    pub name: String,
    /// How many entries.
    pub count: usize,
    /// So many of them are readings.
    pub readings: usize,
    /// Who made them, each once.
    pub by: Vec<String>,
    /// What the site is called there, where that is another name: two buildings that were begun from
    /// one schedule look like one site.
    pub called: Option<String>,
}

/// Something to tell, though all is well.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Notice {
    /// Entries of an opening that ended without a word are back.
    #[error("{count} {} recovered, the last {last}", noun(*count, *readings))]
    Recovered {
        /// How many.
        count: usize,
        /// They are readings, all of them.
        readings: bool,
        /// The last one in words: `R-03 416 ohm 14:07`.
        last: String,
    },
    /// Entries that stand in a journal only, at a mere look.
    #[error(
        "{count} {} not in the site file yet {} taken from the journal, the last {last}",
        noun(*count, *readings), if *count == 1 { "is" } else { "are" }
    )]
    InJournal {
        /// How many.
        count: usize,
        /// They are readings, all of them.
        readings: bool,
        /// The last one in words.
        last: String,
    },
    /// The sum line does not fit.
    #[error("{name} was changed outside linewright since {since}")]
    ChangedOutside {
        /// The file.
        name: String,
        /// Time of the last entry in it.
        since: String,
    },
    /// A journal's end is cut off.
    #[error(
        "the last line of {journal} is cut off; as far as the disk tells it was never shown as \
         recorded"
    )]
    Torn {
        /// The journal's file name.
        journal: String,
    },
    /// Lines of a journal are damaged.
    #[error(
        "{journal} is damaged: {} lost; every other line of it is used, the file is kept aside",
        lost(lines, *missing)
    )]
    Damaged {
        /// The journal's file name.
        journal: String,
        /// Damaged lines, from 1.
        lines: Vec<usize>,
        /// Lines missing besides.
        missing: u64,
    },
    /// A closed journal holds entries that the file lacks: an older version was put back.
    #[error(
        "{journal} holds {count} {} that {name} lacks: an older version of it was put back; the \
         journal is kept, g j joins what it holds",
        noun(*count, false)
    )]
    Older {
        /// The journal's file name.
        journal: String,
        /// The site file.
        name: String,
        /// How many.
        count: usize,
    },
    /// A journal that cannot be read.
    #[error(
        "{} CANNOT BE READ ({why}): what was recorded there may be MISSING here; it is kept as it \
         is, and read as soon as it can be", journal.display()
    )]
    Unread {
        /// Where it lies.
        journal: PathBuf,
        /// Why.
        why: String,
    },
    /// A copy of the site under another name.
    #[error("{}; the copy stays as it is, g j joins {}", .0, if .0.count == 1 { "it" } else { "them" })]
    Copy(InCopy),
    /// A copy of the site that cannot be read.
    #[error("{copy:?} is a copy of this site and cannot be read: {why}")]
    CopyUnread {
        /// Its file name.
        copy: String,
        /// Why.
        why: String,
    },
    /// This machine's clock is behind what was recorded.
    #[error(
        "this clock says {now}, the newest entry is of {newest}: what is recorded now would stand \
         before it; set the clock, then open it again"
    )]
    ClockBehind {
        /// What it says.
        now: String,
        /// Time of the newest entry.
        newest: String,
    },
    /// More journals than are read at once.
    #[error(
        "{more} journals of {name} are not read yet, 100 are at once: close and open it again; \
         nothing of them is lost"
    )]
    MoreJournals {
        /// The site file.
        name: String,
        /// How many were left.
        more: usize,
    },
    /// A journal of another machine that is not closed and was written lately.
    #[error(
        "{who} on {machine} wrote here at {at} and has not closed: both may record, nothing is \
         lost; what both draw may become a question"
    )]
    WritesElsewhere {
        /// Who.
        who: String,
        /// On which machine.
        machine: String,
        /// When last.
        at: String,
    },
    /// A journal of another site lies here.
    #[error("{journal} belongs to another site ({site}); it is left alone")]
    OtherSite {
        /// The journal's file name.
        journal: String,
        /// Its site.
        site: SiteId,
    },
    /// A file put aside earlier is still there.
    #[error("{file} was put aside earlier and is kept until you remove it")]
    Aside {
        /// Its name.
        file: String,
    },
    /// No lock to be had.
    #[error("no lock can be had in this folder: do not open {name} twice")]
    NoLock {
        /// The site file.
        name: String,
    },
    /// Nothing can be recorded at the moment.
    #[error("nothing can be recorded yet: {why}")]
    NotYet {
        /// Why.
        why: String,
    },
    /// What was recovered could not be saved into the site file; the journals stay.
    #[error("not saved into the site file: {why}; what was recorded is kept in the journal")]
    NotSaved {
        /// Why.
        why: String,
    },
    /// A folder that cannot be synced.
    #[error("this folder cannot promise a reading after a power cut: {why}")]
    NoSync {
        /// Why.
        why: String,
    },
}

/// What a copy holds, so that nobody joins what is not theirs.
fn whose(readings: usize, by: &[String], called: Option<&str>) -> String {
    let readings = match readings {
        0 => "no reading".to_owned(),
        1 => "1 reading".to_owned(),
        n => format!("{n} readings"),
    };
    let called = called.map_or_else(String::new, |it| {
        format!(", and calls the site {it:?}: is it this one?")
    });
    format!(", {readings}, by {}{called}", few(by, MOST_PERSONS))
}

fn lost(lines: &[usize], missing: u64) -> String {
    let numbers: Vec<String> = lines.iter().take(8).map(ToString::to_string).collect();
    let mut parts = Vec::new();
    match lines.len() {
        0 => {}
        1 => parts.push(format!("line {} is", numbers.join(", "))),
        n if n > 8 => parts.push(format!("{n} lines (the first: {}) are", numbers.join(", "))),
        _ => parts.push(format!("lines {} are", numbers.join(", "))),
    }
    match missing {
        0 => {}
        1 => parts.push("a line that is not there any more is".to_owned()),
        n => parts.push(format!("{n} lines that are not there any more are")),
    }
    if parts.is_empty() {
        parts.push("its first line is".to_owned());
    }
    parts.join(", ")
}

/// Tells which readings came back from a journal that was not closed; nothing where none did.
pub(super) fn recovered(site: &Site, new: &[Entry]) -> Option<Notice> {
    let last = new.last()?;
    Some(Notice::Recovered {
        count: new.len(),
        readings: new.iter().all(|entry| is_reading(&entry.what)),
        last: format!("{} {}", entry_words(site, last), clock(site, last.at)),
    })
}

const fn is_reading(what: &Do) -> bool {
    matches!(what, Do::Read(_) | Do::Insulate(_) | Do::Listen(_))
}

fn entry_words(site: &Site, entry: &Entry) -> String {
    let line = |id: &LineId| label(site, &Ref::Line(id.clone()));
    match &entry.what {
        Do::Read(it) => {
            format!("{} {}", line(&it.line), show::value(it.value))
        }
        Do::Insulate(it) => {
            let value = show::insulation(it.value);
            format!("{} insulation {value}", line(&it.line))
        }
        Do::Check(it) => format!("{} check {}", it.instrument, show::ohm(it.value)),
        Do::Listen(it) => {
            let node = |id: &NodeId| label(site, &Ref::Node(id.clone()));
            format!("{} {} {}", line(&it.line), node(&it.at), it.gives.word())
        }
        Do::Repair(it) => format!("{} repair", line(&it.line)),
        Do::Tick(it) => format!("tick {}", it.item),
        Do::Decide(it) => format!("decision on {}", label(site, &it.of)),
        Do::Note(it) => format!("note on {}", label(site, &it.of)),
        Do::Edit(it) => format!("edit of {}", label(site, &it.of)),
        Do::Void(_) => "undo".to_owned(),
        Do::Seal(it) => format!("signature of {}", it.name),
    }
}

fn label(site: &Site, of: &Ref) -> String {
    let label = site.elements().settled(of).and_then(Design::label);
    label.unwrap_or_else(|| of.id()).to_owned()
}
