//! Two copies of a site and what they came from, as one site.
//!
//! Designs are joined one by one, entries are united; the order of the two sides cannot show. What
//! does not fit together afterwards is a question, never a refusal: copies that are sound can always
//! be joined.

use super::files::Files;
use super::format1::{self, LARGEST, ReadError};
use super::open::hold;
use super::recover::{lacking, resolve};
use super::store::{join, problems_of};
use super::whole::overwrite;
use super::words::{StoreError, name_of};
use crate::site::{Design, Elements, Log, Ref, Site, SiteId, Stamp};
use std::collections::HashSet;
use std::fmt;
use std::io::ErrorKind;
use std::path::Path;
use thiserror::Error;

/// What git calls the files it hands to a merge driver: nobody else opens them.
const GIT_TEMPORARY: &str = ".merge_file_";

/// Why copies cannot be joined. All of them stay as they are.
#[derive(Debug, Error)]
pub enum MergeError {
    /// One of them cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// They are copies of different sites.
    #[error(
        "{name}, given as {role}, is another site: a copy of {found} was found, one of {wanted} as \
         {ours} is was wanted; only copies of one site can be joined, nothing was changed"
    )]
    OtherSite {
        /// The file.
        name: String,
        /// Which of the three it was given as.
        role: &'static str,
        /// Its site.
        found: Box<Called>,
        /// The file that is joined into.
        ours: String,
        /// Its site.
        wanted: Box<Called>,
    },
    /// Together they are no sound site: a defect, or a forged file.
    #[error("joined, the site would have problems: {}", problems.join("; "))]
    Unsound {
        /// All of them.
        problems: Vec<String>,
    },
    /// The disk or the lock refuses.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl MergeError {
    /// Whether what was handed in is at fault, not the disk or the lock.
    #[must_use]
    pub const fn is_input(&self) -> bool {
        match self {
            Self::Store(error) => error.is_input(),
            _ => true,
        }
    }
}

/// A site in a message: what people call it, and its id, since two may have one name.
#[derive(Debug)]
pub struct Called {
    label: String,
    id: SiteId,
}

impl Called {
    fn of(site: &Site) -> Self {
        Self {
            label: site.label().to_owned(),
            id: site.id().clone(),
        }
    }
}

impl fmt::Display for Called {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} ({})", self.label, self.id)
    }
}

/// Copies joined.
#[derive(Debug)]
pub struct Merged {
    /// The site.
    pub site: Site,
    /// How many questions stand in it.
    pub questions: usize,
    /// Entries of the base that a side lacks: they are kept. The side's name, and how many.
    pub kept: Vec<(String, usize)>,
}

/// A copy of a site: what messages call it, and its bytes.
pub type Copy<'a> = (&'a str, &'a [u8]);

/// Joins `ours` and `theirs`, which both came from `base`. An empty `base` means that they have no
/// common ancestor: where their items differ, a question stands.
///
/// # Errors
/// When one cannot be read, they are not one site, or joined they would have problems.
pub fn merge(base: Copy<'_>, ours: Copy<'_>, theirs: Copy<'_>) -> Result<Merged, MergeError> {
    let (ours_name, base_name, theirs_name) = (ours.0, base.0, theirs.0);
    let ours = format1::read(ours.0, ours.1)?.site;
    let theirs = format1::read(theirs.0, theirs.1)?.site;
    let base = if base.1.is_empty() {
        Site::new(ours.id().clone(), Elements::default(), Log::default())
    } else {
        format1::read(base.0, base.1)?.site
    };
    let given = [
        (base_name, "the base", &base),
        (theirs_name, "theirs", &theirs),
    ];
    for (name, role, site) in given {
        if site.id() != ours.id() {
            return Err(MergeError::OtherSite {
                name: name.to_owned(),
                role,
                found: Box::new(Called::of(site)),
                ours: ours_name.to_owned(),
                wanted: Box::new(Called::of(&ours)),
            });
        }
    }
    let site = join(&base, &ours, &theirs);
    let problems = problems_of(&site);
    if !problems.is_empty() {
        return Err(MergeError::Unsound { problems });
    }
    let sides = [(ours_name, &ours), (theirs_name, &theirs)];
    let kept = sides
        .map(|(name, side)| {
            let lacks = lacking(side.log(), base.log().entries());
            (name.to_owned(), lacks.len())
        })
        .into_iter()
        .filter(|(_, lacks)| *lacks > 0)
        .collect();
    Ok(Merged {
        questions: site.elements().question_count() + site.log().rivals().len(),
        site,
        kept,
    })
}

