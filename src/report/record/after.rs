//! What was suspected and done, what is open, what is still off, what drifted.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, LineRow};
use super::{minute, ohms_text, plain_table, reading, signed, verdict_words};
use crate::quantity::{Fraction, Probability, show};

/// Hints under this are left to the JSON.
const LEAST_SHOWN: f64 = 0.01;
/// So many hints a line.
const MOST_SHOWN: usize = 5;
/// A cable of more nodes is too long for a picture.
const LONGEST_DRAWN: usize = 60;

/// Whether a line is one that the record tells the story of.
fn is_told(data: &Assessment, row: &LineRow) -> bool {
    let in_review = data
        .review
        .iter()
        .any(|it| it.kind == "line" && it.of == row.line && is_about_a_fault(&it.text));
    in_review
        || data
            .changes
            .iter()
            .any(|it| is_of(it.line.as_deref(), row) && is_repair(&it.text))
}

/// Not merely unread, off, or not listened to.
fn is_about_a_fault(text: &str) -> bool {
    !(text.starts_with("not read")
        || text.starts_with("OFF ")
        || text.ends_with("not listened to")
        || text.starts_with("insulation asked"))
}

fn is_of(line: Option<&str>, row: &LineRow) -> bool {
    line == Some(row.line.as_str())
}

fn is_repair(text: &str) -> bool {
    text.contains(" repaired: ")
}

pub(super) fn suspicions(data: &Assessment, out: &mut Document) {
    let told: Vec<&LineRow> = data.lines.iter().filter(|row| is_told(data, row)).collect();
    out.chapter("Suspicions, and what was done");
    if told.is_empty() {
        out.text("No line was flagged or repaired.");
        return;
    }
    for row in told {
        story(data, row, out);
    }
}

fn story(data: &Assessment, row: &LineRow, out: &mut Document) {
    out.section(&format!("{}, {}", row.line, row.zone));
    let mut points = Vec::new();
    if let Some(found) = row
        .as_found
        .as_ref()
        .filter(|it| row.as_left.as_ref() != Some(*it))
    {
        points.push(format!(
            "As found: {}, {}.",
            reading(Some(found)),
            signed(found.deviation)
        ));
    }
    if let Some(left) = &row.as_left {
        let deviation = left
            .deviation
            .map_or_else(String::new, |_| format!(", {}", signed(left.deviation)));
        points.push(format!(
            "As left: {}{deviation}, {}; should read {}.",
            ohms_text(&left.ohms),
            verdict_words(row.verdict),
            ohms_text(&row.expected.ohms)
        ));
    } else {
        points.push(format!(
            "Not read since; should read {}.",
            ohms_text(&row.expected.ohms)
        ));
    }
    if let Some(misfit) = row.misfit.filter(|it| *it > 0.5) {
        points.push(format!(
            "The readings fit nothing, {}: one of them is wrong, or two faults and more.",
            show::probability(Probability(misfit))
        ));
    }
    let hints = row.hints.iter().filter(|it| it.probability >= LEAST_SHOWN);
    points.extend(hints.take(MOST_SHOWN).map(|hint| {
        format!(
            "Suspected, {}: {}",
            show::probability(Probability(hint.probability)),
            hint.text
        )
    }));
    points.extend(
        data.changes
            .iter()
            .filter(|it| is_of(it.line.as_deref(), row))
            .map(|it| {
                let struck = if it.counts { "" } else { " (struck)" };
                format!(
                    "Done, {} UTC, {}: {}{struck}",
                    minute(&it.at),
                    it.by,
                    it.text
                )
            }),
    );
    if let Some(word) = &row.word {
        points.push(format!("Word: {word}."));
    }
    if let Some(next) = row.next.first() {
        points.push(format!("Left to do: {}", next.text));
    }
    out.points(points);
    if row.nodes.len() <= LONGEST_DRAWN {
        out.picture(pictures::cable(data, row));
    } else {
        out.text(format!(
            "Its cable has {} nodes, too many for a picture; see the schedule.",
            row.nodes.len()
        ));
    }
}

