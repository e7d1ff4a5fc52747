//! Whether what changed after a signature was all taken back: then the figures are as sealed, and what
//! was recorded and struck since stays to be seen.
//!
//! Never here: what changed.

use super::verify::{Break, SealState};
use crate::review::label_of;
use crate::site::{Do, Entry, EntryId, Site, in_order};

/// How a signature stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing changed since.
    Intact,
    /// Something was recorded and struck since, and nothing else: every figure is as sealed.
    TakenBack,
    /// Something differs from what was signed.
    Broken,
}

impl SealState {
    /// How it stands.
    #[must_use]
    pub fn standing(&self, site: &Site) -> Standing {
        let is_idle = |how: &Break| match how {
            Break::Later(id) => is_idle(site, id, &self.entry),
            _ => false,
        };
        if self.is_intact() {
            Standing::Intact
        } else if self.breaks.iter().all(|it| is_idle(&it.how)) {
            Standing::TakenBack
        } else {
            Standing::Broken
        }
    }

    /// What is no longer what was signed, or was and is again: each label once.
    #[must_use]
    pub fn labels(&self, site: &Site) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for it in &self.breaks {
            let label = label_of(site, &it.of);
            if !out.contains(&label) {
                out.push(label);
            }
        }
        out
    }
}

/// An entry after a signature that leaves all that was signed as it was: it counts no more, or strikes
/// nothing but what came after the signature too.
fn is_idle(site: &Site, id: &EntryId, seal: &Entry) -> bool {
    let log = site.log();
    let Some(entry) = log.get(id) else {
        return false;
    };
    let is_later = |id: &EntryId| log.get(id).is_some_and(|it| in_order(it, seal).is_gt());
    let strikes_later = match &entry.what {
        Do::Void(void) => void.of.iter().chain(&entry.corrects).all(is_later),
        _ => false,
    };
    !log.counts(id) || strikes_later
}
