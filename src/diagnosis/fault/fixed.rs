//! The figures that are fixed in the program, in words: no site changes them, so a paper that states what
//! is assumed names them beside those in force.
//!
//! Never here: the figures themselves.

use super::{
    bad_joint, control_down, line_short, loudspeaker_open, loudspeaker_short, no_transformer,
    other_voltage, secondary_short, unlisted_load,
};
use crate::diagnosis::learn::CHECK_SPREAD;
use crate::diagnosis::sitewide::{OF_ONE_KIND, READS_AS};
use crate::quantity::{Fraction, show};
use crate::site::{PLAIN_ACCURACY, Source};

/// A figure that no site changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixed {
    /// What it is of.
    pub about: &'static str,
    /// The figure with its unit.
    pub value: String,
    /// Where it is from.
    pub source: Source,
}

/// All of them.
#[must_use]
pub fn fixed() -> Vec<Fixed> {
    let row = |about, value, source| Fixed {
        about,
        value,
        source,
    };
    let assumed = |about, value| row(about, value, Source::Assumed);
    let one_of = |all: &[f64]| {
        let all: Vec<String> = all.iter().map(f64::to_string).collect();
        all.join(", ")
    };
    vec![
        row(
            "accuracy of an instrument of which none is given",
            show::percent(PLAIN_ACCURACY),
            Source::Practice,
        ),
        assumed(
            "standard uncertainty of a known resistor",
            show::percent(Fraction(CHECK_SPREAD)),
        ),
        assumed(
            "voice coil open: what its transformer still takes of its load, as an inductance at 1 kHz",
            loudspeaker_open::IDLE_AT_1_KHZ.to_string(),
        ),
        assumed(
            "loudspeaker shorted at its terminals",
            show::ohm(loudspeaker_short::SHORT),
        ),
        assumed(
            "secondary shorted: what is left of its impedance, at 1 kHz",
            format!(
                "{} + {}j",
                secondary_short::RESISTANCE,
                secondary_short::REACTANCE_AT_1_KHZ
            ),
        ),
        assumed(
            "voice coil straight on the line",
            format!("{} ohm", no_transformer::COIL_OHM),
        ),
        assumed("cores of a run shorted", show::ohm(line_short::SHORT)),
        assumed("bad joint", format!("{} ohm", bad_joint::JOINT_OHM)),
        assumed(
            "control down by one of these, or off",
            format!("{} dB", one_of(&control_down::STEPS_DB)),
        ),
        assumed(
            "unlisted load, one of these",
            format!("{} W", one_of(&unlisted_load::TAPS_W)),
        ),
        assumed(
            "taps set for another line voltage: times the load, one of these",
            one_of(&other_voltage::TIMES),
        ),
        assumed(
            "a line reads as drawn, or as another should, where it is off by no more than",
            show::percent(Fraction(READS_AS)),
        ),
        assumed(
            "windings of one kind: spread of the ln of their ratio from line to line",
            OF_ONE_KIND.to_string(),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_said_once_with_its_figure() {
        let all = fixed();
        let has = |about: &str, value: &str| {
            all.iter()
                .filter(|it| it.about.starts_with(about) && it.value == value)
                .count()
                == 1
        };
        assert!(has("accuracy of an instrument", "5.0 %"));
        assert!(has("standard uncertainty of a known resistor", "0.6 %"));
        assert!(has("secondary shorted", "0.19 + 0.09j"));
        assert!(has("unlisted load", "3, 6, 10, 15, 20, 30 W"));
        assert!(has("taps set", "2, 0.5"));
        assert!(has("a line reads as drawn", "15.0 %"));
        assert!(has("windings of one kind", "0.15"));
    }
}