pub(super) fn whole_building(data: &Assessment, out: &mut Document) {
    if data.site_hints.is_empty() && data.questions.is_empty() {
        return;
    }
    out.chapter("What only the whole building shows");
    let hints = data.site_hints.iter().map(|hint| {
        format!(
            "{}: {}",
            show::probability(Probability(hint.probability)),
            hint.text
        )
    });
    let questions = data.questions.iter().map(|it| {
        format!(
            "{} {}: {} designs stand; choose one",
            it.kind, it.of, it.designs
        )
    });
    out.points(hints.chain(questions).collect());
}

pub(super) fn snags(data: &Assessment, out: &mut Document) {
    out.chapter("Snag list");
    let rows: Vec<Vec<String>> = data
        .review
        .iter()
        .filter_map(|row| {
            let word = row.word.as_ref()?.strip_prefix("snag, ")?;
            Some(vec![row.of.clone(), row.text.clone(), word.to_owned()])
        })
        .collect();
    if rows.is_empty() {
        out.text("Nothing is left on a snag list.");
    } else {
        out.table(plain_table(
            &["what", "matter", "owner, date, reason"],
            rows,
        ));
    }
    let accepted: Vec<Vec<String>> = data
        .review
        .iter()
        .filter_map(|row| {
            let word = row.word.as_ref()?;
            let words = ["accepted", "skipped"];
            words
                .iter()
                .any(|it| word.starts_with(it))
                .then(|| vec![row.of.clone(), row.text.clone(), word.clone()])
        })
        .collect();
    if !accepted.is_empty() {
        out.section("Accepted as it is, or skipped");
        out.table(plain_table(&["what", "matter", "word"], accepted));
    }
}

pub(super) fn off(data: &Assessment, out: &mut Document) {
    out.chapter("Not reconnected");
    let rows: Vec<Vec<String>> = data
        .lines
        .iter()
        .filter(|row| row.off)
        .map(|row| {
            vec![
                row.line.clone(),
                row.zone.clone(),
                format!("{} out {}", row.amplifier, row.output),
                row.word.clone().unwrap_or_default(),
            ]
        })
        .collect();
    if rows.is_empty() {
        out.text("No line is noted as OFF the amplifier.");
    } else {
        out.table(plain_table(&["line", "zone", "output", "word"], rows));
    }
}

pub(super) fn baseline(data: &Assessment, out: &mut Document) {
    let Some(it) = &data.baseline else { return };
    out.chapter("Against the last visit");
    let called = it.lines.iter().filter(|row| row.called).count();
    out.text(format!(
        "Baseline: {}. {called} of {} lines changed by more than both meters can explain; called over \
         {}. Positive is more load now; the meters' own factors are taken out.",
        it.of,
        it.lines.len(),
        show::percent(Fraction(it.called_over))
    ));
    let mut table = Table::new(&[
        "line",
        "was called",
        ">then",
        ">now",
        ">drift",
        ">95 %",
        ">probability",
        "word",
    ]);
    for row in &it.lines {
        table.strong_row(
            vec![
                row.line.clone(),
                row.renamed_from.clone().unwrap_or_default(),
                ohms_text(&row.then),
                ohms_text(&row.now),
                signed(row.drift),
                super::expanded(row.u),
                row.probability
                    .map_or_else(String::new, |p| show::probability(Probability(p))),
                if row.drift.is_some() {
                    if row.called { "drifted" } else { "" }.to_owned()
                } else {
                    row.text.clone()
                },
            ],
            row.called,
        );
    }
    out.table(table);
    for (title, labels) in [("New lines", &it.new), ("Lines gone", &it.gone)] {
        if !labels.is_empty() {
            out.text(format!("{title}: {}.", labels.join(", ")));
        }
    }
}
