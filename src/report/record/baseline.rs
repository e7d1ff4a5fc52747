//! What changed since the last visit.
//!
//! Never here: what a drift is worth.

use super::super::against::SAME;
use super::super::document::{Document, Table};
use super::super::record_rows::{DriftRow, NowRow};
use super::super::rows::Assessment;
use super::super::values::{ohms_text, signed};
use super::cells::expanded;
use super::still;
use crate::quantity::{Fraction, Probability, show};

/// A line against the last visit, as found or as left on this one.
fn drifted(row: &DriftRow, of: &NowRow, state: &str) -> Vec<String> {
    vec![
        row.line.clone(),
        row.renamed_from.clone().unwrap_or_default(),
        ohms_text(&row.then),
        state.to_owned(),
        ohms_text(&of.now),
        signed(of.drift),
        expanded(of.u),
        of.probability
            .map_or_else(String::new, |p| show::probability(Probability(p))),
        if of.drift.is_some() {
            if of.called { "drifted" } else { "" }.to_owned()
        } else {
            of.text.clone()
        },
    ]
}

/// The chapter on it; none without an earlier visit.
pub(super) fn baseline(data: &Assessment, out: &mut Document) {
    let Some(it) = &data.baseline else { return };
    out.chapter("Against the last visit");
    let called = it.lines.iter().filter(|row| row.is_called()).count();
    // Of lines not read again, or drawn anew, nothing can be said.
    let is_held =
        |row: &&DriftRow| row.left.drift.is_some() || row.left.called || row.left.text == SAME;
    out.text(format!(
        "Baseline: {}. Drift: load now over load then, less one, what was learned of each meter taken out: where one of them is \
         known to read high or low it is not what the two figures beside it would give. {} of {} \
         read on both visits as drawn alike; of these {called} changed by more than both meters can explain, as found or as left, with a \
         probability over {}.",
        it.of,
        it.lines.iter().filter(is_held).count(),
        show::count(it.lines.len(), "line"),
        show::percent(Fraction(it.called_over))
    ));
    let mut table = Table::new(&[
        "line",
        "was called",
        ">then",
        "state",
        ">now",
        ">drift",
        ">95 %",
        ">probability",
        "word",
    ]);
    for row in &it.lines {
        let found = row.as_found.iter().map(|it| (it, "as found"));
        let as_left = if row.as_found.is_some() {
            "as left"
        } else {
            ""
        };
        for (of, state) in found.chain([(&row.left, as_left)]) {
            table.strong_row(drifted(row, of, state), of.called);
        }
    }
    out.table(table);
    let left = still::left_open(data);
    if !left.is_empty() {
        out.text("Left open then, and no word on it on this visit:");
        out.points(left);
    }
    for (title, labels) in [("New lines", &it.new), ("Lines gone", &it.gone)] {
        if !labels.is_empty() {
            out.text(format!("{title}: {}.", labels.join(", ")));
        }
    }
}
