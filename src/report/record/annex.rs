//! Checks, instruments, the design, method and limits, changes, seals.

use super::super::document::{Document, Table};
use super::super::record_rows::TickedRow;
use super::super::rows::Assessment;
use super::{minute, plain_table, reads_words};
use crate::diagnosis::FAULTS;
use crate::quantity::{Fraction, Ohm, show};

/// So many amplifiers in a cell.
const MOST_NAMED: usize = 30;

/// Labels of amplifiers; none of `all` missing is told in a word.
fn named(labels: &[String], all: usize) -> String {
    if labels.len() == all && all > 1 && labels.iter().all(|it| !it.contains(" of ")) {
        return "all amplifiers".to_owned();
    }
    let more = labels.len().saturating_sub(MOST_NAMED);
    let some = labels[..labels.len() - more].join(", ");
    if more > 0 {
        format!("{some} and {more} more")
    } else {
        some
    }
}

/// One item of a list over all amplifiers: in full, of which it is done and by whom, of which not.
fn item_over_amplifiers(rows: &[&TickedRow]) -> Vec<String> {
    let mut done: Vec<(String, Vec<String>)> = Vec::new();
    let mut waits: Vec<String> = Vec::new();
    for row in rows {
        let lines = match row.lines {
            Some([_, 0]) => continue,
            Some([done, of]) => format!(" {done} of {of}"),
            None => String::new(),
        };
        if row.lines.is_some_and(|[done, of]| done < of) || row.is.is_none() {
            let left = row
                .lines
                .map(|[done, of]| format!(" {} of {of}", of - done));
            waits.push(format!("{}{}", row.amplifier, left.unwrap_or_default()));
        }
        let Some(is) = row.is else { continue };
        let by = row.by.as_deref().unwrap_or_default();
        let at = row.at.as_deref().map_or_else(String::new, minute);
        let why = row
            .why
            .as_ref()
            .map_or_else(String::new, |why| format!("{is}, {why}; "));
        let says = format!(" ({why}{by}, {at})");
        let label = format!("{}{lines}", row.amplifier);
        match done.iter_mut().find(|it| it.0 == says) {
            Some(known) => known.1.push(label),
            None => done.push((says, vec![label])),
        }
    }
    let done: Vec<String> = done
        .iter()
        .map(|(says, labels)| format!("{}{says}", named(labels, rows.len())))
        .collect();
    vec![
        rows[0].text.to_owned(),
        if done.is_empty() && waits.is_empty() {
            "nothing to tick".to_owned()
        } else {
            done.join("; ")
        },
        named(&waits, rows.len()),
    ]
}

pub(super) fn checks(data: &Assessment, out: &mut Document) {
    out.chapter("Checks");
    for (list, title) in [
        ("rack", "At the rack, before a meter went on"),
        ("insulation", "Before insulation was read"),
        ("hand-back", "Handing back"),
    ] {
        let rows: Vec<&TickedRow> = data.ticks.iter().filter(|row| row.list == list).collect();
        let mut items: Vec<&str> = Vec::new();
        for row in &rows {
            if !items.contains(&row.item) {
                items.push(row.item);
            }
        }
        if items.is_empty() {
            continue;
        }
        out.section(title);
        let mut table = Table::new(&["item", "ticked, by whom and when, UTC", "not ticked"]);
        for item in items {
            let of: Vec<&TickedRow> = rows
                .iter()
                .copied()
                .filter(|row| row.item == item)
                .collect();
            table.row(item_over_amplifiers(&of));
        }
        out.table(table);
    }
    out.text("A tick records that a thing was done, by whom and when; it is no statement that anything is safe.");
    out.section("Known resistors read");
    if data.checks.is_empty() {
        out.text("No known resistor was read: a factor of the meter cannot be told from one of the building.");
    }
    let rows = data.checks.iter().map(|row| {
        vec![
            row.instrument.clone(),
            minute(&row.at),
            show::ohm(Ohm(row.known_ohm)),
            show::ohm(Ohm(row.read_ohm)),
            show::signed_percent(Fraction(row.deviation)),
        ]
    });
    out.table(plain_table(
        &["instrument", "when, UTC", ">known", ">read", ">deviation"],
        rows.collect(),
    ));
}

pub(super) fn instruments(data: &Assessment, out: &mut Document) {
    out.chapter("Instruments");
    if data.instruments.is_empty() {
        out.text("No reading was recorded.");
        return;
    }
    let mut table = Table::new(&[
        "instrument",
        "reads",
        ">accuracy",
        "serial number",
        "calibrated",
        "due",
        ">readings",
        "calibration",
    ]);
    for row in &data.instruments {
        table.strong_row(
            vec![
                row.instrument.clone(),
                reads_words(row.reads).to_owned(),
                show::percent(Fraction(row.accuracy)),
                row.serial.clone().unwrap_or_else(|| "not noted".to_owned()),
                row.calibrated
                    .clone()
                    .unwrap_or_else(|| "not noted".to_owned()),
                row.due.clone().unwrap_or_else(|| "not noted".to_owned()),
                row.readings.to_string(),
                row.flagged.clone().unwrap_or_else(|| "in date".to_owned()),
            ],
            row.flagged.is_some(),
        );
    }
    out.table(table);
    let flagged: Vec<String> = data
        .instruments
        .iter()
        .filter_map(|row| Some(format!("{}: {}", row.instrument, row.flagged.as_ref()?)))
        .collect();
    if !flagged.is_empty() {
        out.text(format!(
            "Every reading taken with these is flagged: {}.",
            flagged.join("; ")
        ));
    }
}

