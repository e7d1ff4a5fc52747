//! Rows of a schedule held against each other: feeds, contradictions, labels used twice, rings.

use super::near::{Near, fold};
use super::problem::Fault;
use super::table::{Row, Table};
use crate::site::RACK;
use std::collections::{HashMap, HashSet};

/// Where each row's cable comes from; none is the rack.
pub(super) fn feeds(table: &Table, rows: &[Row], problems: &mut Vec<Fault>) -> Vec<Option<String>> {
    let mut labels: HashMap<&str, Vec<&str>> = HashMap::new();
    for row in rows {
        labels
            .entry(table.cell(row, "line"))
            .or_default()
            .push(table.cell(row, "loudspeaker"));
    }
    let known: HashMap<&str, HashSet<&str>> = labels
        .iter()
        .map(|(line, labels)| (*line, labels.iter().copied().collect()))
        .collect();
    let mut near: HashMap<&str, Near<'_>> = HashMap::new();
    let mut above: HashMap<&str, &str> = HashMap::new();
    let mut out = Vec::new();
    for row in rows {
        let (line, own) = (table.cell(row, "line"), table.cell(row, "loudspeaker"));
        let from = table.cell(row, "from");
        out.push(match from {
            "" => above.get(line).map(|label| (*label).to_owned()),
            _ if from.eq_ignore_ascii_case(RACK) => None,
            _ if known.get(line).is_some_and(|labels| labels.contains(from)) => {
                Some(from.to_owned())
            }
            _ => {
                let near = near.entry(line).or_insert_with(|| {
                    let labels = labels.get(line).into_iter().flatten().copied();
                    Near::new(labels.chain([RACK]))
                });
                let wanted = format!("{RACK} or a label of line {line}");
                problems.push(table.problem(row, "from", wanted, near.advice(from, "")));
                None
            }
        });
        above.insert(line, own);
    }
    out
}

/// Rows that say different things about one output or one line: one problem for each pair of
/// sayings, naming both rows.
pub(super) fn agree(table: &Table, rows: &[Row], problems: &mut Vec<Fault>) {
    // What is said of a thing: as understood, by which row first, as written there.
    type Saying = (String, usize, String);
    let mut said: HashMap<(&str, String), Vec<Saying>> = HashMap::new();
    for row in rows {
        let amplifier = table.cell(row, "amplifier");
        let line = table.cell(row, "line");
        let of_output = format!("output {amplifier} {}", output_of(table, row));
        let of_line = format!("line {line}");
        let number = |column, unit| match table.number(row, column, unit, "", |_| true) {
            Ok(Some(value)) => value.to_string(),
            _ => String::new(),
        };
        let zone = table.cell(row, "zone").to_owned();
        for (column, of, says, one) in [
            ("rated_w", &of_output, number("rated_w", "W"), "one rating"),
            (
                "line_v",
                &of_output,
                number("line_v", "V"),
                "one line voltage",
            ),
            ("zone", &of_line, zone, "one zone"),
            ("amplifier", &of_line, amplifier.to_owned(), "one amplifier"),
            (
                "output",
                &of_line,
                output_of(table, row).to_owned(),
                "one output",
            ),
        ] {
            if says.is_empty() || line.is_empty() || amplifier.is_empty() {
                continue;
            }
            let earlier = said.entry((column, of.clone())).or_default();
            if earlier.iter().any(|(words, ..)| *words == says) {
                continue;
            }
            if let Some((_, first, cell)) = earlier.first() {
                let mut problem = table.problem(
                    row,
                    column,
                    format!("{cell:?} as in row {first}"),
                    format!("{of} has {one}: mend one of the two rows"),
                );
                if problem.found.is_empty() {
                    problem.found.clone_from(&says);
                }
                problems.push(problem);
            }
            let cell = match table.cell(row, column) {
                "" => says.clone(),
                cell => cell.to_owned(),
            };
            earlier.push((says, row.line, cell));
        }
    }
}

/// Labels that two rows of one line have.
pub(super) fn twice(table: &Table, rows: &[Row], problems: &mut Vec<Fault>) {
    let mut first: HashMap<(&str, &str), usize> = HashMap::new();
    for row in rows {
        let (line, label) = (table.cell(row, "line"), table.cell(row, "loudspeaker"));
        if line.is_empty() || label.is_empty() {
            continue;
        }
        match first.get(&(line, label)) {
            None => {
                first.insert((line, label), row.line);
            }
            Some(other) => problems.push(table.problem(
                row,
                "loudspeaker",
                format!("a label that row {other} of line {line} has not"),
                "rename or remove one of the two",
            )),
        }
    }
}

/// Cables that feed themselves: one problem for each ring.
pub(super) fn rings(
    table: &Table,
    rows: &[Row],
    feeds: &[Option<String>],
    problems: &mut Vec<Fault>,
) {
    let key = |row: &Row| -> (String, String) {
        (
            table.cell(row, "line").to_owned(),
            table.cell(row, "loudspeaker").to_owned(),
        )
    };
    let at: HashMap<(String, String), usize> = rows
        .iter()
        .enumerate()
        .map(|(at, row)| (key(row), at))
        .collect();
    let mut sound = vec![false; rows.len()];
    for start in 0..rows.len() {
        let mut path: Vec<usize> = Vec::new();
        let mut on_path: HashSet<usize> = HashSet::new();
        let mut here = Some(start);
        while let Some(row) = here.filter(|row| !sound[*row]) {
            if !on_path.insert(row) {
                let ring: Vec<usize> = path
                    .iter()
                    .copied()
                    .skip_while(|other| *other != row)
                    .collect();
                let mut in_file = ring.clone();
                in_file.sort_unstable();
                let words: Vec<String> = ring
                    .iter()
                    .map(|r| {
                        format!(
                            "{} (row {})",
                            table.cell(&rows[*r], "loudspeaker"),
                            rows[*r].line
                        )
                    })
                    .collect();
                let mut problem = table.problem(
                    &rows[in_file[0]],
                    "from",
                    "a way to the rack",
                    format!(
                        "its cable runs in a ring, each fed by the next: {}; one of them comes from {RACK} or another label",
                        words.join(", ")
                    ),
                );
                if problem.found.is_empty() {
                    problem.found = feeds[in_file[0]].clone().unwrap_or_default();
                }
                problems.push(problem);
                break;
            }
            path.push(row);
            here = feeds[row].as_ref().and_then(|from| {
                let line = table.cell(&rows[row], "line").to_owned();
                at.get(&(line, from.clone())).copied()
            });
        }
        for row in path {
            sound[row] = true;
        }
    }
}
fn output_of<'a>(table: &Table, row: &'a Row) -> &'a str {
    match table.cell(row, "output") {
        "" => "1",
        label => label,
    }
}

/// Labels that differ from an earlier one by case, spaces, signs or leading zeros only: each is
/// read as it stands, and said once.
pub(super) fn nearly_the_same(table: &mut Table, rows: &[Row]) {
    let mut first: HashMap<(&str, String), (&str, usize)> = HashMap::new();
    let mut said: HashSet<(&str, &str)> = HashSet::new();
    for row in rows {
        for column in ["amplifier", "zone", "line"] {
            let label = table.cell(row, column);
            let (other, line) = *first
                .entry((column, fold(label)))
                .or_insert((label, row.line));
            if other != label && said.insert((column, label)) {
                let what = format!(
                    "{label:?} is nearly {other:?} of row {line}: read as another {column}; if it is the same, write it the same"
                );
                table.warn(Some(row.line), Some(column), what);
            }
        }
    }
}
