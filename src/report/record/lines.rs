//! Lines: as designed, as found, as left.
//!
//! Never here: what a reading is worth.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, LineRow, MeasuredRow};
use super::super::values::{ohms_text, signed};
use super::cells::{expanded, listed, marked, reading, verdict_words, watts};
use crate::quantity::{Probability, show};

/// A verdict in a narrow column.
fn in_short(verdict: Option<&str>) -> String {
    match verdict {
        Some("out-of-tolerance") => "OUT".to_owned(),
        Some("too-close") => "too close".to_owned(),
        other => verdict_words(other),
    }
}

/// So many lines in one picture.
const LINES_A_PICTURE: usize = 44;

/// `, with LH-2 EOL, TH-2 EOL`: what is drawn on lines beside loudspeakers, and counts in what they should take.
fn devices(data: &Assessment) -> String {
    let of = |row: &LineRow| {
        let nodes = row.nodes.iter().filter(|node| node.what == "device");
        let labels = nodes.map(|node| format!("{} {}", row.line, node.at));
        labels.collect::<Vec<_>>()
    };
    let all: Vec<String> = data.lines.iter().flat_map(of).collect();
    match all.len() {
        0 => String::new(),
        1..=MOST_DEVICES => format!(", with {}", all.join(", ")),
        many => format!(", with {many} devices beside loudspeakers"),
    }
}

/// Readings of which the last digit is most of what is uncertain.
fn coarse(data: &Assessment) -> String {
    let is = |row: &&LineRow| {
        let ohms = row.measured.as_ref().and_then(|it| it.ohms.as_f64());
        let figures = (ohms, row.reading, row.u_rel);
        let (Some(ohms), Some(reading), Some(u)) = figures else {
            return false;
        };
        // Half a step either way, rectangular, is most of the variance.
        let digit = reading.step_ohm / 2.0 / 3f64.sqrt() / ohms;
        !is_stop(data, row) && 2.0 * digit * digit > u * u
    };
    let lines = data.lines.iter().filter(is);
    let lines: Vec<&str> = lines.map(|row| row.line.as_str()).collect();
    match lines.is_empty() {
        true => String::new(),
        false => format!(
            ", mostly the last digit of the display on {}",
            listed(&lines)
        ),
    }
}

/// Whether it reads as good as short.
fn is_stop(data: &Assessment, row: &LineRow) -> bool {
    data.outputs.iter().any(|it| it.stop.contains(&row.line))
}

/// So many devices are named.
const MOST_DEVICES: usize = 8;

/// The chapter on the lines.
pub(super) fn lines(data: &Assessment, out: &mut Document) {
    out.chapter("Lines");
    out.text(format!(
        "Should: at the rack, as drawn, cables reckoned{}; taps are those of loudspeakers alone. As found, as left: before \
         and after what was mended on this visit. Deviation: load as left over load drawn, less one, as read: a meter \
         that reads low makes it too high by as much (see Instruments). 95 %: half the interval that is left once that \
         is taken out{}. P out: the probability that the load, with that taken out, is out of tolerance; it takes the \
         reading as it stands, also where that is suspected to be mistaken.",
        devices(data),
        coarse(data)
    ));
    let mut table = Table::new(&[
        "line",
        "zone",
        ">taps",
        ">should read",
        ">should take",
        ">as found",
        ">as left",
        ">takes",
        ">deviation",
        ">95 %",
        "verdict",
        ">p out",
    ]);
    for row in &data.lines {
        let left = row.as_left.as_ref();
        // Of a short the meter and its contacts tell no load.
        let short = is_stop(data, row);
        let load = left.filter(|_| !short);
        table.strong_row(
            vec![
                row.line.clone(),
                row.zone.clone(),
                marked(row.design_w),
                ohms_text(&row.expected.ohms),
                watts(row.expected.watts),
                reading(row.as_found.as_ref()),
                reading(left.or(row.measured.as_ref())),
                if short {
                    "not known".to_owned()
                } else {
                    watts(load.and_then(|it| it.watts))
                },
                signed(load.and_then(|it| it.deviation)),
                expanded(row.u_rel.filter(|_| !short)),
                in_short(row.verdict_told()),
                row.p_out
                    .map_or_else(String::new, |p| show::p_figure(Probability(p))),
            ],
            row.is_out(),
        );
    }
    out.table(table);
    let read: Vec<&LineRow> = data
        .lines
        .iter()
        .filter(|row| {
            let ohms = |it: &MeasuredRow| it.deviation.is_some() || it.ohms == "open";
            row.measured.as_ref().is_some_and(ohms)
        })
        .collect();
    let count = read.len().div_ceil(LINES_A_PICTURE);
    for (at, part) in read.chunks(LINES_A_PICTURE).enumerate() {
        out.picture(pictures::deviations(data, part, (at + 1, count)));
    }
}
