//! Loudspeaker schedule CSV -> design items.
//!
//! Rows are read one by one, then held against each other; only a schedule without a problem
//! becomes items (`schedule_items.rs`).

use super::cables::cable_name;
use super::device::device;
use super::near::Near;
use super::schedule_items::items;
use super::table::{Column, Fault, Holds, Row, RowProblem, Table, Warning, by_line, read_table};
use crate::quantity::{Farad, Ohm};
use crate::site::{Cable, Item, RACK, SiteId};
use std::collections::{BTreeMap, HashMap, HashSet};

const fn column(name: &'static str, needed: bool, holds: Holds) -> Column {
    Column {
        name,
        needed,
        holds,
    }
}

const COLUMNS: [Column; 17] = [
    column("amplifier", true, Holds::Text),
    column("output", false, Holds::Text),
    column("rated_w", false, Holds::Number),
    column("line_v", false, Holds::Number),
    column("zone", true, Holds::Text),
    column("line", true, Holds::Text),
    column("loudspeaker", true, Holds::Text),
    column("what", false, Holds::Text),
    column("tap_w", true, Holds::Number),
    column("taps_w", false, Holds::Numbers),
    column("type", false, Holds::Text),
    column("dc_block", false, Holds::Text),
    column("control", false, Holds::Text),
    column("device", false, Holds::Parts),
    column("from", false, Holds::Text),
    column("run_m", false, Holds::Number),
    column("cable", false, Holds::Text),
];

/// Line voltage of an output for which no row gives one.
pub(super) const DEFAULT_VOLTS: f64 = 100.0;

/// What stands at a node.
#[derive(Clone, Debug)]
pub(super) enum Is {
    Loudspeaker {
        tap: f64,
        taps: Option<Vec<f64>>,
        make: String,
        dc_block: bool,
    },
    Junction,
    Device {
        ohm: Option<Ohm>,
        farad: Option<Farad>,
    },
}

/// A row as understood.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub line_no: usize,
    pub amplifier: String,
    pub output: String,
    pub rated: Option<f64>,
    pub volts: Option<f64>,
    pub zone: String,
    pub line: String,
    pub label: String,
    /// A label of the same line; none is the rack.
    pub from: Option<String>,
    pub run: Option<f64>,
    pub cable: String,
    pub control: bool,
    pub is: Is,
}

/// Reads a loudspeaker schedule into the items of a new site. The site's id is a hash of the
/// schedule as understood: the same schedule with other separators or decimal signs gives the same
/// id, and so copies of one site know each other.
///
/// # Errors
/// Every row that is wrong, and every contradiction between rows, by line.
pub fn read_schedule(
    file_name: &str,
    bytes: &[u8],
    cables: &[Cable],
    site_label: &str,
) -> Result<(SiteId, Vec<Item>, Vec<Warning>), Vec<RowProblem>> {
    let mut table = read_table(file_name, bytes, &COLUMNS)?;
    let rows = std::mem::take(&mut table.rows);
    let mut problems = Vec::new();
    if rows.is_empty() {
        return Err(vec![RowProblem {
            file: file_name.to_owned(),
            line: 2,
            column: None,
            found: String::new(),
            wanted: "a row for each loudspeaker".to_owned(),
            advice: String::new(),
        }]);
    }
    let nodes: Vec<Option<Node>> = rows
        .iter()
        .map(|row| read_row(&mut table, row, cables, &mut problems))
        .collect();
    let feeds = feeds(&table, &rows, &mut problems);
    agree(&table, &rows, &mut problems);
    twice(&table, &rows, &mut problems);
    if problems.is_empty() {
        rings(&table, &rows, &feeds, &mut problems);
    }
    if !problems.is_empty() {
        return Err(by_line(problems));
    }
    let mut nodes: Vec<Node> = nodes.into_iter().flatten().collect();
    for (node, from) in nodes.iter_mut().zip(feeds) {
        node.from = from;
    }
    let (id, items) = items(&nodes, cables, site_label);
    let mut unrated: BTreeMap<(&str, &str), (usize, bool)> = BTreeMap::new();
    for node in &nodes {
        let first = (node.line_no, false);
        let output = unrated
            .entry((&node.amplifier, &node.output))
            .or_insert(first);
        output.1 |= node.rated.is_some();
    }
    let mut unrated: Vec<_> = unrated
        .into_iter()
        .filter(|(_, (_, rated))| !rated)
        .collect();
    unrated.sort_by_key(|(_, (line, _))| *line);
    for ((amplifier, output), (line, _)) in unrated {
        let what = format!("no rating of output {amplifier} {output}: it cannot be judged");
        table.warn(Some(line), Some("rated_w"), what);
    }
    Ok((id, items, table.warnings))
}

fn output_of<'a>(table: &Table, row: &'a Row) -> &'a str {
    match table.cell(row, "output") {
        "" => "1",
        label => label,
    }
}

