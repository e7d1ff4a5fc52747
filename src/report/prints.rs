//! Small prints: the chart for the rack door, the sheet for who walks without a laptop, labels.
//!
//! Never here: figures of a site that the assessment does not have.

use super::document::{Block, Document, Table};
use super::rows::{Assessment, LineRow};
use crate::quantity::{Metre, Ohm, Volt, Watt, show};
use crate::verdict;

/// Watts of the chart: the usual taps and what lines and outputs carry.
const WATTS: [f64; 27] = [
    0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 5.0, 6.0, 7.5, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0,
    60.0, 80.0, 100.0, 120.0, 150.0, 200.0, 240.0, 300.0, 400.0, 500.0,
];

/// Ohms of the chart.
const OHMS: [f64; 24] = [
    20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0, 400.0,
    500.0, 600.0, 800.0, 1000.0, 1500.0, 2000.0, 3000.0, 5000.0, 10_000.0, 20_000.0,
];

fn document(data: &Assessment, subtitle: &str) -> Document {
    Document {
        title: data.site.clone(),
        subtitle: subtitle.to_owned(),
        foot: format!("{}, {}", data.site, data.visit),
        blocks: Vec::new(),
    }
}

fn voltages(data: &Assessment) -> Vec<f64> {
    let mut out: Vec<f64> = data.outputs.iter().map(|row| row.line_v).collect();
    out.sort_by(f64::total_cmp);
    out.dedup();
    out
}

/// Ohms and watts at the site's line voltages, to tape inside the rack door.
#[must_use]
pub fn chart(data: &Assessment) -> Document {
    let mut out = document(data, "Ohms and watts at the line voltages of this building");
    out.text(
        "What a line reads, and what it takes at its nominal voltage: watts are V\u{b2} over ohms. The meter \
         reads impedance at 1 kHz; an ohmmeter reads windings and is no load reading. Amplifier off, locked \
         and proved dead before a meter goes on.",
    );
    let volts = voltages(data);
    let titles = |first: &str| {
        let mut titles = vec![format!(">{first}")];
        titles.extend(
            volts
                .iter()
                .map(|v| format!(">at {}", show::volt(Volt(*v)))),
        );
        titles
    };
    let table = |first: &str, rows: Vec<Vec<String>>| {
        let titles = titles(first);
        let titles: Vec<&str> = titles.iter().map(String::as_str).collect();
        let mut table = Table::new(&titles);
        rows.into_iter().for_each(|row| table.row(row));
        table
    };
    out.chapter("It takes: it should read");
    let rows = WATTS.iter().map(|watts| {
        let mut row = vec![show::marked_watt(Watt(*watts))];
        row.extend(
            volts
                .iter()
                .map(|v| show::ohm(verdict::ohms(Volt(*v), Watt(*watts)))),
        );
        row
    });
    out.table(table("load", rows.collect()).enlarged());
    out.blocks.push(Block::NewPage);
    out.chapter("It reads: it takes");
    let rows = OHMS.iter().map(|ohms| {
        let mut row = vec![show::ohm(Ohm(*ohms))];
        row.extend(
            volts
                .iter()
                .map(|v| show::watt(verdict::load(Volt(*v), Ohm(*ohms)))),
        );
        row
    });
    out.table(table("reading", rows.collect()).enlarged());
    out.chapter("The outputs of this building");
    let mut table = Table::new(&["output", ">line", ">rating", ">least it may read in all"]);
    for row in &data.outputs {
        let rated = row.rated_w.map(Watt);
        table.row(vec![
            row.name(),
            show::volt(Volt(row.line_v)),
            rated.map_or_else(|| "not known".to_owned(), show::marked_watt),
            rated.map_or_else(String::new, |rated| {
                show::ohm(verdict::ohms(Volt(row.line_v), rated))
            }),
        ]);
    }
    out.table(table);
    out
}

/// An empty box to tick by hand.
const BOX: &str = "\u{25a1}";

/// Loudspeakers in cable order with boxes: heard, silent, quiet, loud, distorted, and room for a word.
#[must_use]
pub fn walk_sheet(data: &Assessment) -> Document {
    let mut out = document(
        data,
        "Walk sheet: one box a loudspeaker, in the order of the cable",
    );
    out.text(
        "Tone on the line. One box a loudspeaker; too noisy to tell is an answer too: leave the row empty and \
         say so. No tone and no insulation test while hands are on a line.",
    );
    for row in &data.lines {
        out.section(&format!(
            "{}, {}, {}",
            row.line,
            row.zone,
            row.output_name()
        ));
        let mut table = Table::new(&[
            "at",
            "from",
            ">run",
            ">tap",
            "heard",
            "silent",
            "quiet",
            "loud",
            "distorted",
            "note",
        ]);
        for node in &row.nodes {
            let speaks = node.what == "loudspeaker";
            let boxed = || if speaks { BOX } else { "" }.to_owned();
            let control = if node.control {
                ", behind a control"
            } else {
                ""
            };
            table.row(vec![
                node.at.clone(),
                format!("{}{control}", node.from.as_deref().unwrap_or("rack")),
                node.run_m
                    .map_or_else(|| "?".to_owned(), |it| show::metre(Metre(it))),
                node.tap_w
                    .map_or_else(|| node.what.to_owned(), |it| show::marked_watt(Watt(it))),
                boxed(),
                boxed(),
                boxed(),
                boxed(),
                boxed(),
                "................".to_owned(),
            ]);
        }
        out.table(table);
    }
    out
}

/// A label for each line, three in a row, to be cut out.
#[must_use]
pub fn labels(data: &Assessment) -> Document {
    let mut out = document(data, "Labels for lines, to be cut out");
    let mut table = Table::new(&["", "", ""]);
    // Of a line whose output is in question nobody knows.
    let line_v = |row: &LineRow| {
        let mut outputs = data.outputs.iter();
        let own = outputs.find(|it| it.amplifier == row.amplifier && it.output == row.output);
        own.map_or_else(String::new, |it| {
            format!(", {}", show::volt(Volt(it.line_v)))
        })
    };
    let cells: Vec<String> = data
        .lines
        .iter()
        .map(|row| {
            let ohms = row.expected.ohms.as_f64().map_or_else(String::new, |it| {
                format!(", should read {}", show::ohm(Ohm(it)))
            });
            let taps = row.design_w.map_or_else(String::new, |it| {
                format!(", {}", show::marked_watt(Watt(it)))
            });
            format!(
                "{}  {}  {}{}{taps}{ohms}",
                row.line,
                row.zone,
                row.output_name(),
                line_v(row)
            )
        })
        .collect();
    for three in cells.chunks(3) {
        let mut row = three.to_vec();
        row.resize(3, String::new());
        table.row(row);
    }
    out.table(table.enlarged());
    out
}
