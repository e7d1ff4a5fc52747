//! Whether a design may be sent: nothing may be unsound with it that was not so before it.

use super::built::Built;
use super::refused::Refused;
use crate::site::{Design, Elements, Log, What, Whence, check};
use std::ops::RangeInclusive;

/// What would be unsound with these changes and is not so without them.
pub(super) fn sound(elements: &Elements, built: &Built) -> Result<(), Refused> {
    let log = Log::default();
    let before = check(elements, &log);
    let after = built.onto(elements);
    let new = check(&after, &log)
        .into_iter()
        .find(|problem| !before.contains(problem));
    match new {
        None => plausible(&after, built),
        Some(problem) => Err(Refused::Unsound {
            label: match &problem.whence {
                Whence::Item(of) => after.label(of).to_owned(),
                Whence::Entry(id) => id.to_string(),
            },
            why: in_words(&problem.what),
        }),
    }
}

/// No loudspeaker of a line has a tap past this, nor under that; what lies beyond is a slip of the hand.
/// \[common practice, no source\]
const TAPS: RangeInclusive<f64> = 0.01..=2_000.0;

/// Whether every tap that is typed is one that a loudspeaker may have: where its type's taps are known, they
/// were asked before.
fn plausible(after: &Elements, built: &Built) -> Result<(), Refused> {
    for (of, design) in &built.changes {
        let Design::Loudspeaker(it) = design else {
            continue;
        };
        let mut taps = it.taps_w.iter().flatten().chain([&it.tap_w]);
        if let Some(tap) = taps.find(|tap| !TAPS.contains(&tap.get())) {
            return Err(Refused::NoSuchTap {
                label: after.label(of).to_owned(),
                found: tap.get(),
                least: *TAPS.start(),
                most: *TAPS.end(),
            });
        }
    }
    Ok(())
}

/// What is wrong, for whoever typed it: fields have their names of the panel, not those of the file.
fn in_words(what: &What) -> String {
    match what {
        What::Tap { tap, taps } => {
            format!("{tap} W is none of its taps: {} W", taps.replace(' ', ", "))
        }
        What::Number {
            field,
            found,
            wanted,
        } => format!("{} is {found}, {wanted} was wanted", spoken(field)),
        other => other.to_string(),
    }
}

fn spoken(field: &str) -> &str {
    match field {
        "tap_w" | "taps_w" => "tap",
        "rated_w" => "rating",
        "run_m" => "run",
        "r20_ohm_km" => "resistance",
        "l_uh_m" => "inductance",
        "c_pf_m" => "capacitance",
        "step_ohm" => "last digit",
        "source_ohm" => "source",
        "range_ohm" => "range",
        other => other,
    }
}
