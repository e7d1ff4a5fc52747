//! The words of storage: why it refuses, and what its words are made of.

use super::format1::{ReadError, WriteError};
use super::journal::JournalError;
use crate::site::{Design, Ref, Site, SiteId};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Why storage refuses.
#[derive(Debug, Error)]
pub enum StoreError {
    /// The disk refuses.
    #[error("{} cannot be {doing}: {why}", path.display())]
    Disk {
        /// What was to be done: `read`, `written`, ...
        doing: &'static str,
        /// With what.
        path: PathBuf,
        /// What the system said.
        why: io::Error,
    },
    /// No identity for an opening.
    #[error("{found:?} cannot name an opening: 16 characters of a-z2-7 were wanted")]
    Writer {
        /// What was given.
        found: String,
    },
    /// No such file.
    #[error("there is no {}: a site file was wanted", path.display())]
    Missing {
        /// The path.
        path: PathBuf,
    },
    /// No such file, but journals of it.
    #[error(
        "{} is missing; {entries} entries of it are in the journals beside it: put the site file \
         back (from git or from a copy), they will be read into it",
        path.display()
    )]
    MissingButJournals {
        /// The path.
        path: PathBuf,
        /// Entries in the journals.
        entries: usize,
    },
    /// There is one already.
    #[error("{} is there already; it is not overwritten", path.display())]
    Exists {
        /// The path.
        path: PathBuf,
    },
    /// Neither a file nor a link to one.
    #[error("{} is no regular file", path.display())]
    NotAFile {
        /// The path.
        path: PathBuf,
    },
    /// Another program has it open.
    #[error("{} is open elsewhere: {held_by}", path.display())]
    Held {
        /// The path.
        path: PathBuf,
        /// By whom.
        held_by: String,
    },
    /// The contents are refused.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// The site cannot be put into words.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The site has problems that its file must not have.
    #[error("the site has problems, its file stays as it was: {}", problems.join("; "))]
    Unsound {
        /// All of them.
        problems: Vec<String>,
    },
    /// The journal refuses.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// Another site's file lies there now.
    #[error(
        "{} now holds another site ({found}); it is not overwritten, everything recorded is in \
         the journal", path.display()
    )]
    OtherSite {
        /// The path.
        path: PathBuf,
        /// The other site.
        found: SiteId,
    },
    /// The site file has gone while it was open.
    #[error(
        "{} is gone: g j writes it anew, g e saves elsewhere; everything recorded is in the \
         journal",
        name_of(path)
    )]
    Gone {
        /// The path.
        path: PathBuf,
    },
    /// An older version was put back under us.
    #[error(
        "{} was replaced, it lacks {lacks} {}: g j joins them; not overwritten, everything \
         recorded is in the journal and in a file beside it", name_of(path),
        noun(*lacks, false)
    )]
    Replaced {
        /// The path.
        path: PathBuf,
        /// How many entries it lacks.
        lacks: usize,
    },
}

impl StoreError {
    /// Whether what was handed in is at fault, not the disk or the lock.
    #[must_use]
    pub const fn is_input(&self) -> bool {
        !matches!(
            self,
            Self::Disk { .. }
                | Self::Missing { .. }
                | Self::MissingButJournals { .. }
                | Self::Held { .. }
                | Self::Gone { .. }
                | Self::Journal(_)
        )
    }

    /// What the system said, with what was being done.
    pub(super) fn disk(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |why| Self::Disk { doing, path, why }
    }
}

/// The file's own name: what is said must fit a line.
pub(super) fn name_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.to_string_lossy().into_owned()
}

pub(super) fn noun(count: usize, readings: bool) -> &'static str {
    match (count, readings) {
        (1, true) => "reading",
        (_, true) => "readings",
        (1, false) => "entry",
        (_, false) => "entries",
    }
}

/// A time of day in the site's zone, else in UTC and saying so.
pub(super) fn clock(site: &Site, at: Timestamp) -> String {
    written(site, at, "%H:%M")
}

/// The same with its day.
pub(super) fn day_and_clock(site: &Site, at: Timestamp) -> String {
    written(site, at, "%Y-%m-%d %H:%M")
}

fn written(site: &Site, at: Timestamp, form: &str) -> String {
    let zone = match site.elements().settled(&Ref::Site) {
        Some(Design::Site(it)) => it.time_zone.as_deref(),
        _ => None,
    };
    match zone.and_then(|name| TimeZone::get(name).ok()) {
        Some(zone) => at.to_zoned_datetime(zone).strftime(form).to_string(),
        None => format!("{} UTC", at.strftime(form)),
    }
}
