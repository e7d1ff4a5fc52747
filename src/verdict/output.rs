//! What an amplifier's output carries, against its rating.
//!
//! Loads are added as read; a line not read counts with what it is expected to take and is
//! counted beside; a line read open takes nothing. One that reads short, or under the limit below
//! which nothing is connected, stops the output: its load is not known.
//!
//! Never here: shared factors. A load is never lowered by them.

use super::Limits;
use super::load::{load, rating_needed};
use crate::quantity::{Degree, Fraction, Ohm, Value, Volt, Watt};
use num_complex::Complex64;

/// One line of an output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OnOutput {
    /// Read at the rack.
    Read {
        /// What the meter showed.
        value: Value,
        /// Phase, where the meter shows it: loads then add as complex volt-amperes.
        phase: Option<Degree>,
    },
    /// Not read: counts with its expected load.
    Unread {
        /// |Z| as designed; none where the design connects nothing.
        expected: Option<Ohm>,
    },
}

/// The word for an output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OutputWord {
    /// The load leaves the headroom.
    Ok,
    /// Short of headroom.
    Tight,
    /// Over its rating.
    Over,
    /// Must not be connected.
    Stop,
    /// No rating is known.
    Unknown,
}

impl OutputWord {
    /// As scripts know it; an output that must not be connected is overloaded.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Tight => "short-of-headroom",
            Self::Over | Self::Stop => "overloaded",
            Self::Unknown => "unknown",
        }
    }

    /// As it stands in a narrow column.
    #[must_use]
    pub const fn short(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Tight => "tight",
            Self::Over => "over",
            Self::Stop => "STOP",
            Self::Unknown => "no rating",
        }
    }
}

/// What an output carries.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputLoad {
    /// The sum; none where a line reads short or too low to be connected.
    pub load: Option<Watt>,
    /// Lines that count with their expected load.
    pub unread: usize,
    /// Share of the rating that is left, negative when over; none without a load or a rating.
    pub left: Option<Fraction>,
    /// Rating that would leave the headroom; none without a load.
    pub rating_needed: Option<Watt>,
    /// The word.
    pub word: OutputWord,
    /// Places in the list of lines of those that must not be connected.
    pub stops: Vec<usize>,
}

/// Adds up an output. `headroom` is the output's own where it has one.
#[must_use]
pub fn carries(
    volts: Volt,
    rated: Option<Watt>,
    headroom: Option<Fraction>,
    lines: &[OnOutput],
    limits: &Limits,
) -> OutputLoad {
    let headroom = limits.headroom_of(headroom);
    let mut sum = Complex64::new(0.0, 0.0);
    let (mut unread, mut stops) = (0, Vec::new());
    for (place, line) in lines.iter().enumerate() {
        match *line {
            OnOutput::Unread { expected } => {
                unread += 1;
                sum += expected.map_or(0.0, |z| load(volts, z).get());
            }
            OnOutput::Read {
                value: Value::Open, ..
            } => {}
            OnOutput::Read {
                value: Value::Ohm(m),
                phase,
            } if m.get() >= limits.stop.get() => {
                let phase = phase.map_or(0.0, |it| it.get().to_radians());
                sum += Complex64::from_polar(load(volts, m).get(), phase);
            }
            OnOutput::Read { .. } => stops.push(place),
        }
    }
    let load = stops.is_empty().then_some(Watt(sum.norm()));
    let word = match (load, rated) {
        (None, _) => OutputWord::Stop,
        (_, None) => OutputWord::Unknown,
        (Some(load), Some(rated)) if load > rated => OutputWord::Over,
        (Some(load), Some(rated)) if load.get() > rated.get() * (1.0 - headroom.get()) => {
            OutputWord::Tight
        }
        _ => OutputWord::Ok,
    };
    OutputLoad {
        load,
        unread,
        left: load
            .zip(rated)
            .map(|(load, rated)| Fraction(1.0 - load.get() / rated.get())),
        rating_needed: load.map(|load| rating_needed(load, headroom)),
        word,
        stops,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Figures;

    const fn read(ohms: f64) -> OnOutput {
        OnOutput::Read {
            value: Value::Ohm(Ohm(ohms)),
            phase: None,
        }
    }

    fn output(rated: f64, lines: &[OnOutput]) -> OutputLoad {
        carries(
            Volt(100.0),
            Some(Watt(rated)),
            None,
            lines,
            &Limits::of(&Figures::default()),
        )
    }

    #[test]
    fn loads_are_added_with_the_unread_as_expected_and_counted() {
        // 100^2 / 200 = 50 W read, 100^2 / 400 = 25 W expected, one open line takes nothing.
        let open = OnOutput::Read {
            value: Value::Open,
            phase: None,
        };
        let unread = OnOutput::Unread {
            expected: Some(Ohm(400.0)),
        };
        let carried = output(100.0, &[read(200.0), unread, open]);
        assert_eq!(carried.load, Some(Watt(75.0)));
        assert_eq!(carried.unread, 1);
        assert_eq!(carried.left, Some(Fraction(0.25)));
        assert_eq!(carried.rating_needed, Some(Watt(93.75)));
        assert_eq!(carried.word, OutputWord::Ok);
    }

    #[test]
    fn over_eighty_per_cent_is_tight_and_over_the_rating_is_over() {
        assert_eq!(output(100.0, &[read(125.0)]).word, OutputWord::Ok); // 80 W: just free
        assert_eq!(output(99.0, &[read(125.0)]).word, OutputWord::Tight);
        assert_eq!(output(79.0, &[read(125.0)]).word, OutputWord::Over);
        let own = carries(
            Volt(100.0),
            Some(Watt(99.0)),
            Some(Fraction(0.1)),
            &[read(125.0)],
            &Limits::of(&Figures::default()),
        );
        assert_eq!(own.word, OutputWord::Ok, "its own headroom of 10 %");
    }

    #[test]
    fn a_line_short_or_under_five_ohm_stops_the_output() {
        let short = OnOutput::Read {
            value: Value::Short,
            phase: None,
        };
        for bad in [short, read(4.9)] {
            let carried = output(100.0, &[read(200.0), bad]);
            assert_eq!(carried.word, OutputWord::Stop);
            assert_eq!(carried.word.as_str(), "overloaded");
            assert_eq!(carried.load, None);
            assert_eq!(carried.stops, [1]);
        }
        // 5 ohm at 100 V is 2 kW: no stop by ohms, but far over.
        assert_eq!(output(100.0, &[read(5.0)]).word, OutputWord::Over);
    }

    #[test]
    fn without_a_rating_there_is_a_load_and_no_word() {
        let carried = carries(
            Volt(100.0),
            None,
            None,
            &[read(200.0)],
            &Limits::of(&Figures::default()),
        );
        assert_eq!(carried.load, Some(Watt(50.0)));
        assert_eq!(carried.word, OutputWord::Unknown);
        assert_eq!(carried.left, None);
    }

    #[test]
    fn with_phases_loads_add_as_complex_volt_amperes() {
        // 50 VA at 0 and 50 VA at 90 degrees are 70.7 VA.
        let lagging = OnOutput::Read {
            value: Value::Ohm(Ohm(200.0)),
            phase: Some(Degree(90.0)),
        };
        let carried = output(100.0, &[read(200.0), lagging]);
        assert!((carried.load.unwrap().get() - 50.0 * 2f64.sqrt()).abs() < 1e-9);
    }
}
