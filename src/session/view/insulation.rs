//! The row of the panel that says what the insulation of a line is.

use super::section::Section;
use super::text::Tone;
use crate::analysis::InsulationResult;
use crate::quantity::{Insulation, show};
use crate::verdict::InsulationWord;

/// A voltage that nobody typed is said to be assumed, as long as that is known: in the sitting it was in.
/// Too long for one row it goes on in the next: a figure is cut nowhere.
pub(super) fn insulation_rows(
    it: &InsulationResult,
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
    let own = figure(it.value, it.test_v) + if assumed { " (assumed)" } else { "" };
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
    if let Some((value, volts)) = it.later {
        let how = if volts < it.test_v {
            "less volts clear nothing"
        } else {
            "one more as good settles it"
        };
        let words = format!(
            "then {}, nothing repaired since: LOW stands; {how}; j if it was repaired",
            figure(value, volts)
        );
        out.words(" ? ", &words, width, Tone::Alarm);
    }
}
