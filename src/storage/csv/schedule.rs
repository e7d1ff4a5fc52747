//! Loudspeaker schedule CSV -> design items.
//!
//! Rows are read one by one, then held against each other; only a schedule without a problem
//! becomes items (`schedule_items.rs`).

use super::cables::cable_name;
use super::device::device;
use super::odd::odd;
use super::problem::{Fault, RowProblem, Warning, by_line};
use super::schedule_items::items;
use super::schedule_rows::{agree, feeds, nearly_the_same, rings, twice};
use super::table::{Column, Holds, Row, Table, read_table};
use super::unsaid::Unsaid;
use crate::quantity::{Farad, Ohm};
use crate::site::{Cable, Item, SiteId, UNNAMED_TYPE};
use std::collections::BTreeMap;

const fn column(name: &'static str, needed: bool, holds: Holds) -> Column {
    Column {
        name,
        needed,
        holds,
    }
}

const COLUMNS: [Column; 20] = [
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
    column("voice_alarm", false, Holds::Text),
    column("elv", false, Holds::Text),
    column("insulation", false, Holds::Text),
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
    /// Its amplifier carries a voice alarm.
    pub voice_alarm: bool,
    /// Its output is true extra-low voltage.
    pub elv: bool,
    /// Insulation of its line is asked for.
    pub insulation: bool,
    pub is: Is,
}

/// A schedule as understood.
#[derive(Clone, Debug)]
pub struct Schedule {
    /// The new site's id: a hash of the schedule as understood. The same schedule with other separators or
    /// decimal signs gives the same id, and so copies of one site know each other.
    pub id: SiteId,
    /// All items of the new site.
    pub items: Vec<Item>,
    /// What was left blank, for a site that knows better.
    pub unsaid: Unsaid,
    /// What there is to say of cells that were read.
    pub warnings: Vec<Warning>,
}

/// Reads a loudspeaker schedule into the items of a new site: its id, the items, what there is to say.
///
/// # Errors
/// As [`schedule`].
pub fn read_schedule(
    file_name: &str,
    bytes: &[u8],
    cables: &[Cable],
    site_label: &str,
) -> Result<(SiteId, Vec<Item>, Vec<Warning>), Vec<RowProblem>> {
    let it = schedule(file_name, bytes, cables, site_label)?;
    Ok((it.id, it.items, it.warnings))
}

/// Reads a loudspeaker schedule.
///
/// # Errors
/// Every row that is wrong, and every contradiction between rows, by line.
pub fn schedule(
    file_name: &str,
    bytes: &[u8],
    cables: &[Cable],
    site_label: &str,
) -> Result<Schedule, Vec<RowProblem>> {
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
    nearly_the_same(&mut table, &rows);
    let mut nodes: Vec<Node> = nodes.into_iter().flatten().collect();
    for (node, from) in nodes.iter_mut().zip(feeds) {
        node.from = from;
    }
    odd(&mut table, &nodes);
    let unsaid = Unsaid::of(&table, &rows, &nodes);
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
    Ok(Schedule {
        id,
        items,
        unsaid,
        warnings: table.warnings,
    })
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
    let [voice_alarm, elv, insulation] =
        ["voice_alarm", "elv", "insulation"].map(|column| table.yes(row, column));
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
    let voice_alarm = voice_alarm.map_err(|p| problems.push(p)).ok();
    let elv = elv.map_err(|p| problems.push(p)).ok();
    let insulation = insulation.map_err(|p| problems.push(p)).ok();
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
        voice_alarm: voice_alarm?,
        elv: elv?,
        insulation: insulation?,
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
            || UNNAMED_TYPE.to_owned(),
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
