//! One row of a schedule as understood: what stands at a place, what feeds it, what it says of its line and
//! its output.
//!
//! Never here: other rows.

use super::cables::cable_name;
use super::device::device;
use super::problem::Fault;
use super::table::{Row, Table};
use crate::quantity::{Farad, Ohm};
use crate::site::{Cable, UNNAMED_TYPE};

/// Line voltage of an output for which no row gives one, V. Common practice, no source.
pub(super) const DEFAULT_VOLTS: f64 = 100.0;

/// What stands at a node.
#[derive(Clone, Debug)]
pub(super) enum Is {
    Loudspeaker {
        /// W.
        tap: f64,
        /// W, rising; none is not known.
        taps: Option<Vec<f64>>,
        /// The name of its type.
        make: String,
        /// A capacitor keeps direct current from it.
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
    /// Line of the file.
    pub line_no: usize,
    pub amplifier: String,
    pub output: String,
    /// Rating of its output, W.
    pub rated: Option<f64>,
    /// Voltage of its output, V.
    pub volts: Option<f64>,
    pub zone: String,
    pub line: String,
    pub label: String,
    /// A label of the same line; none is the rack.
    pub from: Option<String>,
    /// Length of the run that feeds it, m.
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

/// Reads one row; every bad cell of it is a problem.
pub(super) fn read_row(
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
