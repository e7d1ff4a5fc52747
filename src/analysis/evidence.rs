//! What the log holds of a line's latest state, as evidence for the diagnosis.

use crate::diagnosis::{Answer, Evidence, Meter, Reading, Test, Walk};
use crate::quantity::{Fraction, Hertz, Ohm, Value};
use crate::site::{Cut, Do, EntryId, Figure, InstrumentId, LinePlan, Listen, Read, Site};

/// What drives a line when no instrument does.
const AMPLIFIER: &str = "amplifier";

/// Every reading and answer of the latest state that is weighed, earliest first, but the one that
/// another is about to take the place of; and the node where the last of them was made (none is the
/// rack).
pub(super) fn evidence(
    site: &Site,
    line: &LinePlan,
    corrected: Option<&EntryId>,
) -> (Evidence, Option<usize>) {
    let history = site.history(&line.id);
    let state = history.state();
    let mut out = Evidence::default();
    let mut last = None;
    for entry in history.in_state(site, &state) {
        if Some(&entry.id) == corrected {
            continue;
        }
        match &entry.what {
            Do::Read(read) => {
                if let Some(test) = test(read, line, site.test_hz()) {
                    last = match test {
                        Test::Near(at) | Test::Far(at) => Some(at),
                        Test::Rack | Test::Dc => None,
                    };
                    let reading = reading(site, (read.value, read.step_ohm), &read.instrument);
                    out.readings.push(Reading { test, ..reading });
                }
            }
            Do::Listen(listen) => {
                if let Some(at) = line.node(&listen.at) {
                    let source = source(site, listen);
                    out.answers.push(Answer {
                        at,
                        heard: listen.gives,
                        source,
                    });
                    last = Some(at);
                }
            }
            _ => {}
        }
    }
    (out, last)
}

/// What a reading was taken of; none for one that is recorded and not weighed.
fn test(read: &Read, line: &LinePlan, test_hz: Hertz) -> Option<Test> {
    match &read.cut {
        None if read.is_dc() => Some(Test::Dc),
        _ if read.hz != test_hz => None,
        None => Some(Test::Rack),
        Some(Cut::Near(at)) => Some(Test::Near(line.node(at)?)),
        Some(Cut::Far(at)) => Some(Test::Far(line.node(at)?)),
        Some(Cut::Whole(_)) => None,
    }
}

fn source(site: &Site, listen: &Listen) -> Ohm {
    if listen.tone == AMPLIFIER {
        return Ohm(0.0);
    }
    let instrument = site.plan().instrument(&listen.tone.as_str().into());
    instrument
        .and_then(|it| it.source_ohm)
        .unwrap_or_else(|| Ohm(site.figures().get(Figure::SourceOhm)))
}

/// The latest rack reading of the latest state.
pub(super) fn latest_rack(site: &Site, line: &LinePlan) -> Option<Reading> {
    let history = site.history(&line.id);
    let state = history.state();
    let (_, read) = history.rack(site, &state)?;
    Some(reading(site, (read.value, read.step_ohm), &read.instrument))
}

/// A reading at the rack with an instrument of the site.
pub(super) fn reading(
    site: &Site,
    (value, step): (Value, Ohm),
    instrument: &InstrumentId,
) -> Reading {
    let known = site.plan().instrument(instrument);
    let accuracy = known.map_or(Fraction(0.05), |it| it.accuracy);
    let mut reading = Reading::at_rack(value, step, accuracy, site.figures());
    // A state belongs to the latest visit, so its readings do.
    reading.meter = Meter {
        instrument: instrument.clone(),
        visit: site.visit(),
    };
    if let Some(range) = known.and_then(|it| it.range_ohm) {
        reading.range = range;
    }
    reading
}

/// Where the engineer stands after the last of these, for the walk to the next test.
pub(super) fn walk(site: &Site, evidence: &Evidence, last: Option<usize>) -> Walk {
    Walk::after(evidence, last, site.figures())
}
