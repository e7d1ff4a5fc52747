//! That the visit which a record is of is not signed, where only an earlier one is: what was read since is
//! no part of what was signed.
//!
//! Never here: whether a seal stands.

use super::rows::Assessment;

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
}
