//! The likeliest why of a flagged line in one sentence, and the mistakes that only the whole building
//! shows.
//!
//! Never here: what stands in the way of signing.

use crate::analysis::Analyst;
use crate::quantity::show;
use crate::site::Site;

/// From this probability on a cause of the whole building stands before a line's own suspects.
/// \[assumed: likelier than not\]
const FIRST: f64 = 0.5;

/// What diagnosis calls a line without a fault.
const NO_FAULT: &str = "none";

/// A cause of the whole building that is likelier than not.
pub(super) struct SiteCause {
    /// The labels of the lines it touches; none where it touches all.
    pub lines: Vec<String>,
    /// Its odds, what it is, and the test that tells.
    pub words: String,
}

/// What a hint claims, and the test it ends with.
fn claim(text: &str) -> &str {
    text.rsplit_once("; ").map_or(text, |it| it.0)
}

/// The causes of the whole building that are likelier than not, likeliest first.
pub(super) fn of_site(site: &Site, analyst: &Analyst) -> Vec<SiteCause> {
    let plan = site.plan();
    let mut hints: Vec<_> = analyst
        .site_hints()
        .iter()
        .filter(|hint| hint.probability.get() >= FIRST)
        .collect();
    hints.sort_by(|a, b| b.probability.get().total_cmp(&a.probability.get()));
    let label = |at: usize| plan.lines[at].label.clone();
    hints
        .into_iter()
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
    let wide = analyst
        .site_hints()
        .iter()
        .filter(|hint| hint.probability.get() >= FIRST && hint.lines.contains(id))
        .max_by(|a, b| a.probability.get().total_cmp(&b.probability.get()));
    if let Some(hint) = wide {
        let odds = show::probability(hint.probability);
        return Some(format!(
            "{odds}: {}, seen over all lines",
            claim(&hint.text)
        ));
    }
    let suspects = analyst.suspects(at).filter(|it| !it.fits_nothing())?;
    let first = suspects.hints.first()?;
    let fault = first.fault.as_str() != NO_FAULT;
    fault.then(|| format!("{}: {}", show::probability(first.probability), first.text))
}
