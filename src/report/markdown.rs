//! The assessment as text: Markdown that reads well as it stands.

use super::assessment::Assessment;
use crate::analysis::Analyst;
use crate::quantity::{Decibel, Fraction, Ohm, Probability, Value, Watt, show};
use crate::review::{self, Flagged};
use crate::site::Site;
use std::fmt::Write;

/// Rows of a table with a header; columns are as wide as their widest cell.
struct Table {
    rows: Vec<Vec<String>>,
}

impl Table {
    fn new(header: &[&str]) -> Self {
        Self {
            rows: vec![header.iter().map(|cell| (*cell).to_owned()).collect()],
        }
    }

    fn row(&mut self, cells: Vec<String>) {
        // A bar in a label would end the cell.
        self.rows.push(
            cells
                .into_iter()
                .map(|cell| cell.replace('|', "\\|"))
                .collect(),
        );
    }

    fn write(&self, out: &mut String) {
        let width = |text: &str| unicode_width::UnicodeWidthStr::width(text);
        let columns = self.rows.first().map_or(0, Vec::len);
        let widths: Vec<usize> = (0..columns)
            .map(|at| {
                self.rows
                    .iter()
                    .map(|row| width(&row[at]))
                    .max()
                    .unwrap_or(0)
                    .max(3)
            })
            .collect();
        for (number, row) in self.rows.iter().enumerate() {
            out.push('|');
            for (cell, cells) in row.iter().zip(&widths) {
                let fill = " ".repeat(cells - width(cell));
                let _ = write!(out, " {cell}{fill} |");
            }
            out.push('\n');
            if number == 0 {
                out.push('|');
                for cells in &widths {
                    let _ = write!(out, " {} |", "-".repeat(*cells));
                }
                out.push('\n');
            }
        }
        out.push('\n');
    }
}

/// The text of an assessment.
#[must_use]
pub fn assessment(site: &Site, analyst: &Analyst, data: &Assessment) -> String {
    let counts = analyst.counts();
    let mut out = format!("# {}\n\n", data.site);
    let _ = writeln!(
        out,
        "{} of {} lines read, {} out of tolerance, {} OFF the amplifier.\n",
        counts.read, counts.lines, counts.out, counts.off
    );
    outputs(data, &mut out);
    looks(site, analyst, data, &mut out);
    lines(data, &mut out);
    suspects(data, &mut out);
    out.push_str(
        "What was measured is stated as measured. It is no statement that anything is safe or meets\n\
         a code; local codes and licensed practice decide.\n",
    );
    out
}

fn outputs(data: &Assessment, out: &mut String) {
    out.push_str("## Outputs\n\n");
    let mut table = Table::new(&[
        "output", "load", "rating", "used", "verdict", "needs", "unread",
    ]);
    for row in &data.outputs {
        let used = row
            .headroom
            .map_or_else(String::new, |left| show::percent(Fraction(1.0 - left)));
        let verdict = if row.stop.is_empty() {
            row.verdict.replace('-', " ")
        } else {
            format!("STOP: {} reads short", row.stop.join(", "))
        };
        table.row(vec![
            format!("{} out {}", row.amplifier, row.output),
            row.load_w
                .map_or_else(|| "unknown".to_owned(), |w| show::watt(Watt(w))),
            row.rated_w
                .map_or_else(|| "not known".to_owned(), |w| show::marked_watt(Watt(w))),
            used,
            verdict,
            row.rating_needed_w
                .map_or_else(String::new, |w| show::watt(Watt(w))),
            row.unmeasured_lines.to_string(),
        ]);
    }
    table.write(out);
}

