//! The instruments that readings were taken with, the known resistors read with them, a reading as a row.
//!
//! Never here: figures of its own.

use super::line_done::SaidRow;
use super::record_rows::{CheckRow, InstrumentRow};
use super::rows::MeasuredRow;
use super::values::ohms;
use crate::analysis::Taken;
use crate::review::{calibration, label_of, one_or_two, used};
use crate::site::{Do, Entry, Instrument, PLAIN_ACCURACY, Reads, Ref, Site};

/// Whether an accuracy was given: a site file has one of every instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Given {
    /// It differs from the one that is assumed.
    Yes,
    /// It is the one that is assumed, and nothing else was said of the instrument.
    No,
    /// It is the one that is assumed, beside what was said of the instrument: it may have been given too.
    NotKnown,
}

impl Given {
    fn of(known: Option<&Instrument>) -> Self {
        match known {
            None => Self::No,
            Some(it) if it.accuracy != PLAIN_ACCURACY => Self::Yes,
            Some(it) => {
                let dates = it.calibrated.is_some() || it.due.is_some();
                let said = dates || it.serial.is_some() || it.step_ohm.is_some();
                if said { Self::NotKnown } else { Self::No }
            }
        }
    }
}

/// Every instrument that was read with on this visit.
pub(super) fn instruments(site: &Site) -> Vec<InstrumentRow> {
    used(site, &Ref::Site)
        .into_iter()
        .map(|(id, last)| {
            let known = site.plan().instrument(&id);
            let kind = known.map_or(Reads::Impedance, |it| it.reads);
            let (visit, hands) = (site.visit(), site.hands());
            let taken = |entry: &&Entry| {
                let state = match &entry.what {
                    Do::Read(it) if it.instrument == id => &it.state,
                    Do::Insulate(it) if it.instrument == id => &it.state,
                    _ => return false,
                };
                let line = entry.what.line();
                let states = line.map(|line| site.history(line).states(&visit));
                site.log().counts(&entry.id) && states.is_some_and(|all| all.contains(state))
            };
            InstrumentRow {
                instrument: label_of(site, &Ref::Instrument(id.clone())),
                reads: kind.as_str(),
                kind,
                accuracy: known.map_or(PLAIN_ACCURACY.get(), |it| it.accuracy.get()),
                given: Given::of(known),
                serial: known.and_then(|it| it.serial.clone()),
                calibrated: known.and_then(|it| it.calibrated).map(|it| it.to_string()),
                due: known.and_then(|it| it.due).map(|it| it.to_string()),
                readings: site.log().entries().iter().filter(taken).count(),
                flagged: calibration(site, &id, last),
                hands: hands
                    .persons(&id, &visit)
                    .into_iter()
                    .map(str::to_owned)
                    .collect(),
                one_or_two: one_or_two(site, &id),
            }
        })
        .collect()
}

/// Every known resistor read on this visit, in order.
pub(super) fn checks(site: &Site) -> Vec<CheckRow> {
    let visit = site.visit();
    site.log()
        .of_no_line()
        .into_iter()
        .filter_map(|entry| match &entry.what {
            Do::Check(it) if it.visit == visit => Some(CheckRow {
                instrument: label_of(site, &Ref::Instrument(it.instrument.clone())),
                at: entry.at.to_string(),
                known_ohm: it.known_ohm.get(),
                read_ohm: it.value.get(),
                deviation: it.value.get() / it.known_ohm.get() - 1.0,
                by: site
                    .hands()
                    .holder(&it.instrument, &visit, &site.log().measured(entry).by),
            }),
            _ => None,
        })
        .collect()
}

/// A reading of a line as a row.
pub(super) fn measured(site: &Site, taken: &Taken) -> MeasuredRow {
    let entry = || site.log().get(taken.entry.as_ref()?);
    MeasuredRow {
        ohms: ohms(taken.value),
        watts: taken.load.map(|it| it.get()),
        deviation: taken.deviation.map(|it| it.get()),
        when: taken.at.map(|at| at.to_string()),
        instrument: taken
            .instrument
            .as_ref()
            .map(|it| label_of(site, &Ref::Instrument(it.clone()))),
        hand: taken.hand.clone(),
        corrected: entry().and_then(SaidRow::of_correction),
        corrected_from: entry().and_then(|it| corrected_from(site, it)),
    }
}

/// Of a correction what stood before it, as it was typed; none where that was the same.
pub(super) fn corrected_from(site: &Site, entry: &Entry) -> Option<String> {
    let before = site.log().get(entry.corrects.as_ref()?)?;
    match (&before.what, &entry.what) {
        (Do::Read(was), Do::Read(is)) => (was.text != is.text).then(|| was.text.clone()),
        (Do::Insulate(was), Do::Insulate(is)) => (was.text != is.text).then(|| was.text.clone()),
        (Do::Check(was), Do::Check(is)) => (was.text != is.text).then(|| was.text.clone()),
        _ => None,
    }
}
