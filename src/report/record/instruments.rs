//! The instruments, what was learned of each, the known resistors read with them.
//!
//! Never here: what a meter is worth.

use super::super::document::{Document, Table};
use super::super::meters::Given;
use super::super::record_rows::InstrumentRow;
use super::super::rows::Assessment;
use super::cells::{expanded, minute};
use crate::diagnosis::CHECK_SPREAD;
use crate::quantity::{Fraction, Ohm, show};
use crate::site::PLAIN_ACCURACY;

/// The accuracy of an instrument; a word behind one that is or may be assumed.
fn accuracy(row: &InstrumentRow) -> String {
    let share = show::percent(Fraction(row.accuracy));
    match row.given {
        Given::Yes => share,
        Given::No => format!("{share}, assumed"),
        Given::NotKnown => format!("{share}, given or assumed"),
    }
}

/// The chapter on the instruments.
pub(super) fn instruments(data: &Assessment, out: &mut Document) {
    out.chapter("Instruments");
    if data.instruments.is_empty() {
        out.text("No reading was recorded.");
        return;
    }
    let mut table = Table::new(&[
        "instrument",
        "measures",
        ">accuracy",
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
                accuracy(row),
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
    if data
        .instruments
        .iter()
        .any(|row| row.given == Given::NotKnown)
    {
        out.text(format!(
            "Given or assumed: {} is also what is taken where none is given, and the site file does not tell one from the other.",
            show::percent(PLAIN_ACCURACY)
        ));
    }
    out.text(
        "Learned: by how much it reads over the true value, from the known resistor and all lines together, with an \
         interval of 95 %; this is why a reading's 95 % is narrower than its accuracy. Readings, watts and \
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