fn looks(site: &Site, analyst: &Analyst, data: &Assessment, out: &mut String) {
    let shown = |label: &str| data.lines.iter().any(|row| row.line == label);
    let flagged: Vec<String> = review::flagged(site, analyst)
        .into_iter()
        .filter_map(|(why, flagged)| match flagged {
            Flagged::Line(at) => {
                let label = &site.plan().lines[at].label;
                shown(label).then(|| format!("{label}: {}", why.words()))
            }
            Flagged::Output(at) => {
                let output = &site.plan().outputs[at];
                Some(format!(
                    "{} out {}: {}",
                    output.amplifier,
                    output.label,
                    why.words()
                ))
            }
        })
        .collect();
    out.push_str("## Wants a look, worst first\n\n");
    if flagged.is_empty() {
        out.push_str("Nothing that was read so far.\n\n");
        return;
    }
    for (number, words) in flagged.iter().enumerate() {
        let _ = writeln!(out, "{}. {words}", number + 1);
    }
    out.push('\n');
}

fn value_text(value: &serde_json::Value) -> String {
    match (value.as_f64(), value.as_str()) {
        (Some(ohm), _) => show::ohm(Ohm(ohm)),
        (None, Some(word)) => word.to_owned(),
        (None, None) => String::new(),
    }
}

fn lines(data: &Assessment, out: &mut String) {
    out.push_str("## Lines\n\n");
    let mut table = Table::new(&[
        "line",
        "zone",
        "expected",
        "load",
        "read",
        "load",
        "deviation",
        "verdict",
        "p out",
        "heard",
        "far end",
        "off",
    ]);
    for row in &data.lines {
        let watts = |w: Option<f64>| w.map_or_else(String::new, |w| show::watt(Watt(w)));
        let measured = row.measured.as_ref();
        let heard = if row.heard[0] > 0 {
            format!("{} of {}", row.heard[0], row.heard[1])
        } else {
            String::new()
        };
        table.row(vec![
            row.line.clone(),
            row.zone.clone(),
            value_text(&row.expected.ohms),
            watts(row.expected.watts),
            measured.map_or_else(String::new, |it| value_text(&it.ohms)),
            measured.map_or_else(String::new, |it| watts(it.watts)),
            measured
                .and_then(|it| it.deviation)
                .map_or_else(String::new, |it| show::signed_percent(Fraction(it))),
            row.verdict.unwrap_or("question").replace('-', " "),
            row.p_out
                .map_or_else(String::new, |p| show::p_figure(Probability(p))),
            heard,
            row.far_end_db
                .map_or_else(String::new, |db| show::decibel(Decibel(db))),
            if row.off {
                "OFF".to_owned()
            } else {
                String::new()
            },
        ]);
    }
    table.write(out);
}

fn suspects(data: &Assessment, out: &mut String) {
    let mut any = false;
    for row in data.lines.iter().filter(|row| !row.hints.is_empty()) {
        let misfit = row.misfit.unwrap_or(0.0);
        if row.verdict == Some("in-tolerance") && misfit <= 0.5 && row.hints[0].fault == "none" {
            continue;
        }
        if !any {
            out.push_str("## Why, likeliest first\n\n");
            any = true;
        }
        let _ = writeln!(out, "{}", row.line);
        if misfit > 0.5 {
            let _ = writeln!(
                out,
                "- fits nothing, {}: read it again; zero the leads; is this the right pair?",
                show::probability(Probability(misfit))
            );
        }
        for hint in row
            .hints
            .iter()
            .filter(|hint| hint.probability >= 0.01)
            .take(5)
        {
            let _ = writeln!(
                out,
                "- {}: {}",
                show::probability(Probability(hint.probability)),
                hint.text
            );
        }
        out.push('\n');
    }
}

/// One reading without a site: watts, and the rating that leaves the headroom.
#[must_use]
pub fn one_reading(volts: crate::quantity::Volt, value: Value, headroom: Fraction) -> String {
    match value {
        Value::Open => format!("open at {}: no load\n", show::volt(volts)),
        Value::Short => format!("short at {}: must not be connected\n", show::volt(volts)),
        Value::Ohm(ohm) => {
            let load = crate::verdict::load(volts, ohm);
            let needed = crate::verdict::rating_needed(load, headroom);
            format!(
                "{} at {} loads the amplifier with {}\na rating of {} leaves {:.0} % headroom\n",
                show::ohm(ohm),
                show::volt(volts),
                show::watt(load),
                show::watt(needed),
                headroom.get() * 100.0
            )
        }
    }
}
