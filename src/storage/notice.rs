//! What is told when a site is opened, though it opened well.

use super::words::noun;
use crate::quantity::show::few;
use crate::site::SiteId;
use std::path::PathBuf;
use thiserror::Error;

/// So many persons are named.
const MOST_PERSONS: usize = 3;

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
    #[error(
        "{copy:?} is a copy of this site and holds {count} {} that {name} lacks{}; the copy stays as \
         it is, g j joins {}", noun(*count, false), whose(*readings, by, called.as_deref()),
        if *count == 1 { "it" } else { "them" }
    )]
    Copy {
        /// Its file name.
        copy: String,
        /// The site file.
        name: String,
        /// How many.
        count: usize,
        /// So many of them are readings.
        readings: usize,
        /// Who made them, each once.
        by: Vec<String>,
        /// What the site is called there, where that is another name: two buildings that were begun from
        /// one schedule look like one site.
        called: Option<String>,
    },
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

impl Notice {
    /// Whether it offers what a copy holds: as long as the copy lies there it is so at every opening, and who was
    /// told once may want it so.
    #[must_use]
    pub const fn is_offer(&self) -> bool {
        matches!(self, Self::Copy { .. })
    }
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
