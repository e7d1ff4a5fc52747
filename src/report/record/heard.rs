//! What was heard: an answer a row, of the loudspeakers that gave it.
//!
//! Never here: what an answer is worth.

use super::super::document::{Document, Table};
use super::super::record_rows::NodeRow;
use super::super::rows::{Assessment, LineRow};
use super::cells::from_to;
use crate::site::Heard;

/// An answer with what else was said of that loudspeaker.
fn answer(node: &NodeRow) -> Option<String> {
    let reversed = Heard::Reversed.word();
    let word = node.heard?;
    Some(match node.reversed && word != reversed {
        true => format!("{word}, {reversed}"),
        false => word.to_owned(),
    })
}

/// One row for each answer of a line, with those that gave it and when.
fn answers(row: &LineRow) -> Vec<Vec<String>> {
    let mut out: Vec<(String, String, Vec<&NodeRow>)> = Vec::new();
    for node in &row.nodes {
        let (Some(answer), Some(said)) = (answer(node), &node.said) else {
            continue;
        };
        match out.iter_mut().find(|it| it.0 == answer && it.1 == said.by) {
            Some((.., nodes)) => nodes.push(node),
            None => out.push((answer, said.by.clone(), vec![node])),
        }
    }
    let cells = out.into_iter().map(|(answer, by, nodes)| {
        let labels: Vec<&str> = nodes.iter().map(|it| it.at.as_str()).collect();
        let mut times: Vec<&str> = nodes
            .iter()
            .filter_map(|it| Some(it.said.as_ref()?.at.as_str()))
            .collect();
        times.sort_unstable();
        let when = times.first().zip(times.last());
        let when = when.map_or_else(String::new, |(first, last)| from_to(first, last));
        let mut tones: Vec<&str> = nodes.iter().filter_map(|it| it.tone.as_deref()).collect();
        tones.sort_unstable();
        tones.dedup();
        vec![
            row.line.clone(),
            answer,
            if labels.len() == row.heard[1] {
                format!("all {}", labels.len())
            } else {
                labels.join(", ")
            },
            tones.join(", "),
            when,
            by,
        ]
    });
    cells.collect()
}

/// The chapter on what was listened to.
pub(super) fn heard(data: &Assessment, out: &mut Document) {
    let mut table = Table::new(&[
        "line",
        "answer",
        "loudspeakers",
        "tone from",
        "when, UTC",
        "by",
    ]);
    for row in &data.lines {
        for cells in answers(row) {
            let well = [Heard::Heard, Heard::Noisy]
                .map(Heard::word)
                .contains(&&*cells[1]);
            table.strong_row(cells, !well);
        }
    }
    out.chapter("Listened to");
    if table.rows.is_empty() {
        out.text("Nobody listened to a loudspeaker.");
        return;
    }
    out.table(table);
    out.text("Too noisy to tell is no answer. To all others nobody listened.");
}
