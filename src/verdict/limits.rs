//! The limits in force on a site, each with its source.

use crate::quantity::{Fraction, Ohm, Probability, Value, Volt};
use crate::site::{Figure, Figures, Row};

/// The limits that verdicts are held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Allowed deviation of a line's load, either way. \[practice: 10 %\]
    pub tolerance: Fraction,
    /// Share of an output's rating to keep free. \[practice: 20 %\]
    pub headroom: Fraction,
    /// In tolerance while the probability of being out is below this. \[assumed 0.2\]
    pub in_below: Probability,
    /// Out of tolerance when it is above this. \[assumed 0.8\]
    pub out_above: Probability,
    /// Below this reading a line must not be connected. \[assumed 5 ohm\]
    pub stop: Ohm,
    /// Spread of the contacts of a reading. \[assumed 0.3 ohm\]
    pub contacts: Ohm,
    /// Least insulation resistance. \[IEC 60364-6: 1 Mohm\]
    pub insulation: Ohm,
    /// Least insulation resistance of true extra-low voltage tested at 250 V.
    /// \[IEC 60364-6: 0.5 Mohm\]
    pub insulation_elv: Ohm,
    /// The test voltage that goes with it. \[IEC 60364-6: 250 V\]
    pub elv_test: Volt,
}

/// The test voltage for SELV and PELV circuits. Source: IEC 60364-6, table of test voltages.
const ELV_TEST_V: f64 = 250.0;

impl Limits {
    /// The figures that these limits are read from.
    pub const FIGURES: [Figure; 8] = [
        Figure::Tolerance,
        Figure::Headroom,
        Figure::InBelow,
        Figure::OutAbove,
        Figure::StopOhm,
        Figure::ContactOhm,
        Figure::InsulationOhm,
        Figure::InsulationElvOhm,
    ];

    /// The limits that the site's figures set.
    #[must_use]
    pub fn of(figures: &Figures) -> Self {
        Self {
            tolerance: Fraction(figures.get(Figure::Tolerance)),
            headroom: Fraction(figures.get(Figure::Headroom)),
            in_below: Probability(figures.get(Figure::InBelow)),
            out_above: Probability(figures.get(Figure::OutAbove)),
            stop: Ohm(figures.get(Figure::StopOhm)),
            contacts: Ohm(figures.get(Figure::ContactOhm)),
            insulation: Ohm(figures.get(Figure::InsulationOhm)),
            insulation_elv: Ohm(figures.get(Figure::InsulationElvOhm)),
            elv_test: Volt(ELV_TEST_V),
        }
    }

    /// Whether a line that reads so must not be connected.
    #[must_use]
    pub fn is_stop(&self, value: Value) -> bool {
        match value {
            Value::Short => true,
            Value::Ohm(ohm) => ohm < self.stop,
            Value::Open => false,
        }
    }

    /// Name, default and source of each limit, for papers that state them.
    pub fn rows() -> impl Iterator<Item = Row> {
        Self::FIGURES.iter().map(|figure| figure.row())
    }

    /// The headroom of an output: its own, else the site's.
    #[must_use]
    pub fn headroom_of(&self, own: Option<Fraction>) -> Fraction {
        own.unwrap_or(self.headroom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_follows_the_sites_own_figure_and_names_its_source() {
        let limits = Limits::of(&Figures::with([(Figure::Tolerance, 0.15)]));
        assert_eq!(limits.tolerance, Fraction(0.15));
        assert_eq!(limits.headroom, Fraction(0.2));
        let sources: Vec<String> = Limits::rows().map(|row| row.source.to_string()).collect();
        assert_eq!(sources.len(), Limits::FIGURES.len());
        assert!(sources.contains(&"IEC 60364-6".to_owned()));
        assert!(sources.contains(&"common practice, no source".to_owned()));
    }
}
