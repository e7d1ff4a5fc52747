//! Instruments, the design, method and limits, seals.

use super::super::document::{Document, Table};
use super::super::record_rows::{InstrumentRow, LimitRow};
use super::super::rows::Assessment;
use super::cells::{expanded, minute, plain_table};
use crate::diagnosis::CHECK_SPREAD;
use crate::quantity::{Decibel, Fraction, Ohm, show};

pub(super) fn instruments(data: &Assessment, out: &mut Document) {
    out.chapter("Instruments");
    if data.instruments.is_empty() {
        out.text("No reading was recorded.");
        return;
    }
    let mut table = Table::new(&[
        "instrument",
        "measures",
        ">accuracy given",
        ">learned",
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
                row.kind.words().to_owned(),
                show::percent(Fraction(row.accuracy)),
                learned(data, row),
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
    for row in &data.instruments {
        if let Some(words) = &row.one_or_two {
            out.text(format!("{}: {words}.", row.instrument));
        }
    }
    out.text(
        "Learned: by how much it reads over the true value, from the known resistor and all lines together, with an \
         interval of 95 %; this is why a reading's 95 % is narrower than the accuracy given. Readings, watts and \
         deviations are printed as read. Only verdicts, p out and suspects take it out.",
    );
    if data.checks.is_empty() {
        out.text("No known resistor was read: a factor of the meter cannot be told from one of the building.");
    }
    let read = data.checks.iter().map(|row| {
        format!(
            "Known resistor, {} UTC, {}{}: {} read {}, {}; its own standard uncertainty is taken as {} (assumed).",
            minute(&row.at),
            row.instrument,
            row.by.as_ref().map_or_else(String::new, |by| format!(" of {by}")),
            show::ohm(Ohm(row.known_ohm)),
            show::ohm(Ohm(row.read_ohm)),
            show::signed_percent(Fraction(row.deviation)),
            show::percent(Fraction(CHECK_SPREAD))
        )
    });
    out.points(read.collect());
}

/// What was learned of an instrument, of the lines that were read with it; of one that is perhaps several, in
/// the hands of each.
fn learned(data: &Assessment, instrument: &InstrumentRow) -> String {
    let of = |hand: Option<&String>| {
        let mut own = data.lines.iter().filter(|row| {
            let with = row.measured.as_ref();
            with.is_some_and(|it| {
                it.instrument.as_ref() == Some(&instrument.instrument) && it.hand.as_ref() == hand
            })
        });
        own.find_map(|row| row.reading)
            .map_or_else(String::new, |it| {
                let factor = show::signed_percent(Fraction(it.ln_factor.exp_m1()));
                format!("{factor} {}", expanded(Some(it.u_ln_factor)))
            })
    };
    if instrument.hands.is_empty() {
        return of(None);
    }
    let hands = instrument.hands.iter();
    let each: Vec<String> = hands.map(|by| format!("{by}: {}", of(Some(by)))).collect();
    each.join("; ")
}

pub(super) fn design(data: &Assessment, out: &mut Document) {
    out.chapter("The design held against its limits");
    if data.design.is_empty() {
        out.text("Nothing to say: no output is planned past the headroom, no far end is under its limit, and one dead loudspeaker would show on every line.");
        return;
    }
    for (kind, title) in [
        ("planned-load", "Planned past the headroom or the rating"),
        ("far-end", "Far end under the limit"),
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
    lost(data, out);
}

/// Lines on which one dead loudspeaker does not show, by how many they have.
fn lost(data: &Assessment, out: &mut Document) {
    struct Group<'a> {
        of: String,
        lines: Vec<&'a str>,
        shows: Vec<[f64; 2]>,
    }
    let mut groups: Vec<Group<'_>> = Vec::new();
    for row in &data.design {
        let Some(shows) = row.shows else { continue };
        let of = match row.value < row.against {
            true => format!("{} of {}", row.value, row.against),
            false => format!("{}", row.against),
        };
        match groups.iter_mut().find(|it| it.of == of) {
            Some(group) => {
                group.lines.push(&row.of);
                group.shows.push(shows);
            }
            None => groups.push(Group {
                of,
                lines: vec![&row.of],
                shows: vec![shows],
            }),
        }
    }
    if groups.is_empty() {
        return;
    }
    let span = |all: &[[f64; 2]], which: usize| {
        let of = all.iter().map(|it| it[which]);
        let share = |it: f64| show::percent(Fraction(it));
        let least = share(of.clone().fold(f64::INFINITY, f64::min));
        let most = share(of.fold(0.0, f64::max));
        if least == most {
            most
        } else {
            format!("{least} to {most}")
        }
    };
    let rows = groups.iter().map(|it| {
        vec![
            it.lines.join(", "),
            it.of.clone(),
            span(&it.shows, 0),
            span(&it.shows, 1),
        ]
    });
    out.section("Where a reading at the rack does not show one dead loudspeaker");
    out.text(
        "It lowers the load by less than what shows, which is twice the spread of one reading: the meter by its accuracy \
         given, contacts, and what the drawing leaves open of types, loudspeakers and lengths. Listen, or split the line.",
    );
    out.table(plain_table(
        &[
            "lines",
            ">loudspeakers",
            ">one dead lowers the load by",
            ">shows from",
        ],
        rows.collect(),
    ));
}

fn number(it: f64) -> String {
    format!("{it}")
}

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
    // Without an earlier visit nothing was held against it.
    let is_used = |name: &str| !name.starts_with("drift.") || data.baseline.is_some();
    for row in data.limits.iter().filter(|row| is_used(row.name)) {
        let (what, value) = limit_words(row, row.value);
        let default = row
            .default
            .map_or_else(String::new, |it| limit_words(row, it).1);
        table.row(vec![what, value, default, row.source.clone()]);
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

pub(super) fn seals(data: &Assessment, out: &mut Document) {
    out.chapter("Signature and seal");
    if data.seals.is_empty() {
        out.text("Not signed in the site file: no digest shows a later change.");
    }
    for seal in &data.seals {
        out.section(&format!("{}, {}", seal.name, seal.role));
        let mut rows = vec![
            vec!["signed for".to_owned(), seal.scope.clone()],
            vec![
                "visit".to_owned(),
                match data.unsigned() {
                    Some(words) => format!("{}, an earlier one; {words}", seal.visit),
                    None => seal.visit.clone(),
                },
            ],
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
                } else if seal.taken_back {
                    "figures as sealed: what was recorded since was taken back again".to_owned()
                } else {
                    "BROKEN: what was signed has changed since".to_owned()
                },
            ],
        ];
        for change in &seal.changes {
            let what = if seal.taken_back { "since" } else { "changed" };
            rows.push(vec![what.to_owned(), change.clone()]);
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
