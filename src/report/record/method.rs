//! The method in words, the limits and rates in force.
//!
//! Never here: a limit of its own.

use super::super::document::{Document, Table};
use super::super::record_rows::LimitRow;
use super::super::rows::Assessment;
use crate::diagnosis::fixed;
use crate::quantity::{Decibel, Fraction, Ohm, show};
use crate::site::Reads;

fn number(it: f64) -> String {
    format!("{it}")
}

/// The chapter on method and limits.
pub(super) fn method(data: &Assessment, out: &mut Document) {
    let of = |name: &str| data.limit(name);
    out.chapter("Method and limits");
    out.text(format!(
        "The measurand is the load of a line at the rack, line whole, at {} Hz, as the ratio of the load \
         drawn: |Z| drawn over |Z| read. A loudspeaker tapped at P watts on a line of V volts is taken as \
         V\u{b2}/P; cables are exact two-ports with the resistance of IEC 60228. Strictly a load is in \
         volt-amperes; near 1 kHz the trade says watts.",
        number(of("test_hz"))
    ));
    out.text(format!(
        "Decision rule, in the terms of JCGM 106: the tolerance interval is \u{b1}{} of the load drawn. The \
         conformance probability is that of a Normal about the reading, the meter's factor learned from \
         the whole site and taken out, its own uncertainty kept (accuracy / \u{221a}3, rectangular, JCGM 100 \
         4.3.7; last digit; contacts). In tolerance: probability of non-conformity under {}; out of \
         tolerance: over {}; between: too close to call, and it wants a word. The spread of the drawn \
         value itself is not used.",
        show::percent(Fraction(of("tolerance"))),
        number(of("p_out.in_below")),
        number(of("p_out.out_above"))
    ));
    let faults = data.rates.iter();
    let faults = faults.map(|row| format!("{} {}", row.fault.replace('-', " "), row.set));
    let faults: Vec<String> = faults.collect();
    out.text(format!(
        "Insulation: cores joined, against earth (IEC 60364-6). Suspicions are probabilities over no fault, \
         each single fault and each pair of these, weighed by the rates behind them, each where it can sit \
         (assumed): {}. They are not findings.",
        faults.join(", ")
    ));
    let mut table = Table::new(&["limit or assumption", ">value", ">default", "source"]);
    let is_used = |name: &str| match name {
        // Without an earlier visit nothing was held against it.
        _ if name.starts_with("drift.") => data.baseline.is_some(),
        "unknown_run_m" => data
            .lines
            .iter()
            .any(|row| row.nodes.iter().any(|it| it.run_m.is_none())),
        "dc.winding_ratio" => data
            .lines
            .iter()
            .any(|row| row.done.beside.iter().any(|it| it.reads == Reads::Dc)),
        _ => true,
    };
    for row in data.limits.iter().filter(|row| is_used(row.name)) {
        let (what, value) = limit_words(row, row.value);
        let default = row
            .default
            .map_or_else(String::new, |it| limit_words(row, it).1);
        table.row(vec![what, value, default, row.source.clone()]);
    }
    // These are the same on every site.
    for it in fixed() {
        let about = format!("{}, fixed", it.about);
        table.row(vec![about, it.value, String::new(), it.source.to_string()]);
    }
    out.table(table);
}

/// Units that the words of a limit end with.
const UNITS: [&str; 8] = [
    "ohm",
    "Hz",
    "C",
    "dB re nominal",
    "m",
    "min",
    "uH/m",
    "pF/m",
];

/// What a limit is, and its value with the unit.
fn limit_words(row: &LimitRow, value: f64) -> (String, String) {
    let (what, unit) = match row.text.rsplit_once(", ") {
        Some((what, unit)) if UNITS.contains(&unit) => (what, unit),
        _ => (row.text, ""),
    };
    let value = match (unit, row.name) {
        ("ohm", _) => show::ohm(Ohm(value)),
        ("dB re nominal", _) => show::decibel(Decibel(value)),
        ("", "tolerance" | "headroom") => show::percent(Fraction(value)),
        ("", _) => number(value),
        (unit, _) => format!("{} {unit}", number(value)),
    };
    (what.to_owned(), value)
}

/// Its section on the rates in force, where anything was looked at.
pub(super) fn rates(data: &Assessment, out: &mut Document) {
    let is_off = |row: &LimitRow| row.name == "learn_rates" && row.value <= 0.0;
    if data.limits.iter().any(is_off) {
        out.text(
            "Causes that repairs confirmed are not counted here, by this site's own figure: suspects are weighed by the \
             rates as they were set.",
        );
        return;
    }
    let mut table = Table::new(&["fault", ">set", ">confirmed", ">looked at", ">counted in"]);
    for row in data.rates.iter().filter(|row| row.looked_at > 0) {
        table.row(vec![
            row.fault.replace('-', " "),
            format!("{:.4}", row.set),
            row.confirmed.to_string(),
            row.looked_at.to_string(),
            format!("{:.4}", row.rate),
        ]);
    }
    if table.rows.is_empty() {
        return;
    }
    out.section("Rates that suspects are weighed by");
    out.table(table);
    out.text(
        "Causes that repairs confirmed, and all that was found well, are counted beside the rate that was \
         set, which is worth 50 looks (assumed).",
    );
}
