//! Insulation against earth, cores joined. Source: IEC 60364-6, insulation resistance minima.
//!
//! At 1 kHz and at DC the two cores of a line are one node through the loudspeakers' primaries,
//! so both are joined and read against earth.

use super::Limits;
use crate::quantity::{Insulation, Ohm, Volt};

/// The word for an insulation reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum InsulationWord {
    /// At or above the minimum.
    In,
    /// The tester ends below the minimum: nothing can be said.
    Unknown,
    /// Below the minimum.
    Low,
}

impl InsulationWord {
    /// The word that scripts know.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::In => "in-tolerance",
            Self::Unknown => "unknown",
            Self::Low => "out-of-tolerance",
        }
    }
}

/// The least insulation resistance: 1 Mohm; 0.5 Mohm only where the output is marked as true
/// extra-low voltage (SELV or PELV) and the test voltage was the 250 V of that row.
#[must_use]
pub fn least_insulation(elv: bool, test: Option<Volt>, limits: &Limits) -> Ohm {
    let at_elv_voltage = test.is_some_and(|test| test == limits.elv_test);
    if elv && at_elv_voltage {
        limits.insulation_elv
    } else {
        limits.insulation
    }
}

/// Judges an insulation reading.
#[must_use]
pub fn insulation(
    read: Insulation,
    elv: bool,
    test: Option<Volt>,
    limits: &Limits,
) -> InsulationWord {
    let least = least_insulation(elv, test, limits);
    match read {
        Insulation::Ohm(ohm) if ohm < least => InsulationWord::Low,
        Insulation::Above(ohm) if ohm < least => InsulationWord::Unknown,
        _ => InsulationWord::In,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Figures;

    #[track_caller]
    fn check(read: Insulation, elv: bool, test: f64, word: InsulationWord) {
        let limits = Limits::of(&Figures::default());
        assert_eq!(insulation(read, elv, Some(Volt(test)), &limits), word);
    }

    #[test]
    fn the_minima_are_those_of_iec_60364_6() {
        // IEC 60364-6: up to and including 500 V, FELV included, 500 V DC, 1.0 Mohm; SELV and
        // PELV, 250 V DC, 0.5 Mohm.
        check(
            Insulation::Ohm(Ohm(1.0e6)),
            false,
            500.0,
            InsulationWord::In,
        );
        check(
            Insulation::Ohm(Ohm(0.99e6)),
            false,
            500.0,
            InsulationWord::Low,
        );
        check(Insulation::Ohm(Ohm(0.5e6)), true, 250.0, InsulationWord::In);
        check(
            Insulation::Ohm(Ohm(0.49e6)),
            true,
            250.0,
            InsulationWord::Low,
        );
    }

    #[test]
    fn the_lower_minimum_wants_both_the_mark_and_its_test_voltage() {
        check(
            Insulation::Ohm(Ohm(0.6e6)),
            true,
            500.0,
            InsulationWord::Low,
        );
        check(
            Insulation::Ohm(Ohm(0.6e6)),
            false,
            250.0,
            InsulationWord::Low,
        );
        let limits = Limits::of(&Figures::default());
        assert_eq!(least_insulation(true, None, &limits), Ohm(1e6));
    }

    #[test]
    fn above_the_testers_range_is_in_only_when_the_range_reaches_the_minimum() {
        check(
            Insulation::Above(Ohm(9.99e8)),
            false,
            500.0,
            InsulationWord::In,
        );
        check(
            Insulation::Above(Ohm(2e5)),
            false,
            500.0,
            InsulationWord::Unknown,
        );
    }
}
