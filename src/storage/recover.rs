//! What stands on the disk: the site file with every unclosed journal read into it.

use super::files::{FileKind, Files};
use super::format1::{self, LARGEST, ReadError, SiteText, Sum};
use super::journal::{Head, Journal, JournalName, LARGEST_JOURNAL, folder_of, parse_journal};
use super::notice::{Notice, recovered};
use super::replay::replay;
use super::words::{StoreError, day_and_clock, name_of};
use crate::site::{Entry, Log, Site};
use std::ffi::OsString;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How many names beside a site file are looked at.
const MOST_NAMES: usize = 10_000;

/// How many journals of a site are read.
const MOST_JOURNALS: usize = 100;

/// A site file and everything beside it that belongs to it.
pub(super) struct Found {
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// What the sum line says.
    pub sum: Sum,
    /// The site with what the journals add.
    pub site: Site,
    /// What they added, in order.
    pub new: Vec<Entry>,
    /// Journals that are read to the end: they may go once the site file holds everything.
    pub journals: Vec<Beside>,
    /// Entries of closed journals that the file lacks: an older version was put back. Taken in only
    /// when the engineer says so.
    pub older: Vec<Entry>,
    /// The newest unclosed journal's head: who writes here, or did last.
    pub writer: Option<Head>,
    /// A journal that a newer program wrote: nothing here may be written.
    pub newer: Option<String>,
    /// Temporary files left behind.
    pub temps: Vec<PathBuf>,
    /// What there is to say.
    pub notices: Vec<Notice>,
}

/// A journal beside the site file.
pub(super) struct Beside {
    pub name: JournalName,
    pub path: PathBuf,
    pub journal: Journal,
}

impl Beside {
    /// Whether an opening on this machine that holds the lock may tidy it away once the site file
    /// holds all of it. That of another machine may be at work, on a share whose locks do not reach
    /// so far; it goes when it is closed.
    pub fn may_go(&self, machine: &str) -> bool {
        let own = |head: &Head| head.machine == machine;
        self.journal.closed || self.journal.head.as_ref().is_none_or(own)
    }
}

/// Where a path leads: itself, or what a link points to.
pub(super) fn resolve(files: &dyn Files, path: &Path) -> Result<PathBuf, StoreError> {
    let not_a_file = || StoreError::NotAFile {
        path: path.to_owned(),
    };
    match files.stat(path) {
        Ok(stat) => match stat.kind {
            FileKind::File => Ok(path.to_owned()),
            FileKind::Link => {
                let target = stat.target.ok_or_else(not_a_file)?;
                match files.stat(&target) {
                    Ok(stat) if stat.kind == FileKind::File => Ok(target),
                    _ => Err(not_a_file()),
                }
            }
            FileKind::Folder | FileKind::Other => Err(not_a_file()),
        },
        Err(why) if why.kind() == ErrorKind::NotFound => {
            let entries: usize = journals(files, path)
                .unwrap_or_default()
                .read
                .iter()
                .map(|beside| beside.journal.entries.len())
                .sum();
            let path = path.to_owned();
            Err(if entries > 0 {
                StoreError::MissingButJournals { path, entries }
            } else {
                StoreError::Missing { path }
            })
        }
        Err(why) => Err(StoreError::disk("read", path)(why)),
    }
}

/// Reads the site and its journals. Nothing is written. `patient` looks at a file again whose sum
/// does not fit, since git writes files in place.
pub(super) fn find(files: &dyn Files, path: &Path, patient: bool) -> Result<Found, StoreError> {
    let name = name_of(path);
    let (bytes, text) = read_site(files, path, patient)?;
    let SiteText { site, sum } = text;
    let mut notices = Vec::new();
    if sum != Sum::Right {
        let last = site.log().entries().iter().map(|entry| entry.at).max();
        notices.push(Notice::ChangedOutside {
            name: name.clone(),
            since: last.map_or_else(|| "it was made".to_owned(), |at| day_and_clock(&site, at)),
        });
    }
    let mut out = Found {
        bytes,
        sum,
        site,
        new: Vec::new(),
        journals: Vec::new(),
        older: Vec::new(),
        writer: None,
        newer: None,
        temps: Vec::new(),
        notices,
    };
    let (temps, asides) = leftovers(files, path)?;
    out.temps = temps;
    let mut waiting = Vec::new();
    let Journals { read, unread, more } = journals(files, path)?;
    for beside in read {
        out.take(&name, beside, &mut waiting);
    }
    out.notices.extend(unread);
    if more > 0 {
        out.notices.push(Notice::MoreJournals { name, more });
    }
    if !waiting.is_empty() {
        (out.site, out.new) = replay(&out.site, waiting);
    }
    out.notices.extend(recovered(&out.site, &out.new));
    let asides = asides.into_iter().map(|file| Notice::Aside { file });
    out.notices.extend(asides);
    Ok(out)
}