/// Reads one row; every bad cell of it is a problem.
fn read_row(
    table: &mut Table,
    row: &Row,
    cables: &[Cable],
    problems: &mut Vec<Fault>,
) -> Option<Node> {
    let before = problems.len();
    let has_output = !table.cell(row, "output").is_empty();
    let mut label = |column, wanted| {
        let label = table.label(row, column, wanted);
        label.map_err(|problem| problems.push(problem)).ok()
    };
    let amplifier = label("amplifier", "the label of the amplifier");
    let zone = label("zone", "the name of the zone");
    let line = label("line", "the label of the line");
    let own = label("loudspeaker", "a label of its own on its line");
    let output = if has_output {
        label("output", "the label of the output")
    } else {
        Some("1".to_owned())
    };
    let power = "a power above 0 in watts";
    let volts = "a line voltage above 0 in volts";
    let rated = table.number(row, "rated_w", "W", power, |v| v > 0.0);
    let line_v = table.number(row, "line_v", "V", volts, |v| v > 0.0);
    let metres = "a length of 0 to 100000 in metres, or blank where it is not known";
    let run = table.number(row, "run_m", "m", metres, |v| {
        (0.0..=100_000.0).contains(&v)
    });
    let cable = cable_name(table, row, cables);
    let control = table.yes(row, "control");
    let is = match table.cell(row, "what").to_lowercase().as_str() {
        "" | "loudspeaker" => loudspeaker(table, row),
        "junction" => Ok(Is::Junction),
        "device" => device(table, row)
            .map(|(ohm, farad)| Is::Device { ohm, farad })
            .map_err(|p| vec![p]),
        _ => Err(vec![table.problem(
            row,
            "what",
            "loudspeaker, junction or device",
            "",
        )]),
    };
    let unread: &[&str] = match &is {
        Ok(Is::Loudspeaker { .. }) => &["device"],
        Ok(Is::Junction) => &["tap_w", "taps_w", "type", "dc_block", "device"],
        Ok(Is::Device { .. }) => &["tap_w", "taps_w", "type", "dc_block"],
        Err(_) => &[],
    };
    for column in unread {
        let cell = table.cell(row, column).to_owned();
        if !matches!(cell.to_lowercase().as_str(), "" | "no" | "n" | "0" | "-") {
            let what = format!("{cell:?} was not read: this row has another kind of thing");
            table.warn(Some(row.line), Some(column), what);
        }
    }
    let rated = rated.map_err(|p| problems.push(p)).ok();
    let line_v = line_v.map_err(|p| problems.push(p)).ok();
    let run = run.map_err(|p| problems.push(p)).ok();
    let cable = cable.map_err(|p| problems.push(p)).ok();
    let control = control.map_err(|p| problems.push(p)).ok();
    let is = is.map_err(|p| problems.extend(p)).ok();
    if problems.len() > before {
        return None;
    }
    Some(Node {
        line_no: row.line,
        amplifier: amplifier?,
        output: output?,
        rated: rated?,
        volts: line_v?,
        zone: zone?,
        line: line?,
        label: own?,
        from: None,
        run: run?,
        cable: cable?,
        control: control?,
        is: is?,
    })
}

fn loudspeaker(table: &mut Table, row: &Row) -> Result<Is, Vec<Fault>> {
    let power = "a power above 0 in watts";
    let mut problems = Vec::new();
    let tap = match table.number(row, "tap_w", "W", power, |v| v > 0.0) {
        Ok(Some(tap)) => Some(tap),
        Ok(None) => {
            problems.push(table.problem(row, "tap_w", power, "every loudspeaker needs its tap"));
            None
        }
        Err(problem) => {
            problems.push(problem);
            None
        }
    };
    let list = "powers above 0 in watts, parted by |, space or /";
    let taps = table
        .numbers_in(row, "taps_w", "W", list, |v| v > 0.0)
        .map_err(|p| problems.push(p))
        .ok()
        .flatten();
    if let (Some(tap), Some(taps)) = (tap, &taps)
        && !taps.contains(&tap)
    {
        let wanted = format!("one of its taps, {}", figures(taps));
        let advice = "mend tap_w, or list every tap in taps_w";
        problems.push(table.problem(row, "tap_w", wanted, advice));
    }
    let make = match table.cell(row, "type") {
        "" => Ok(taps.as_deref().map_or_else(
            || "taps not known".to_owned(),
            |taps| format!("taps {}", figures(taps)),
        )),
        _ => table.label(row, "type", "the name of a type"),
    };
    let make = make.map_err(|p| problems.push(p)).ok();
    let dc_block = table
        .yes(row, "dc_block")
        .map_err(|p| problems.push(p))
        .ok();
    match (tap, make, dc_block) {
        (Some(tap), Some(make), Some(dc_block)) if problems.is_empty() => Ok(Is::Loudspeaker {
            tap,
            taps,
            make,
            dc_block,
        }),
        _ => Err(problems),
    }
}

fn figures(taps: &[f64]) -> String {
    let taps: Vec<String> = taps.iter().map(f64::to_string).collect();
    taps.join(" ")
}

/// Where each row's cable comes from; none is the rack.
fn feeds(table: &Table, rows: &[Row], problems: &mut Vec<Fault>) -> Vec<Option<String>> {
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
fn agree(table: &Table, rows: &[Row], problems: &mut Vec<Fault>) {
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
fn twice(table: &Table, rows: &[Row], problems: &mut Vec<Fault>) {
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
fn rings(table: &Table, rows: &[Row], feeds: &[Option<String>], problems: &mut Vec<Fault>) {
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
