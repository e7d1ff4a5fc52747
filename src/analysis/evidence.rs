//! What the log holds of a line's latest state, as evidence for the diagnosis.

use crate::diagnosis::{Evidence, Meter, Reading};
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{EntryId, InstrumentId, LinePlan, Read, Site, VisitId};

/// Every reading of the latest state that is weighed, earliest first, but the one that another is
/// about to take the place of.
pub(super) fn evidence(site: &Site, line: &LinePlan, corrected: Option<&EntryId>) -> Evidence {
    let history = site.history(&line.id);
    let state = history.state();
    let hz = site.test_hz();
    let readings = history
        .reads(site, &state)
        .filter(|(entry, read)| read.is_rack(hz) && Some(&entry.id) != corrected)
        .map(|(_, read)| of_read(site, read))
        .collect();
    Evidence { readings }
}

/// The latest rack reading of the latest state.
pub(super) fn latest_rack(site: &Site, line: &LinePlan) -> Option<Reading> {
    let history = site.history(&line.id);
    let state = history.state();
    history
        .rack(site, &state)
        .map(|(_, read)| of_read(site, read))
}

fn of_read(site: &Site, read: &Read) -> Reading {
    rack_reading(site, (read.value, read.step_ohm), &read.instrument)
}

/// A reading at the rack with an instrument of the site.
pub(super) fn rack_reading(
    site: &Site,
    (value, step): (Value, Ohm),
    instrument: &InstrumentId,
) -> Reading {
    let known = site.plan().instrument(instrument);
    let accuracy = known.map_or(Fraction(0.05), |it| it.accuracy);
    let mut reading = Reading::at_rack(value, step, accuracy, site.figures());
    // A state belongs to the latest visit, so its readings do.
    let visit: VisitId = site.visit();
    reading.meter = Meter {
        instrument: instrument.clone(),
        visit,
    };
    if let Some(range) = known.and_then(|it| it.range_ohm) {
        reading.range = range;
    }
    reading
}
