//! A signature over facts, and whether it still stands.
//!
//! Signing takes one digest of each line and item of the scope and one over all of them. Nothing is
//! locked by it: whoever changes a fact later changes a digest, and the seal is seen to be broken,
//! with the line named. It states what was measured and decided; it claims neither safety nor
//! conformity.
//!
//! Never here: files, the clock.

mod canon;
mod facts;
mod latest;
mod standing;
mod verify;

pub use canon::CANON;
pub use latest::latest_seals;
pub use standing::Standing;
pub use verify::{Break, Broken, SealState, seals, seals_among};

use super::list::{Item, review};
use crate::analysis::Analyst;
use crate::site::{Figure, Ref, Seal, Site};
use crate::verdict::Limits;
use canon::{canonical, sha256};
use facts::{Before, Facts};
use jiff::Timestamp;
use serde_json::json;

/// Who signs what, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Signing {
    /// What is signed for.
    pub scope: Ref,
    /// Who.
    pub name: String,
    /// As what.
    pub role: String,
    /// When, whole seconds.
    pub at: Timestamp,
    /// Who sits at the keyboard: the entry's own `by`.
    pub by: String,
}

/// The figures that a signature states as the limits in force, with the site's own values.
pub(super) fn limits_in_force(site: &Site) -> Vec<(String, f64)> {
    let always = Limits::FIGURES
        .into_iter()
        .chain([Figure::FarEndDb, Figure::TestHz]);
    let mut out: Vec<(String, f64)> = always
        .map(|it| (it.row().name.to_owned(), site.figures().get(it)))
        .collect();
    for (figure, value) in site.figures().own() {
        if !out.iter().any(|(name, _)| name == figure.row().name) {
            out.push((figure.row().name.to_owned(), value));
        }
    }
    out
}

/// The digest over all that a seal says, its own digest left out.
fn whole(seal: &Seal, at: Timestamp, by: &str) -> String {
    let mut text = format!("linewright seal {}\n", seal.canon);
    canonical(
        &json!({
            "scope": seal.scope,
            "visit": seal.visit,
            "name": seal.name,
            "role": seal.role,
            "at": at.to_string(),
            "by": by,
            "limits": seal.limits,
            "facts": seal.facts,
        }),
        &mut text,
    );
    sha256(&text)
}

/// Signs what stands: the seal to be recorded.
///
/// # Errors
/// When something stands in the way; it is listed worst first.
pub fn seal(site: &Site, analyst: &Analyst, signing: &Signing) -> Result<Seal, Vec<Item>> {
    let open: Vec<Item> = review(site, analyst, &signing.scope)
        .open()
        .cloned()
        .collect();
    if !open.is_empty() {
        return Err(open);
    }
    let before = Before::new();
    let visit = site.visit();
    let facts = Facts::of(site, &signing.scope, &visit, signing.at, &before);
    let mut seal = Seal {
        scope: signing.scope.clone(),
        visit,
        name: signing.name.clone(),
        role: signing.role.clone(),
        limits: limits_in_force(site),
        canon: CANON,
        facts: facts
            .things()
            .map(|of| (of.clone(), facts.digest_now(of)))
            .collect(),
        sha256: String::new(),
    };
    seal.sha256 = whole(&seal, signing.at, &signing.by);
    Ok(seal)
}
