//! How an earlier visit compares with this one, as rows of the assessment.
//!
//! Never here: figures of its own.

use super::record_rows::{BaselineRow, DriftRow, NowRow};
use super::values::ohms;
use crate::analysis::{Baseline, Compared, Drifted};
use crate::quantity::{Value, show};

/// Said of a line that reads open or short, then and now.
pub(super) const SAME: &str = "reads as it did";

fn drift_words(it: &Compared, how: &Drifted) -> String {
    match how {
        Drifted::By { drift, called } => {
            let word = if *called {
                "drifted"
            } else {
                "within what the meters explain"
            };
            format!(
                "{} load, u {}: {word}",
                show::signed_percent(drift.load),
                show::percent(drift.u)
            )
        }
        Drifted::Turned { then, now } => {
            format!("read {}, reads {}", show::value(*then), show::value(*now))
        }
        Drifted::Same => SAME.to_owned(),
        Drifted::Redesigned => "the design is another".to_owned(),
        Drifted::NotRead => match (it.then, it.now) {
            (Some(_), Some(_)) => "not read again since",
            (Some(_), None) => "read then, not now",
            (None, Some(_)) => "read now, not then",
            (None, None) => "read on neither visit",
        }
        .to_owned(),
    }
}

/// A baseline as data; `of` names the older record.
#[must_use]
pub fn baseline(it: &Baseline, of: &str) -> BaselineRow {
    let value = |it: Option<Value>| it.map_or(serde_json::Value::Null, ohms);
    let now = |line: &Compared, now: serde_json::Value, how: &Drifted| {
        let drift = match how {
            Drifted::By { drift, .. } => Some(*drift),
            _ => None,
        };
        NowRow {
            now,
            drift: drift.map(|it| it.load.get()),
            u: drift.map(|it| it.u.get()),
            probability: drift.map(|it| it.probability.get()),
            called: how.is_called(),
            text: drift_words(line, how),
        }
    };
    let rows = it.lines.iter().map(|line| DriftRow {
        line: line.line.clone(),
        renamed_from: line.renamed_from.clone(),
        then: value(line.then),
        left: now(line, value(line.now), &line.how),
        as_found: line
            .found
            .as_ref()
            .map(|(read, how)| now(line, ohms(*read), how)),
    });
    BaselineRow {
        of: of.to_owned(),
        called_over: it.called_over.get(),
        lines: rows.collect(),
        new: it.new.clone(),
        gone: it.gone.clone(),
    }
}
