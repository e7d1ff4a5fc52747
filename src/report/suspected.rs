//! What is suspected of a line, of itself and of the whole building, in words.
//!
//! Never here: what is likelier than what, which `diagnosis` knows; what is to be done.

use super::rows::{HintRow, LineRow, SiteHintRow, SiteWideRow};
use crate::diagnosis::{FITS_NOTHING_OVER, FaultKind, NOTHING_WRONG};
use crate::quantity::{Probability, show};
use crate::review::SITE_CAUSE_FIRST;

/// Own suspects named behind a cause of the whole building: from this probability on.
const LEAST_BEHIND: f64 = 0.05;
/// So many of them.
const MOST_BEHIND: usize = 3;

/// The hints of the whole building that name a line, likeliest first. Those that touch every line
/// name none.
pub(super) fn site_wide(line: &str, hints: &[SiteHintRow]) -> Vec<SiteWideRow> {
    let mut out: Vec<SiteWideRow> = hints
        .iter()
        .filter(|hint| hint.lines.iter().any(|it| it == line))
        .map(|hint| SiteWideRow {
            fault: hint.fault,
            kind: hint.kind,
            probability: hint.probability,
            text: hint.text.clone(),
            claim: hint.claim.clone(),
            test: hint.test.clone(),
            factor: hint.factor,
        })
        .collect();
    out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    out
}

/// A suspect in words; of a line out of tolerance that has nothing wrong the cause is shared by others.
pub(super) fn hint_words(row: &LineRow, hint: &HintRow) -> String {
    worded(row, hint, &hint.text)
}

/// The same for a reader of the record: of two faults without the odds that one sits there, a second
/// figure that nobody could place.
pub(super) fn brief_words(row: &LineRow, hint: &HintRow) -> String {
    let text = match hint.text.rsplit_once(", ") {
        Some((text, figure)) if hint.kind == FaultKind::TwoFaults && figure.ends_with('%') => text,
        _ => &hint.text,
    };
    worded(row, hint, text)
}

fn worded(row: &LineRow, hint: &HintRow, text: &str) -> String {
    // Of a line in doubt the reading itself may be mistaken: that is said in other words.
    let alone = hint.text == NOTHING_WRONG && row.verdict != Some("in-tolerance");
    let alone = if alone { " on this line alone" } else { "" };
    let odds = show::probability(Probability(hint.probability));
    format!("{odds}: {text}{alone}")
}

impl LineRow {
    /// Whether its reading fits nothing: more likely a slip than not.
    pub(super) fn fits_nothing(&self) -> bool {
        self.misfit.is_some_and(|misfit| misfit > FITS_NOTHING_OVER)
    }

    /// The cause of the whole building that is likelier than not; it stands before the line's own
    /// suspects, which hold only where it is not that.
    pub(super) fn first_site_wide(&self) -> Option<&SiteWideRow> {
        self.site_wide
            .first()
            .filter(|it| it.probability >= SITE_CAUSE_FIRST)
    }

    /// The odds that the one fault of this line sits there; two faults at once are not counted in.
    #[must_use]
    pub fn suspect_at(&self, label: &str) -> f64 {
        self.hints
            .iter()
            .filter(|hint| !matches!(hint.kind, FaultKind::None | FaultKind::TwoFaults))
            .flat_map(|hint| &hint.places)
            .filter(|it| *it.at == *label)
            .map(|it| it.probability)
            .sum::<f64>()
            .min(1.0)
    }

    /// Whether it was repaired on this visit and nothing is suspected of it any more.
    #[must_use]
    pub fn is_mended(&self) -> bool {
        let repaired = self.story.iter().any(|it| it.repaired().is_some());
        let sound = self.hints.first().is_some_and(HintRow::is_no_fault);
        repaired && sound && self.first_site_wide().is_none()
    }

    /// What is suspected, likeliest first, each with its odds: the line's own suspects from this
    /// probability on, so many at most. A cause of the whole building that is likelier than not
    /// stands first, and the line's own then stand in one sentence that says when they hold.
    pub(super) fn suspected(&self, least: f64, most: usize) -> Vec<String> {
        self.suspected_in(least, most, hint_words)
    }

    /// The same, each suspect in words of this kind.
    pub(super) fn suspected_in(
        &self,
        least: f64,
        most: usize,
        in_words: fn(&Self, &HintRow) -> String,
    ) -> Vec<String> {
        let odds = |p: f64| show::probability(Probability(p));
        let wide = |it: &SiteWideRow| {
            format!("{}, seen over all lines: {}", odds(it.probability), it.text)
        };
        let own = |least: f64, most: usize| -> Vec<String> {
            let hints = self.hints.iter().filter(|hint| hint.probability >= least);
            let words = hints.map(|hint| in_words(self, hint));
            words.take(most).collect()
        };
        let Some(first) = self.first_site_wide() else {
            let mut out = own(least, most);
            out.extend(self.site_wide.iter().map(wide));
            return out;
        };
        let mut out = vec![wide(first)];
        out.extend(self.site_wide.iter().skip(1).map(wide));
        let own = own(least.max(LEAST_BEHIND), MOST_BEHIND);
        if !own.is_empty() {
            out.push(format!(
                "only if it is not that, of the line itself: {}",
                own.join("; ")
            ));
        }
        out
    }
}
