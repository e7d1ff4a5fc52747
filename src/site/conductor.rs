//! Catalogue of standard conductors: what a cable name on a schedule means.
//!
//! Only catalogue data and the naming of it; what a run does electrically is `circuit`'s.

use crate::quantity::OhmPerKm;

/// Largest resistance of one conductor at 20 C, class 1 and 2, plain copper.
/// Source: IEC 60228, tables 1 and 2.
pub const IEC_60228: [(f64, OhmPerKm); 9] = [
    (0.5, OhmPerKm(36.0)),
    (0.75, OhmPerKm(24.5)),
    (1.0, OhmPerKm(18.1)),
    (1.5, OhmPerKm(12.1)),
    (2.5, OhmPerKm(7.41)),
    (4.0, OhmPerKm(4.61)),
    (6.0, OhmPerKm(3.08)),
    (10.0, OhmPerKm(1.83)),
    (16.0, OhmPerKm(1.15)),
];

/// Resistivity of annealed copper at 20 C, ohm mm2 / km. Source: IEC 60028.
pub const COPPER_OHM_MM2_KM: f64 = 17.241;

/// The default cable of a schedule that names none.
pub const DEFAULT_CABLE: &str = "1.5 mm2";

/// The standard gauges a schedule may name.
pub const AWG: std::ops::RangeInclusive<i32> = 8..=24;

/// A standard conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Conductor {
    /// A cross-section of IEC 60228, mm2.
    Area(f64),
    /// An American wire gauge.
    Awg(i32),
}

impl Conductor {
    /// Reads `1.5 mm2`, `1,5mm²`, `16 AWG`, `AWG 16`; none if it is no standard size.
    #[must_use]
    pub fn named(text: &str) -> Option<Self> {
        let text = text
            .trim()
            .to_lowercase()
            .replace(',', ".")
            .replace('²', "2");
        if let Some(number) = text
            .strip_suffix("mm2")
            .or_else(|| text.strip_suffix("mm^2"))
        {
            let area: f64 = number.trim().parse().ok()?;
            return IEC_60228
                .iter()
                .any(|(listed, _)| *listed == area)
                .then_some(Self::Area(area));
        }
        let number = text
            .strip_suffix("awg")
            .or_else(|| text.strip_prefix("awg"))?;
        let gauge: i32 = number.trim().trim_start_matches('#').parse().ok()?;
        AWG.contains(&gauge).then_some(Self::Awg(gauge))
    }

    /// The one way this conductor is written in a site file.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Area(area) => format!("{area} mm2"),
            Self::Awg(gauge) => format!("{gauge} AWG"),
        }
    }

    /// Diameter of the solid conductor in mm. Source: ASTM B258 (the formula of the gauge).
    #[must_use]
    pub fn awg_diameter_mm(gauge: i32) -> f64 {
        0.127 * 92f64.powf(f64::from(36 - gauge) / 39.0)
    }

    /// Resistance of one conductor at 20 C: the limit of IEC 60228, or for a gauge the resistivity
    /// of IEC 60028 over the area of ASTM B258.
    #[must_use]
    pub fn r20(self) -> OhmPerKm {
        match self {
            Self::Area(area) => IEC_60228
                .iter()
                .find(|(listed, _)| *listed == area)
                .map_or(OhmPerKm(COPPER_OHM_MM2_KM / area), |(_, r20)| *r20),
            Self::Awg(gauge) => {
                let diameter = Self::awg_diameter_mm(gauge);
                OhmPerKm(COPPER_OHM_MM2_KM / (std::f64::consts::PI * diameter * diameter / 4.0))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cable_is_understood_as_people_write_it() {
        for text in ["1.5 mm2", "1,5 mm2", "1.5mm²", " 1.5 MM2"] {
            assert_eq!(Conductor::named(text), Some(Conductor::Area(1.5)), "{text}");
        }
        for text in ["16 AWG", "16awg", "AWG 16"] {
            assert_eq!(Conductor::named(text), Some(Conductor::Awg(16)), "{text}");
        }
        for text in ["1.7 mm2", "bell wire", "", "99 AWG", "mm2"] {
            assert_eq!(Conductor::named(text), None, "{text}");
        }
    }

    #[test]
    fn a_name_reads_back_to_its_conductor() {
        for (area, _) in IEC_60228 {
            assert_eq!(
                Conductor::named(&Conductor::Area(area).name()),
                Some(Conductor::Area(area))
            );
        }
    }
}