pub(super) fn design(data: &Assessment, out: &mut Document) {
    out.chapter("The design held against its limits");
    if data.design.is_empty() {
        out.text("Nothing to say: no output is planned past its headroom, no far end is under its limit, and one dead loudspeaker would show on every line.");
        return;
    }
    for (kind, title) in [
        ("planned-load", "Planned past the headroom"),
        ("far-end", "Far end under the limit"),
        (
            "lost-in-tolerance",
            "One dead loudspeaker can be lost in the tolerance",
        ),
    ] {
        let rows: Vec<Vec<String>> = data
            .design
            .iter()
            .filter(|row| row.kind == kind)
            .map(|row| vec![row.of.clone(), row.text.clone()])
            .collect();
        if !rows.is_empty() {
            out.section(title);
            out.table(plain_table(&["what", "matter"], rows));
        }
    }
}

fn number(it: f64) -> String {
    format!("{it}")
}

pub(super) fn method(data: &Assessment, out: &mut Document) {
    let of = |name: &str| {
        data.limits
            .iter()
            .find(|row| row.name == name)
            .map_or(0.0, |row| row.value)
    };
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
         value itself is shown beside it and not used.",
        show::percent(Fraction(of("tolerance"))),
        number(of("p_out.in_below")),
        number(of("p_out.out_above"))
    ));
    out.text(format!(
        "Insulation: cores joined, against earth (IEC 60364-6). Suspicions are probabilities over no fault, \
         each single fault and each pair of a list of {}, weighed by assumed rates; they are not findings.",
        FAULTS.len()
    ));
    let mut table = Table::new(&[
        "limit or assumption",
        ">value",
        ">default",
        "what",
        "source",
    ]);
    for row in &data.limits {
        table.row(vec![
            row.name.to_owned(),
            number(row.value),
            row.default.map_or_else(String::new, number),
            row.text.to_owned(),
            row.source.clone(),
        ]);
    }
    out.table(table);
}

pub(super) fn rates(data: &Assessment, out: &mut Document) {
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
         set, which is worth 50 looks (assumed). The figure learn_rates set to 0 turns it off.",
    );
}

pub(super) fn changes(data: &Assessment, out: &mut Document) {
    out.chapter("Log of changes");
    if data.changes.is_empty() {
        out.text("No repair, word, edit, strike or signature was recorded.");
        return;
    }
    let mut table = Table::new(&["when, UTC", "by", "what", "counts"]);
    for row in &data.changes {
        table.row(vec![
            minute(&row.at),
            row.by.clone(),
            row.text.clone(),
            if row.counts { "" } else { "struck" }.to_owned(),
        ]);
    }
    out.table(table);
    out.text(
        "Readings are in the site file and in `linewright log`; none is ever changed or deleted.",
    );
}

pub(super) fn seals(data: &Assessment, out: &mut Document) {
    out.chapter("Signature and seal");
    if data.seals.is_empty() {
        out.text("Not signed in the site file: no digest shows a later change.");
    }
    for seal in &data.seals {
        out.section(&format!("{}, {}", seal.name, seal.role));
        let mut rows = vec![
            vec!["signed for".to_owned(), seal.scope.clone()],
            vec!["visit".to_owned(), seal.visit.clone()],
            vec!["when, UTC".to_owned(), seal.at.clone()],
            vec![
                "facts".to_owned(),
                format!(
                    "{} lines and items, each with a digest of its own; canonical text {}",
                    seal.facts, seal.canon
                ),
            ],
            vec!["SHA-256".to_owned(), seal.sha256.clone()],
            vec![
                "seal".to_owned(),
                if seal.intact {
                    "intact: nothing that was signed has changed".to_owned()
                } else {
                    "BROKEN: what was signed has changed since".to_owned()
                },
            ],
        ];
        for change in &seal.changes {
            rows.push(vec!["changed".to_owned(), change.clone()]);
        }
        out.table(plain_table(&["", ""], rows));
    }
    out.section("On paper");
    let dots = || ".".repeat(34);
    let rows = ["handed over by", "taken over by", "witnessed by"];
    let rows = rows
        .iter()
        .map(|who| vec![(*who).to_owned(), dots(), dots(), dots()]);
    out.table(plain_table(
        &["", "name", "date", "signature"],
        rows.collect(),
    ));
    out.text(
        "A signature in the site file is on facts: designs, readings, answers, words and ticks. It claims neither safety nor \
         conformity to a law; local codes and licensed practice decide.",
    );
}
