//! Every figure that a site may change, with its default, unit and source, in one table.
//!
//! Code reads such a figure through [`Figures::get`] only. The name carries the unit.

use std::collections::BTreeMap;

/// Where a default comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// A published standard or handbook.
    Standard(&'static str),
    /// Common practice of the trade, no source.
    Practice,
    /// Our own assumption.
    Assumed,
}

impl std::fmt::Display for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Standard(name) => f.write_str(name),
            Self::Practice => f.write_str("common practice, no source"),
            Self::Assumed => f.write_str("assumed"),
        }
    }
}

/// One row of the table.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The name in the site file.
    pub name: &'static str,
    /// Used where the site has none of its own.
    pub default: f64,
    /// Smallest sensible value.
    pub least: f64,
    /// Largest sensible value.
    pub most: f64,
    /// Where the default comes from.
    pub source: Source,
    /// What it is.
    pub about: &'static str,
}

macro_rules! figures {
    ($($variant:ident $name:literal $default:literal $least:literal $most:literal $source:expr, $about:literal;)*) => {
        /// A figure that a site may change.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Figure {
            $(#[doc = $about] $variant,)*
        }

        impl Figure {
            /// All of them, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The row of the table.
            #[must_use]
            pub const fn row(self) -> Row {
                match self {
                    $(Self::$variant => Row {
                        name: $name, default: $default, least: $least, most: $most,
                        source: $source, about: $about,
                    },)*
                }
            }
        }
    };
}

use Source::{Assumed, Practice, Standard};