impl Found {
    fn take(&mut self, site_name: &str, beside: Beside, waiting: &mut Vec<Entry>) {
        let file = name_of(&beside.path);
        let journal = &beside.journal;
        if journal.newer.is_some() {
            self.newer = Some(file);
            return;
        }
        if let Some(head) = &journal.head {
            if head.site != *self.site.id() {
                let site = head.site.clone();
                let journal = file;
                self.notices.push(Notice::OtherSite { journal, site });
                return;
            }
            if !journal.closed && self.writer.as_ref().is_none_or(|other| other.at < head.at) {
                self.writer = Some(head.clone());
            }
        }
        if journal.torn && !journal.closed && journal.head.is_some() {
            let journal = file.clone();
            self.notices.push(Notice::Torn { journal });
        }
        if !journal.is_sound() {
            self.notices.push(Notice::Damaged {
                journal: file.clone(),
                lines: journal.damaged.clone(),
                missing: journal.missing,
            });
        }
        if journal.closed {
            let lacks = lacking(self.site.log(), &journal.entries).len();
            if lacks > 0 {
                self.older.extend(journal.entries.iter().cloned());
                self.notices.push(Notice::Older {
                    journal: file,
                    name: site_name.to_owned(),
                    count: lacks,
                });
                return;
            }
        } else {
            waiting.extend(journal.entries.iter().cloned());
        }
        self.journals.push(beside);
    }
}

/// The entries that a log does not hold.
pub(super) fn lacking<'a>(log: &Log, entries: &'a [Entry]) -> Vec<&'a Entry> {
    let mut copy = log.clone();
    let mut out: Vec<&Entry> = entries.iter().collect();
    out.retain(|entry| copy.add((*entry).clone()));
    out
}

fn read_site(
    files: &dyn Files,
    path: &Path,
    patient: bool,
) -> Result<(Vec<u8>, SiteText), StoreError> {
    let name = path.display().to_string();
    let read = || -> Result<Vec<u8>, StoreError> {
        files.read(path, LARGEST).map_err(|why| match why.kind() {
            ErrorKind::NotFound => StoreError::Missing {
                path: path.to_owned(),
            },
            _ => StoreError::disk("read", path)(why),
        })
    };
    let mut bytes = read()?;
    let mut text = format1::read(&name, &bytes);
    for _ in 0..20 {
        let settled = match &text {
            Ok(text) => text.sum == Sum::Right,
            // Words of a newer format or of git do not come from half a file.
            Err(ReadError::Newer { .. } | ReadError::Conflict { .. }) => true,
            Err(_) => false,
        };
        if settled || !patient {
            break;
        }
        std::thread::sleep(Duration::from_millis(100));
        let again = read()?;
        if again == bytes {
            break;
        }
        bytes = again;
        text = format1::read(&name, &bytes);
    }
    Ok((bytes, text?))
}

pub(super) fn names(files: &dyn Files, path: &Path) -> Result<Vec<OsString>, StoreError> {
    let folder = folder_of(path);
    let site = path.file_name().unwrap_or_default().as_encoded_bytes();
    let mut names = files
        .list(folder)
        .map_err(StoreError::disk("listed", folder))?;
    // Counted are only those that may belong to the site: in a crowded folder no journal is missed.
    names.retain(|name| name.as_encoded_bytes().starts_with(site));
    names.truncate(MOST_NAMES);
    Ok(names)
}

/// Temporary files of earlier openings, and what was put aside.
fn leftovers(files: &dyn Files, path: &Path) -> Result<(Vec<PathBuf>, Vec<String>), StoreError> {
    let site = path.file_name().unwrap_or_default();
    let (mut temps, mut asides) = (Vec::new(), Vec::new());
    for file in names(files, path)? {
        if let Some(name) = JournalName::of_file(site, "tmp", &file) {
            temps.push(name.path(path, "tmp"));
        } else if JournalName::of_file(site, "aside", &file).is_some() {
            asides.push(file.to_string_lossy().into_owned());
        }
    }
    Ok((temps, asides))
}

/// The journals of a site.
#[derive(Default)]
struct Journals {
    read: Vec<Beside>,
    /// Those that cannot be read, and why: kept as they are, and what they hold may be missing.
    unread: Vec<Notice>,
    /// How many there are over what is read at once.
    more: usize,
}

fn journals(files: &dyn Files, path: &Path) -> Result<Journals, StoreError> {
    let site = path.file_name().unwrap_or_default();
    let mut out = Journals::default();
    for file in names(files, path)? {
        let Some(name) = JournalName::of_file(site, "journal", &file) else {
            continue;
        };
        if out.read.len() == MOST_JOURNALS {
            out.more += 1;
            continue;
        }
        let path = name.path(path, "journal");
        let read = match files.stat(&path) {
            Ok(stat) if stat.kind == FileKind::File => files.read(&path, LARGEST_JOURNAL),
            Ok(_) => Err(std::io::Error::other("it is no regular file")),
            Err(why) => Err(why),
        };
        match read {
            Ok(bytes) => out.read.push(Beside {
                journal: parse_journal(&name, &bytes),
                name,
                path,
            }),
            // Tidied away by another opening since the names were listed.
            Err(why) if why.kind() == ErrorKind::NotFound => {}
            Err(why) => out.unread.push(Notice::Unread {
                journal: path,
                why: why.to_string(),
            }),
        }
    }
    Ok(out)
}
