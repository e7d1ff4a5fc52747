//! What only the whole building shows.
//!
//! Never here: what is likelier than what.

use super::super::document::Document;
use super::super::rows::{Assessment, LineRow, SiteHintRow};
use super::cells::listed;
use crate::quantity::{Ohm, Probability, show};

/// The test that a hint asks for, and what it gave where it was made.
fn tested(data: &Assessment, text: &str) -> String {
    const ASKED: &str = ": the known resistor is reckoned in";
    match data.checks.last() {
        Some(it) => {
            let (known, read) = (Ohm(it.known_ohm), Ohm(it.read_ohm));
            let (known, read) = (show::ohm(known), show::ohm(read));
            text.replace(
                ASKED,
                &format!("; the known resistor of {known} read {read}"),
            )
        }
        None => text.to_owned(),
    }
}

/// The lines that were read and have a loudspeaker of the type that is told of: of others nothing was learned.
fn of_type(data: &Assessment, hint: &SiteHintRow) -> String {
    let Some(of) = &hint.of_type else {
        return String::new();
    };
    let has = |row: &&LineRow| {
        row.nodes
            .iter()
            .any(|node| node.of_type.as_ref() == Some(of))
    };
    let lines = data.lines.iter().filter(|row| row.measured.is_some());
    let lines = lines.filter(has);
    let lines: Vec<&str> = lines.map(|row| row.line.as_str()).collect();
    format!("; on {}", listed(&lines))
}

/// The chapter on it; none where nothing is to be told.
pub(super) fn whole_building(data: &Assessment, out: &mut Document) {
    if data.site_hints.is_empty() && data.questions.is_empty() {
        return;
    }
    out.chapter("What only the whole building shows");
    let hints = data.site_hints.iter().map(|hint| {
        let odds = show::probability(Probability(hint.probability));
        format!(
            "{odds}: {}{}",
            tested(data, &hint.text),
            of_type(data, hint)
        )
    });
    let questions = data.questions.iter().map(|it| {
        format!(
            "{} {}: {} designs stand; choose one",
            it.kind, it.of, it.designs
        )
    });
    out.points(hints.chain(questions).collect());
    out.text("Each begins with its odds; u is a standard uncertainty.");
}
