//! Signatures, what changed since, and room to sign on paper.
//!
//! Never here: whether a seal stands.

use super::super::document::Document;
use super::super::rows::Assessment;
use super::cells::plain_table;

/// The chapter on signatures.
pub(super) fn seals(data: &Assessment, out: &mut Document) {
    out.chapter("Signature and seal");
    if data.seals.is_empty() {
        out.text("Not signed in the site file: no digest shows a later change.");
    }
    for seal in &data.seals {
        out.section(&format!("{}, {}", seal.name, seal.role));
        let mut rows = vec![
            vec!["signed for".to_owned(), seal.scope.clone()],
            vec![
                "visit".to_owned(),
                match data.unsigned() {
                    Some(words) => format!("{}, an earlier one; {words}", seal.visit),
                    None => seal.visit.clone(),
                },
            ],
            vec!["when, UTC".to_owned(), seal.at.clone()],
            vec![
                "facts".to_owned(),
                format!(
                    "{} lines and items, each with a digest of its own; canonical text {}",
                    seal.facts, seal.canon
                ),
            ],
            vec!["SHA-256".to_owned(), seal.sha256.clone()],
            vec![
                "seal".to_owned(),
                if seal.intact {
                    "intact: nothing that was signed has changed".to_owned()
                } else if seal.taken_back {
                    "figures as sealed: what was recorded since was taken back again".to_owned()
                } else {
                    "BROKEN: what was signed has changed since".to_owned()
                },
            ],
        ];
        for change in &seal.changes {
            let what = if seal.taken_back { "since" } else { "changed" };
            rows.push(vec![what.to_owned(), change.clone()]);
        }
        out.table(plain_table(&["", ""], rows));
    }
    out.section("On paper");
    let dots = || ".".repeat(34);
    let rows = ["handed over by", "taken over by", "witnessed by"];
    let rows = rows
        .iter()
        .map(|who| vec![(*who).to_owned(), dots(), dots(), dots()]);
    out.table(plain_table(
        &["", "name", "date", "signature"],
        rows.collect(),
    ));
    out.text(
        "A signature in the site file is on facts: designs, readings, answers, words and ticks. It claims neither safety nor \
         conformity to a law; local codes and licensed practice decide.",
    );
}
