//! The log of changes: what was drawn, taken off, repaired, decided, struck, signed, by whom and when. What one
//! person drew in a row is one row, since the tables of the lines show it all.

use super::super::document::{Document, Table};
use super::super::record_rows::ChangeRow;
use super::super::rows::Assessment;
use super::cells::{day, from_to, minute};
use crate::quantity::show;

/// So few things drawn in a row stand one by one.
const FEW: usize = 2;

/// What is drawn, in the order of a sum.
const DRAWN: [&str; 9] = [
    "amplifier",
    "output",
    "zone",
    "line",
    "loudspeaker",
    "junction",
    "device",
    "type",
    "cable",
];

/// The chapter on the log.
pub(super) fn changes(data: &Assessment, out: &mut Document) {
    out.chapter("Log of changes");
    if data.changes.is_empty() {
        out.text("No line taken off, repair, word, edit, strike or signature was recorded.");
        return;
    }
    let mut table = Table::new(&["when, UTC", "by", "what", "counts"]);
    for rows in data.changes.chunk_by(in_a_row) {
        if rows.len() > FEW {
            table.row(drawn(rows));
            continue;
        }
        for row in rows {
            table.row(vec![
                minute(&row.at),
                row.by.clone(),
                row.text.clone(),
                if row.counts { "" } else { "struck" }.to_owned(),
            ]);
        }
    }
    out.table(table);
    let unsigned = match data.seals.is_empty() {
        true => "; without a signature this cannot be checked",
        false => "; a signature checks it of what was signed",
    };
    out.text(format!(
        "Readings and answers stand in the tables above, all of them in the site file. The program never changes or deletes \
         one{unsigned}."
    ));
}

/// Whether two rows that follow each other were drawn by one person on one day.
fn in_a_row(a: &ChangeRow, b: &ChangeRow) -> bool {
    a.drawn.is_some() && b.drawn.is_some() && a.by == b.by && day(&a.at) == day(&b.at)
}

/// Several things drawn in a row, as one row.
fn drawn(rows: &[ChangeRow]) -> Vec<String> {
    let of = |kind: &str| rows.iter().filter(|row| row.drawn == Some(kind)).count();
    let counts = DRAWN.iter().map(|kind| (of(kind), kind));
    let counts: Vec<String> = counts
        .filter(|(count, _)| *count > 0)
        .map(|(count, kind)| show::count(count, kind))
        .collect();
    let times = rows.first().zip(rows.last());
    let times = times.map(|(first, last)| from_to(&first.at, &last.at));
    vec![
        times.unwrap_or_default(),
        rows.first().map_or_else(String::new, |row| row.by.clone()),
        format!("drawn: {}", counts.join(", ")),
        String::new(),
    ]
}
