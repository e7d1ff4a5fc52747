//! What the log holds of a line's latest state, as evidence for the diagnosis.

use crate::diagnosis::{Answer, Evidence, Meter, Reading, Test, Walk};
use crate::quantity::{Hertz, Ohm, Value};
use crate::site::{
    AMPLIFIER_TONE, Cut, Do, Entry, EntryId, Figure, InstrumentId, LinePlan, Listen,
    PLAIN_ACCURACY, Read, Site, VisitId, in_order,
};

/// Every reading and answer of the latest state that is weighed, earliest first, but the one that
/// another is about to take the place of; and the node where the last of them was made (none is the
/// rack).
pub(super) fn evidence(
    site: &Site,
    line: &LinePlan,
    corrected: Option<&EntryId>,
) -> (Evidence, Option<usize>) {
    let mut out = Evidence::default();
    let mut last = None;
    for (entry, weighed) in weighed(site, line) {
        if Some(&entry) != corrected {
            last = weighed.take_place_in(&mut out);
        }
    }
    (out, last)
}

/// The same, grown by one entry at a time, each with its entry.
pub(super) fn grown(site: &Site, line: &LinePlan) -> Vec<(EntryId, Evidence)> {
    let mut so_far = Evidence::default();
    weighed(site, line)
        .into_iter()
        .map(|(entry, weighed)| {
            weighed.take_place_in(&mut so_far);
            (entry, so_far.clone())
        })
        .collect()
}

/// One entry that is weighed.
enum Weighed {
    Reading(Reading),
    Answer(Answer),
}

impl Weighed {
    /// Joins the evidence; says at which node it was made, none at the rack.
    fn take_place_in(self, evidence: &mut Evidence) -> Option<usize> {
        match self {
            Self::Reading(reading) => {
                let at = match reading.test {
                    Test::Near(at) | Test::Far(at) => Some(at),
                    Test::Rack | Test::Dc => None,
                };
                evidence.readings.push(reading);
                at
            }
            Self::Answer(answer) => {
                evidence.answers.push(answer);
                Some(answer.at)
            }
        }
    }
}

fn weighed(site: &Site, line: &LinePlan) -> Vec<(EntryId, Weighed)> {
    let history = site.history(&line.id);
    let state = history.state();
    let weighed = |entry: &Entry| match &entry.what {
        Do::Read(read) => {
            let test = test(read, line, site.test_hz())?;
            let reading = recorded(site, entry, read);
            Some(Weighed::Reading(Reading { test, ..reading }))
        }
        Do::Listen(listen) => Some(Weighed::Answer(Answer {
            at: line.node(&listen.at)?,
            heard: listen.gives,
            source: source(site, listen),
        })),
        _ => None,
    };
    let entries = history.in_state(site, &state);
    entries
        .filter_map(|entry| Some((entry.id.clone(), weighed(entry)?)))
        .collect()
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
    if listen.tone == AMPLIFIER_TONE {
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
    let (entry, read) = history.rack(site, &state)?;
    Some(recorded(site, entry, read))
}

/// The place of each line's latest rack reading in the order in which they were made; a correction stands
/// where the figure was read, lines that were not read last.
pub(super) fn turns(site: &Site) -> Vec<usize> {
    let lines = &site.plan().lines;
    let read = lines.iter().map(|line| {
        let history = site.history(&line.id);
        let state = history.state();
        let (entry, _) = history.rack(site, &state)?;
        let of_log = site.log().get(&entry.id)?;
        Some(site.log().measured(of_log))
    });
    let read: Vec<Option<&Entry>> = read.collect();
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|a, b| match (read[*a], read[*b]) {
        (Some(one), Some(other)) => in_order(one, other),
        (one, other) => other.is_some().cmp(&one.is_some()),
    });
    let mut turns = vec![0; lines.len()];
    for (turn, line) in order.into_iter().enumerate() {
        turns[line] = turn;
    }
    turns
}

/// A reading on record, as if taken at the rack; of a correction who took it held the meter.
fn recorded(site: &Site, entry: &Entry, read: &Read) -> Reading {
    let by = &site.log().measured(entry).by;
    reading(site, (read.value, read.step_ohm), (&read.instrument, by))
}

/// A reading at the rack with an instrument of the site, in somebody's hands.
pub(super) fn reading(
    site: &Site,
    (value, step): (Value, Ohm),
    (instrument, by): (&InstrumentId, &str),
) -> Reading {
    let known = site.plan().instrument(instrument);
    let accuracy = known.map_or(PLAIN_ACCURACY, |it| it.accuracy);
    let mut reading = Reading::at_rack(value, step, accuracy, site.figures());
    // A state belongs to the latest visit, so its readings do.
    reading.meter = meter(site, instrument, &site.visit(), by);
    if let Some(range) = known.and_then(|it| it.range_ohm) {
        reading.range = range;
    }
    reading
}

/// An instrument on a visit in somebody's hands.
pub(super) fn meter(site: &Site, instrument: &InstrumentId, visit: &VisitId, by: &str) -> Meter {
    Meter {
        instrument: instrument.clone(),
        visit: visit.clone(),
        hand: site.hands().holder(instrument, visit, by),
    }
}

/// Where the engineer stands after the last of these, for the walk to the next test.
pub(super) fn walk(site: &Site, evidence: &Evidence, last: Option<usize>) -> Walk {
    Walk::after(evidence, last, site.figures())
}
