//! Looks for problems with the data of a site: values that cannot be, labels used twice, cables that feed
//! themselves. An answer, not an exception: whoever asks decides what to do with them.

use super::conductor::Conductor;
use super::entry::{Cut, Do, Entry};
use super::figures::Figure;
use super::id::{NodeId, RACK};
use super::item::{Design, LONGEST_LABEL};
use super::item_ref::Ref;
use super::problem::{Problem, What, Whence};
use super::tangle::Tangle;
use super::{Elements, Log};
use crate::quantity::{DecimalSign, insulation, reading};

/// All problems of a site's parts, questions among them: what may not stand in a file that nobody
/// joined from two copies.
#[must_use]
pub fn check(elements: &Elements, log: &Log) -> Vec<Problem> {
    let mut out = unsound(elements, log);
    out.extend(elements.find_tangles().iter().flat_map(Tangle::problems));
    out
}

/// The problems that no question excuses: what two sound copies joined never have.
#[must_use]
pub fn unsound(elements: &Elements, log: &Log) -> Vec<Problem> {
    let mut out = Vec::new();
    let mut say = |of: &Ref, what| {
        out.push(Problem {
            whence: Whence::Item(of.clone()),
            what,
        })
    };
    for (of, _, design) in elements.iter() {
        numbers(of, design, &mut say);
        references(elements, of, design, &mut say);
        if matches!(design, Design::Retired(_)) {
            continue;
        }
        if let Some(label) = design.label() {
            let steers = label.chars().any(char::is_control);
            if label.trim().is_empty()
                || label == RACK
                || label.chars().count() > LONGEST_LABEL
                || steers
            {
                let label = label.to_owned();
                say(of, What::Label { label });
            }
        }
    }
    for entry in log.entries() {
        for what in entry_problems(elements, entry) {
            out.push(Problem {
                whence: Whence::Entry(entry.id.clone()),
                what,
            });
        }
    }
    out
}

fn numbers(of: &Ref, design: &Design, say: &mut impl FnMut(&Ref, What)) {
    let mut wants = |field, found: f64, good: bool, wanted| {
        if !good || !found.is_finite() {
            say(
                of,
                What::Number {
                    field,
                    found,
                    wanted,
                },
            );
        }
    };
    let not_negative = "a finite number of 0 or more";
    let positive = "a finite number above 0";
    wants("order", design.order(), true, "a finite number");
    match design {
        Design::Output(it) => {
            wants("volts", it.volts.get(), it.volts.get() > 0.0, positive);
            if let Some(rated) = it.rated_w {
                wants("rated_w", rated.get(), rated.get() > 0.0, positive);
            }
            if let Some(share) = it.headroom {
                wants(
                    "headroom",
                    share.get(),
                    (0.0..0.95).contains(&share.get()),
                    "0 to 0.95",
                );
            }
        }
        Design::Cable(it) => {
            wants(
                "r20_ohm_km",
                it.r20_ohm_km.get(),
                it.r20_ohm_km.get() > 0.0,
                positive,
            );
            for (field, value) in [("l_uh_m", it.l_uh_m.get()), ("c_pf_m", it.c_pf_m.get())] {
                wants(field, value, value >= 0.0, not_negative);
            }
        }
        Design::Instrument(it) => {
            let share = it.accuracy.get();
            wants(
                "accuracy",
                share,
                share > 0.0 && share < 1.0,
                "between 0 and 1",
            );
            for (field, value) in [
                ("step_ohm", it.step_ohm.map(|v| v.get())),
                ("source_ohm", it.source_ohm.map(|v| v.get())),
                ("range_ohm", it.range_ohm.map(|v| v.get())),
                ("hz", it.hz.map(|v| v.get())),
            ] {
                if let Some(value) = value {
                    wants(field, value, value >= 0.0, not_negative);
                }
            }
        }
        Design::Loudspeaker(it) => {
            wants("tap_w", it.tap_w.get(), it.tap_w.get() > 0.0, positive);
            for tap in it.taps_w.iter().flatten() {
                wants("taps_w", tap.get(), tap.get() > 0.0, positive);
            }
        }
        Design::Device(it) => {
            if let Some(ohm) = it.ohm {
                wants("ohm", ohm.get(), ohm.get() > 0.0, positive);
            }
            if let Some(farad) = it.farad {
                wants("farad", farad.get(), farad.get() > 0.0, positive);
            }
        }
        _ => {}
    }
    if let Some(run) = design.node().and_then(|row| row.run) {
        wants(
            "run_m",
            run.get(),
            (0.0..=100_000.0).contains(&run.get()),
            "0 to 100000 m",
        );
    }
    if let (Ref::Figure(name), Design::Figure(it)) = (of, design) {
        match Figure::named(name) {
            None => say(
                of,
                What::Figure {
                    found: name.clone(),
                },
            ),
            Some(figure) => {
                let row = figure.row();
                if !(row.least..=row.most).contains(&it.value) {
                    let wanted = "a value in the range of the figure";
                    say(
                        of,
                        What::Number {
                            field: "value",
                            found: it.value,
                            wanted,
                        },
                    );
                }
            }
        }
    }
    if let Design::Loudspeaker(it) = design
        && let Some(taps) = it.taps_w.as_ref().filter(|taps| !taps.contains(&it.tap_w))
    {
        let taps: Vec<String> = taps.iter().map(|tap| tap.get().to_string()).collect();
        say(
            of,
            What::Tap {
                tap: it.tap_w.get(),
                taps: taps.join(" "),
            },
        );
    }
}

