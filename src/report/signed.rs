//! What is signed, and how it stands, in the words of every page. Where only an earlier visit is signed this one is
//! not: what was read since is no part of what was signed.
//!
//! Never here: whether a seal stands.

use super::record_rows::SealRow;
use super::rows::Assessment;
use crate::review::WHOLE_SITE;
use std::collections::BTreeMap;

impl SealRow {
    /// How it stands, in the words of every page.
    pub(super) const fn words(&self) -> &'static str {
        match (self.intact, self.taken_back) {
            (true, _) => "seal intact",
            (false, true) => "figures as sealed, changed and taken back since",
            (false, false) => "SEAL BROKEN",
        }
    }

    /// Where it is of an earlier visit: on which, for behind what it is for.
    pub(super) fn on_visit(&self) -> String {
        match self.of_this_visit {
            true => String::new(),
            false => format!(" on {}, an earlier visit", self.visit),
        }
    }

    /// Whether a figure may differ from what was signed.
    const fn is_broken(&self) -> bool {
        !self.intact && !self.taken_back
    }
}

impl Assessment {
    /// `not signed`, or that this visit is not where an earlier one was; none where this one is.
    pub(super) fn unsigned(&self) -> Option<String> {
        if self.seals.iter().any(|it| it.of_this_visit) {
            return None;
        }
        Some(match self.seals.is_empty() {
            true => "not signed".to_owned(),
            false => format!("this visit, {}, is not signed", self.visit),
        })
    }

    /// The last signature for the whole site; where there is none, those for parts of it.
    pub(super) fn signature(&self) -> String {
        if let (Some(words), Some(seal)) = (self.unsigned(), self.seals.last()) {
            let (visit, at) = (&seal.visit, &seal.at);
            return format!("{words}; {visit} signed {at}, {}", seal.words());
        }
        let mut seals = self.seals.iter().filter(|it| it.of_this_visit);
        if let Some(seal) = seals.rfind(|it| it.scope == WHOLE_SITE) {
            return format!("signed {}, {}", seal.at, seal.words());
        }
        // Of each part the last.
        let seals = self.seals.iter().filter(|it| it.of_this_visit);
        let parts: BTreeMap<&str, &SealRow> = seals.map(|it| (&*it.scope, it)).collect();
        let broken = parts.values().filter(|it| it.is_broken()).count();
        let touched = parts.values().filter(|it| it.taken_back).count();
        match (parts.len(), parts.values().next(), broken) {
            (1, Some(seal), _) => {
                let (of, at) = (&seal.scope, &seal.at);
                format!("signed for {of} {at}, {}", seal.words())
            }
            (0, ..) => "not signed".to_owned(),
            (count, _, 0) if touched > 0 => format!(
                "signed in {count} parts, figures as sealed, changed and taken back since in {touched}"
            ),
            (count, _, 0) => format!("signed in {count} parts, their seals intact"),
            (count, _, 1) => format!("signed in {count} parts, 1 SEAL BROKEN"),
            (count, _, broken) => format!("signed in {count} parts, {broken} SEALS BROKEN"),
        }
    }
}
