//! Two copies of a site and what they came from, as one site.
//!
//! Designs are joined one by one, entries are united; the order of the two sides cannot show.

use super::format1::{self, ReadError};
use super::store::join;
use crate::site::{Elements, Log, Site, SiteId, check};
use thiserror::Error;

/// Why copies cannot be joined. All of them stay as they are.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum MergeError {
    /// One of them cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// They are copies of different sites.
    #[error("{side} is another site: {found}, {wanted} was wanted")]
    OtherSite {
        /// `base` or `theirs`.
        side: &'static str,
        /// Its site.
        found: SiteId,
        /// The site of `ours`.
        wanted: SiteId,
    },
    /// Together they are no sound site.
    #[error("joined, the site would have problems: {}", problems.join("; "))]
    Unsound {
        /// All of them.
        problems: Vec<String>,
    },
}

/// Joins `ours` and `theirs`, which both came from `base`; returns the site and how many questions
/// stand in it. An empty `base` means that they have no common ancestor: where their items differ,
/// a question stands.
///
/// # Errors
/// When one cannot be read, they are not one site, or joined they would have problems.
pub fn merge(base: &[u8], ours: &[u8], theirs: &[u8]) -> Result<(Site, usize), MergeError> {
    let ours = format1::read("ours", ours)?.site;
    let theirs = format1::read("theirs", theirs)?.site;
    let base = if base.is_empty() {
        Site::new(ours.id().clone(), Elements::default(), Log::default())
    } else {
        format1::read("base", base)?.site
    };
    for (side, site) in [("base", &base), ("theirs", &theirs)] {
        if site.id() != ours.id() {
            return Err(MergeError::OtherSite {
                side,
                found: site.id().clone(),
                wanted: ours.id().clone(),
            });
        }
    }
    let joined = join(&base, &ours, &theirs);
    let problems: Vec<String> = check(joined.elements(), joined.log())
        .iter()
        .map(ToString::to_string)
        .collect();
    if !problems.is_empty() {
        return Err(MergeError::Unsound { problems });
    }
    let questions = joined.elements().questions().count();
    Ok((joined, questions))
}