/// Joins three files into the second, which is replaced whole or not at all; a link stays, its
/// target is replaced.
///
/// # Errors
/// As [`merge`]; also when another program has `ours` open, or the disk refuses.
pub fn merge_files(
    files: &dyn Files,
    base: &Path,
    ours: &Path,
    theirs: &Path,
) -> Result<Merged, MergeError> {
    let target = resolve(files, ours)?;
    let (base, theirs) = (Loaded::of(files, base)?, Loaded::of(files, theirs)?);
    let mut own = Loaded::of(files, ours)?;
    // Once before the lock: what is refused leaves nothing beside the file.
    let mut merged = merge(base.copy(), own.copy(), theirs.copy())?;
    let _lock = lock(files, &target)?;
    let now = Loaded::of(files, ours)?;
    if now.bytes != own.bytes {
        own = now;
        merged = merge(base.copy(), own.copy(), theirs.copy())?;
    }
    overwrite(files, &target, &merged.site)?;
    Ok(merged)
}

struct Loaded {
    name: String,
    bytes: Vec<u8>,
}

impl Loaded {
    fn of(files: &dyn Files, path: &Path) -> Result<Self, StoreError> {
        let found = resolve(files, path)?;
        let bytes = files
            .read(&found, LARGEST)
            .map_err(|why| match why.kind() {
                ErrorKind::FileTooLarge => StoreError::Read(ReadError::TooLarge {
                    name: path.display().to_string(),
                    bytes: files.stat(&found).map_or(0, |stat| stat.len),
                }),
                _ => StoreError::disk("read", path)(why),
            })?;
        let name = path.display().to_string();
        Ok(Self { name, bytes })
    }

    fn copy(&self) -> Copy<'_> {
        (&self.name, &self.bytes)
    }
}

/// The lock of a site file; none is needed for a file of git's own making.
fn lock(files: &dyn Files, target: &Path) -> Result<Option<super::files::Guard>, StoreError> {
    if name_of(target).starts_with(GIT_TEMPORARY) {
        return Ok(None);
    }
    let held_by = "another linewright writes here; leave it there, then join";
    hold(files, target, held_by)
}

/// A line that one side retired and on which the other, which did not know, recorded something:
/// the retirement is in doubt. It is told from what each side lacks of the other, so that the same
/// doubts come out in whatever order copies are joined.
pub(super) fn doubt_retirements(elements: &mut Elements, log: &Log, ours: &Site, theirs: &Site) {
    let retired: Vec<(Ref, Stamp, Design)> = elements
        .iter()
        .filter(|(of, _, design)| matches!((of, design), (Ref::Line(_), Design::Retired(_))))
        .map(|(of, stamp, design)| (of.clone(), stamp.clone(), design.clone()))
        .collect();
    if retired.is_empty() {
        return;
    }
    let mut doubted = Vec::new();
    for (side, other) in [(ours, theirs), (theirs, ours)] {
        let known: HashSet<_> = side.log().entries().iter().map(|entry| &entry.id).collect();
        for (of, stamp, design) in &retired {
            let Ref::Line(line) = of else { continue };
            let new =
                side.elements().has(of, stamp, design) && !other.elements().has(of, stamp, design);
            let unknown = || {
                let entries = other.log().of_line(line);
                entries.iter().any(|entry| {
                    entry.what.line().is_some()
                        && !known.contains(&entry.id)
                        && log.counts(&entry.id)
                })
            };
            if new && unknown() {
                doubted.push((of.clone(), stamp.clone()));
            }
        }
    }
    for (of, stamp) in doubted {
        elements.doubt(of, stamp);
    }
    elements.look();
}
