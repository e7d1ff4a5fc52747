//! The signatures that still speak: what is signed again is history.
//!
//! Never here: whether one stands.

use super::verify::{SealState, seals};
use crate::site::{Ref, Site};

/// Those that nothing signed later stands for, the newest first: the last for each part of the site,
/// and none from before the whole site was signed again.
#[must_use]
pub fn latest_seals(site: &Site) -> Vec<SealState> {
    let mut out: Vec<SealState> = Vec::new();
    for seal in seals(site).into_iter().rev() {
        let is_for = |scope: &Ref| *scope == Ref::Site || *scope == seal.seal.scope;
        let counts = |it: &SealState| site.log().counts(&it.entry.id);
        if !out
            .iter()
            .any(|later| counts(later) && is_for(&later.seal.scope))
        {
            out.push(seal);
        }
    }
    out
}
