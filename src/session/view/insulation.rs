//! The row of the panel that says what the insulation of a line is.

use super::section::Section;
use super::text::Tone;
use crate::analysis::InsulationResult;
use crate::quantity::{Insulation, show};
use crate::site::{Leg, LinePlan, NodePlan};
use crate::verdict::InsulationWord;

/// ` on core a`; nothing of cores joined.
fn on(leg: Leg) -> String {
    match leg {
        Leg::Both => String::new(),
        core => format!(" on {}", core.words()),
    }
}

/// Said where one core is low and the other is not, though loads join them.
const JOINED: &str =
    "the loads join both cores: one of these is mistaken, or the line is open at the rack";

/// A voltage that nobody typed is said to be assumed, as long as that is known: in the sitting it was in.
/// Too long for one row it goes on in the next: a figure is cut nowhere.
pub(super) fn insulation_rows(
    it: &InsulationResult,
    line: &LinePlan,
    assumed: bool,
    width: usize,
    out: &mut Section,
) {
    let figure = |value, volts| {
        let (sign, ohm) = match value {
            Insulation::Ohm(ohm) => ("", ohm),
            Insulation::Above(ohm) => ("> ", ohm),
        };
        format!("{sign}{} at {}", show::ohm(ohm), show::volt(volts))
    };
    let own =
        figure(it.value, it.test_v) + &it.leg.behind() + if assumed { " (assumed)" } else { "" };
    let least = show::ohm(it.least);
    let (start, words, tone) = match it.word {
        InsulationWord::In => ("   ", format!("insulation {own}, ok"), Tone::Plain),
        InsulationWord::Unknown => (
            "   ",
            format!("insulation {own}: least {least}"),
            Tone::Plain,
        ),
        InsulationWord::Low => (" - ", format!("insulation LOW {own}"), Tone::Alarm),
    };
    out.words(start, &words, width, tone);
    if let Some(other) = it.other.as_ref().filter(|_| it.later.is_none()) {
        let words = format!(
            "{}{}",
            figure(other.value, other.test_v),
            other.leg.behind()
        );
        out.words("   ", &format!("insulation {words}"), width, Tone::Plain);
    }
    if let Some(later) = &it.later {
        let how = match later.leg {
            _ if later.test_v < it.test_v => "less volts clear nothing".to_owned(),
            leg if leg == it.leg => format!("one more as good{} settles it", on(it.leg)),
            Leg::Both => "one more as good settles it".to_owned(),
            _ => format!("two as good{} settle it", on(it.leg)),
        };
        let words = format!(
            "then {}{}, nothing repaired since: LOW stands; {how}; j if it was repaired",
            figure(later.value, later.test_v),
            later.leg.behind()
        );
        out.words(" ? ", &words, width, Tone::Alarm);
    }
    let better = it.later.as_deref().or(it.other.as_deref());
    let of_other_core = |better: &InsulationResult| {
        better.word == InsulationWord::In && ![Leg::Both, it.leg].contains(&better.leg)
    };
    let one_is_low = it.word == InsulationWord::Low && it.leg != Leg::Both;
    if one_is_low
        && better.is_some_and(of_other_core)
        && line.nodes.iter().any(NodePlan::has_winding)
    {
        out.words(" ? ", JOINED, width, Tone::Alarm);
    }
}
