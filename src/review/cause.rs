//! The likeliest why of a flagged line in one sentence, the mistakes that only the whole building shows, and
//! what of both a repair may confirm.
//!
//! Never here: what stands in the way of signing.

use crate::analysis::Analyst;
use crate::diagnosis::{FAULTS, FaultKind, SiteFault, SiteHint};
use crate::quantity::show;
use crate::site::Site;

/// From this probability on a cause of the whole building stands before a line's own suspects.
/// \[assumed: likelier than not\]
pub const SITE_CAUSE_FIRST: f64 = 0.5;

/// A cause of the whole building that is likelier than not.
pub(super) struct SiteCause {
    /// The labels of the lines it touches; none where it touches all.
    pub lines: Vec<String>,
    /// Its odds, what it is, and the test that tells.
    pub words: String,
}

/// The causes of the whole building that are likelier than not, likeliest first.
fn likely(analyst: &Analyst) -> impl Iterator<Item = &SiteHint> {
    let hints = analyst.site_hints().iter();
    hints.filter(|hint| hint.probability.get() >= SITE_CAUSE_FIRST)
}

/// The same with the lines that each touches.
pub(super) fn of_site(site: &Site, analyst: &Analyst) -> Vec<SiteCause> {
    let plan = site.plan();
    let label = |at: usize| plan.lines[at].label.clone();
    likely(analyst)
        .map(|hint| SiteCause {
            lines: hint
                .lines
                .iter()
                .filter_map(|id| plan.line(id))
                .map(label)
                .collect(),
            words: format!("{}: {}", show::probability(hint.probability), hint.text),
        })
        .collect()
}

/// The likeliest why of a line: a cause of the whole building that is likelier than not, else its own
/// first suspect; none where that is no fault. Suspects are those that were reckoned.
#[must_use]
pub fn likeliest(site: &Site, analyst: &Analyst, at: usize) -> Option<String> {
    let id = &site.plan().lines[at].id;
    if let Some(hint) = likely(analyst).find(|hint| hint.lines.contains(id)) {
        let odds = show::probability(hint.probability);
        return Some(format!("{odds}: {}, seen over all lines", hint.claim()));
    }
    let suspects = analyst.suspects(at).filter(|it| !it.fits_nothing())?;
    let first = suspects.hints.first()?;
    let fault = first.fault != FaultKind::None;
    fault.then(|| format!("{}: {}", show::probability(first.probability), first.text))
}

/// What only the whole building shows and is mended in it, by the words that scripts know.
pub fn causes_over_lines() -> impl Iterator<Item = &'static str> {
    let mended = SiteFault::ALL.into_iter().filter(|it| it.is_mended());
    mended.map(SiteFault::as_str)
}

/// What a repair may confirm as cause, by the words that scripts know: the faults of a line, and what only the
/// whole building shows and is mended in it.
pub fn causes() -> impl Iterator<Item = &'static str> {
    let own = FAULTS.into_iter().map(|it| it.kind.as_str());
    own.chain(causes_over_lines())
}