figures! {
    TestHz "test_hz" 1000.0 20.0 20000.0 Practice, "test frequency of the impedance meter, Hz";
    TemperatureC "temperature_c" 20.0 -60.0 120.0 Assumed, "temperature of the cables, C";
    CableUhM "cable.l_uh_m" 0.65 0.0 10.0 Assumed, "loop inductance of a standard cable, uH/m";
    CablePfM "cable.c_pf_m" 100.0 0.0 10000.0 Assumed, "capacitance of a standard cable, pF/m";
    UnknownRunM "unknown_run_m" 15.0 0.0 10000.0 Assumed, "length of a run that nobody knows, m";
    Headroom "headroom" 0.2 0.0 0.9 Practice, "share of an output's rating to keep free";
    Tolerance "tolerance" 0.1 0.001 1.0 Practice, "allowed deviation of a line's load, either way";
    InBelow "p_out.in_below" 0.2 0.0 1.0 Assumed, "in tolerance while the probability of being out is below";
    OutAbove "p_out.out_above" 0.8 0.0 1.0 Assumed, "out of tolerance when the probability of being out is above";
    FarEndDb "far_end_db" -2.0 -40.0 0.0 Assumed, "lowest terminal voltage at the far end, dB re nominal";
    RangeOhm "range_ohm" 100000.0 1000.0 1e9 Assumed, "above this an impedance meter reads open, ohm";
    SourceOhm "source_ohm" 100.0 0.0 100000.0 Assumed, "source resistance of the meter's tone, ohm";
    ShortOhm "short_ohm" 0.5 0.0 10.0 Assumed, "below this a line reads short, ohm";
    StopOhm "stop_ohm" 5.0 0.0 100.0 Assumed, "below this a line must not be connected, ohm";
    InsulationOhm "insulation_ohm" 1e6 1e3 1e12 Standard("IEC 60364-6"), "least insulation resistance, ohm";
    InsulationElvOhm "insulation_elv_ohm" 5e5 1e3 1e12 Standard("IEC 60364-6"), "least insulation resistance of true extra-low voltage at 250 V, ohm";
    WindingRatio "dc.winding_ratio" 0.08 0.001 1.0 Assumed, "winding resistance of a loudspeaker over its impedance";
    SpreadWinding "spread.winding" 0.400187 0.0 3.0 Assumed, "spread of ln winding ratio (ln 2 / sqrt 3)";
    SpreadType "spread.type" 0.06 0.0 1.0 Assumed, "spread of a type's ln impedance";
    SpreadLoudspeaker "spread.loudspeaker" 0.05 0.0 1.0 Assumed, "spread of one loudspeaker's ln impedance";
    SpreadRun "spread.run" 0.05 0.0 1.0 Assumed, "spread of a run's ln length";
    SpreadUnknownRun "spread.unknown_run" 1.0 0.0 3.0 Assumed, "spread of ln length where it is not known";
    SpreadUnlisted "spread.unlisted" 0.0781025 0.0 1.0 Assumed, "spread of an unlisted load's ln impedance (0.05 and 0.06 together)";
    ContactOhm "contact_ohm" 0.3 0.0 10.0 Assumed, "spread of the contacts, ohm";
    Slip "slip" 0.01 0.0 0.5 Assumed, "probability that a reading is simply wrong";
    SlipOpen "slip.open" 0.3 0.0 1.0 Assumed, "share of wrong readings that read open";
    SlipShort "slip.short" 0.2 0.0 1.0 Assumed, "share of wrong readings that read short";
    RateLoudspeakerOpen "rate.loudspeaker-open" 0.010 0.0 0.3 Assumed, "loudspeaker open, each";
    RateWrongTap "rate.wrong-tap" 0.015 0.0 0.3 Assumed, "wrong tap, each loudspeaker with another tap";
    RateLoudspeakerShort "rate.loudspeaker-short" 0.002 0.0 0.3 Assumed, "loudspeaker shorted, each";
    RateSecondaryShort "rate.secondary-short" 0.002 0.0 0.3 Assumed, "secondary shorted, each";
    RateNoTransformer "rate.no-transformer" 0.002 0.0 0.3 Assumed, "voice coil straight on the line, each";
    RateLineOpen "rate.line-open" 0.004 0.0 0.3 Assumed, "line open, each run";
    RateLineShort "rate.line-short" 0.003 0.0 0.3 Assumed, "line short, each run";
    RateBadJoint "rate.bad-joint" 0.002 0.0 0.3 Assumed, "bad joint, each run";
    RateControlDown "rate.control-down" 0.050 0.0 0.5 Assumed, "control down, each";
    RateUnlistedLoad "rate.unlisted-load" 0.010 0.0 0.3 Assumed, "unlisted load, a line";
    RateOtherVoltage "rate.other-voltage" 0.005 0.0 0.3 Assumed, "other voltage, a line";
    RateSwappedLabels "rate.swapped-labels" 0.01 0.0 0.3 Assumed, "labels of two lines swapped, each line";
    RateJoinedLines "rate.joined-lines" 0.01 0.0 0.3 Assumed, "line joined with another, each line";
    RateRangeMultiplier "rate.range-multiplier" 0.005 0.0 0.3 Assumed, "range multiplier left out, each of x10 and x100, each line";
    RateDigitTooMany "rate.digit-too-many" 0.002 0.0 0.3 Assumed, "a digit too many entered, the reading ten times too much, each line";
    RateDcReading "rate.dc-reading" 0.01 0.0 0.3 Assumed, "direct-current reading taken for impedance, each line";
    RateMovedLoudspeaker "rate.moved-loudspeaker" 0.003 0.0 0.3 Assumed, "loudspeaker on a neighbouring line, each";
    RateNominalVoltage "rate.nominal-voltage" 0.005 0.0 0.3 Assumed, "all loudspeakers set for another line voltage, a site";
    ReturnVisit "rate.return_visit" 0.2 0.0 1.0 Assumed, "factor of all rates on a return visit";
    LearnRates "learn_rates" 1.0 0.0 1.0 Assumed, "1: confirmed causes count towards the rates";
    MinutesReread "minutes.reread" 0.5 0.01 600.0 Assumed, "reading again at the rack, min";
    MinutesDc "minutes.dc" 0.5 0.01 600.0 Assumed, "a direct-current reading at the rack, min";
    MinutesListen "minutes.listen" 1.0 0.01 600.0 Assumed, "listening at one loudspeaker, min";
    MinutesSplit "minutes.split" 6.0 0.01 600.0 Assumed, "opening, reading both sides and closing, min";
    MinutesMetre "minutes.per_m" 0.02 0.0 10.0 Assumed, "walking, min a metre of cable";
    Drift "drift.called_over" 0.99 0.5 1.0 Assumed, "probability over which a drift is called";
    VisitDays "visit_days" 30.0 1.0 3650.0 Assumed, "days without an entry after which a new visit is proposed";
}

impl Figure {
    /// The figure of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .copied()
            .find(|figure| figure.row().name == name)
    }
}

/// The figures in force on a site: its own values over the defaults.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures(BTreeMap<Figure, f64>);

impl Figures {
    /// Figures with some of the site's own.
    pub fn with(own: impl IntoIterator<Item = (Figure, f64)>) -> Self {
        Self(own.into_iter().collect())
    }

    /// The value in force, in the unit its name carries.
    #[must_use]
    pub fn get(&self, figure: Figure) -> f64 {
        self.0.get(&figure).copied().unwrap_or(figure.row().default)
    }

    /// Those that differ from the table, with both values' source.
    pub fn own(&self) -> impl Iterator<Item = (Figure, f64)> + '_ {
        self.0.iter().map(|(figure, value)| (*figure, *value))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_lies_in_its_own_range_and_every_name_is_found() {
        for figure in Figure::ALL {
            let row = figure.row();
            assert!(
                (row.least..=row.most).contains(&row.default),
                "{}",
                row.name
            );
            assert_eq!(Figure::named(row.name), Some(*figure));
        }
    }

    #[test]
    fn the_sites_own_value_stands_over_the_default() {
        let figures = Figures::with([(Figure::Tolerance, 0.15)]);
        assert_eq!(figures.get(Figure::Tolerance), 0.15);
        assert_eq!(figures.get(Figure::Headroom), 0.2);
    }
}