fn references(elements: &Elements, of: &Ref, design: &Design, say: &mut impl FnMut(&Ref, What)) {
    let mut wants = |field, there: Ref| {
        if elements.standing(&there).is_empty() {
            say(
                of,
                What::Missing {
                    field,
                    found: there.id().to_owned(),
                },
            );
        }
    };
    match design {
        Design::Output(it) => wants("amplifier", Ref::Amplifier(it.amplifier.clone())),
        Design::Line(it) => {
            wants("output", Ref::Output(it.output.clone()));
            wants("zone", Ref::Zone(it.zone.clone()));
        }
        Design::Loudspeaker(it) => wants("type", Ref::Type(it.r#type.clone())),
        _ => {}
    }
    if let Some(row) = design.node() {
        wants("line", Ref::Line(row.line.clone()));
        if !row.from.is_rack() {
            wants("from", Ref::Node(row.from.clone()));
        }
        let own = Ref::Cable(row.cable.clone());
        let standard = Conductor::named(row.cable.as_str()).is_some();
        if !standard && elements.standing(&own).is_empty() {
            let found = row.cable.to_string();
            say(of, What::Cable { found });
        }
    }
}

/// What is wrong with one entry, on a site of these elements.
#[must_use]
pub fn entry_problems(elements: &Elements, entry: &Entry) -> Vec<What> {
    let mut out = Vec::new();
    let mut wants = |field, there: Ref| {
        if elements.standing(&there).is_empty() {
            out.push(What::Missing {
                field,
                found: there.id().to_owned(),
            });
        }
    };
    let node = |id: &NodeId| Ref::Node(id.clone());
    if let Some(line) = entry.what.line() {
        wants("line", Ref::Line(line.clone()));
    }
    match &entry.what {
        Do::Read(read) => {
            wants("instrument", Ref::Instrument(read.instrument.clone()));
            if let Some(Cut::Near(at) | Cut::Far(at) | Cut::Whole(at)) = &read.cut {
                wants("cut", node(at));
            }
            let reads = reading(&read.text, DecimalSign::Either)
                .or_else(|_| reading(&read.text, DecimalSign::Comma))
                .or_else(|_| reading(&read.text, DecimalSign::Point));
            let holds = reads.is_ok_and(|typed| {
                typed.value == read.value && typed.step.get() <= read.step_ohm.get() * (1.0 + 1e-9)
            });
            if !holds {
                out.push(What::Text {
                    text: read.text.clone(),
                });
            }
        }
        Do::Insulate(it) => {
            wants("instrument", Ref::Instrument(it.instrument.clone()));
            if !it.test_v.get().is_finite() || it.test_v.get() <= 0.0 {
                let wanted = "a finite number above 0";
                out.push(What::Number {
                    field: "test_v",
                    found: it.test_v.get(),
                    wanted,
                });
            }
            let reads = insulation(&it.text, DecimalSign::Either)
                .or_else(|_| insulation(&it.text, DecimalSign::Comma));
            if !reads.is_ok_and(|value| value == it.value) {
                out.push(What::Text {
                    text: it.text.clone(),
                });
            }
        }
        Do::Check(it) => {
            wants("instrument", Ref::Instrument(it.instrument.clone()));
            wants("visit", Ref::Visit(it.visit.clone()));
        }
        Do::Listen(it) => wants("at", node(&it.at)),
        Do::Edit(it) if it.of.kind() != it.now.kind() => {
            out.push(What::Missing {
                field: "of",
                found: it.of.id().to_owned(),
            });
        }
        _ => {}
    }
    out
}
