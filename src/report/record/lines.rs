//! Outputs and lines: as designed, as found, as left.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, InsulationRow, LineRow};
use super::{expanded, marked, ohms_text, reading, signed, verdict_words, watts};
use crate::quantity::{Decibel, Fraction, Ohm, Probability, Volt, show};
use crate::site::Heard;

pub(super) fn outputs(data: &Assessment, out: &mut Document) {
    out.chapter("Outputs");
    let mut table = Table::new(&[
        "output",
        ">line",
        ">carries",
        ">rating",
        ">used",
        "verdict",
        ">rating needed",
        ">unread lines",
    ]);
    for row in &data.outputs {
        let used = row
            .headroom
            .filter(|_| row.stop.is_empty())
            .map_or_else(String::new, |left| show::percent(Fraction(1.0 - left)));
        let verdict = match row.verdict {
            _ if !row.stop.is_empty() => {
                format!("STOP: {} must not be connected", row.stop.join(", "))
            }
            "unknown" => "no rating known".to_owned(),
            "overloaded" => "over its rating".to_owned(),
            word => word.replace('-', " "),
        };
        let strong = !row.stop.is_empty() || row.verdict == "overloaded";
        table.strong_row(
            vec![
                format!("{} out {}", row.amplifier, row.output),
                show::volt(Volt(row.line_v)),
                row.load_w
                    .filter(|_| row.stop.is_empty())
                    .map_or_else(|| "not known".to_owned(), |w| watts(Some(w))),
                row.rated_w
                    .map_or_else(|| "not known".to_owned(), |w| marked(Some(w))),
                used,
                verdict,
                watts(row.rating_needed_w),
                match row.unmeasured_lines {
                    0 => String::new(),
                    count => count.to_string(),
                },
            ],
            strong,
        );
    }
    out.table(table);
    out.text("Lines read count as read, unread lines as drawn. No load is lowered by what is known of a meter.");
    out.picture(pictures::loads(data));
}

/// So many lines in one picture.
const LINES_A_PICTURE: usize = 44;

pub(super) fn lines(data: &Assessment, out: &mut Document) {
    out.chapter("Lines");
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
        let short = data.outputs.iter().any(|it| it.stop.contains(&row.line));
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
                verdict_words(row.verdict),
                row.p_out
                    .map_or_else(String::new, |p| show::p_figure(Probability(p))),
            ],
            row.verdict == Some("out-of-tolerance"),
        );
    }
    out.table(table);
    out.text(
        "Taps: their sum as drawn. Should read, should take: at the rack, as drawn, cables reckoned. As found and as left: the last \
         readings of the visit's first and last state of the line. Deviation: load as left over load drawn, \
         less one. 95 %: twice the standard uncertainty of the reading (meter, last digit, contacts). p out: \
         probability that the load is out of tolerance.",
    );
    let read: Vec<&LineRow> = data
        .lines
        .iter()
        .filter(|row| {
            row.measured
                .as_ref()
                .is_some_and(|it| it.deviation.is_some())
        })
        .collect();
    let count = read.len().div_ceil(LINES_A_PICTURE);
    for (at, part) in read.chunks(LINES_A_PICTURE).enumerate() {
        out.picture(pictures::deviations(data, part, (at + 1, count)));
    }
    out.section("Served, listened to, left");
    let mut table = Table::new(&[
        "line",
        "output",
        ">far end",
        ">heard",
        ">of",
        "off",
        "read with",
        "when, UTC",
        "word",
    ]);
    for row in &data.lines {
        let left = row.as_left.as_ref();
        table.strong_row(
            vec![
                row.line.clone(),
                format!("{} out {}", row.amplifier, row.output),
                row.far_end_db
                    .map_or_else(String::new, |db| show::decibel(Decibel(db))),
                if row.asked > 0 {
                    row.heard[0].to_string()
                } else {
                    String::new()
                },
                row.heard[1].to_string(),
                if row.off { "OFF" } else { "" }.to_owned(),
                left.and_then(|it| it.instrument.clone())
                    .unwrap_or_default(),
                left.and_then(|it| it.when.as_deref())
                    .map_or_else(String::new, super::minute),
                row.word.clone().unwrap_or_default(),
            ],
            row.off,
        );
    }
    out.table(table);
    out.text("Far end: level at the loudspeaker that gets least, as drawn. Heard: loudspeakers that gave any sound, of how many; empty where nobody listened.");
}

fn insulation_text(row: &InsulationRow) -> String {
    let above = if row.above_range { "over " } else { "" };
    format!("{above}{}", show::ohm(Ohm(row.ohms)))
}

pub(super) fn insulation(data: &Assessment, out: &mut Document) {
    out.chapter("Insulation against earth");
    let mut table = Table::new(&["line", ">insulation", ">test voltage", "verdict"]);
    for row in &data.lines {
        if let Some(it) = &row.insulation {
            table.strong_row(
                vec![
                    row.line.clone(),
                    insulation_text(it),
                    show::volt(Volt(it.test_v)),
                    verdict_words(Some(it.verdict)),
                ],
                it.verdict == "out-of-tolerance",
            );
        } else if let Some(it) = &row.insulation_before {
            table.row(vec![
                row.line.clone(),
                insulation_text(it),
                show::volt(Volt(it.test_v)),
                "read before the repair, wants reading again".to_owned(),
            ]);
        }
    }
    if table.rows.is_empty() {
        out.text("No insulation reading was recorded.");
    } else {
        out.table(table);
    }
}

/// Answers that are as they should be.
const WELL: &str = "heard";
/// No answer at all.
pub(super) const NOISY: &str = Heard::Noisy.word();

pub(super) fn heard(data: &Assessment, out: &mut Document) {
    let mut table = Table::new(&["line", "loudspeaker", "heard"]);
    let mut noisy: Vec<String> = Vec::new();
    for row in &data.lines {
        for node in &row.nodes {
            let word = match (node.heard, node.reversed) {
                (Some(word), true) if word != "polarity reversed" => {
                    format!("{word}, polarity reversed")
                }
                (Some(NOISY), _) => {
                    noisy.push(format!("{} {}", row.line, node.at));
                    continue;
                }
                (Some(word), _) if word != WELL => word.to_owned(),
                _ => continue,
            };
            table.row(vec![row.line.clone(), node.at.clone(), word]);
        }
    }
    out.chapter("Heard, but not as it should be");
    if table.rows.is_empty() {
        out.text("No loudspeaker that was listened to gave another answer than heard.");
    } else {
        out.table(table);
    }
    if !noisy.is_empty() {
        out.text(format!(
            "Too noisy to tell, which is no answer: {}.",
            noisy.join(", ")
        ));
    }
}
