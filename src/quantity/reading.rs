//! Readings as people type them: `412`, `4.1k`, `41x10`, `0.4`, `open`, `0`, `200M`, `>999M`.

use super::number::{DecimalSign, NumberError, decimal, two_ways};
use super::units::Ohm;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// What a meter showed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Value {
    /// A figure.
    Ohm(Ohm),
    /// Above the meter's range.
    Open,
    /// Next to nothing.
    Short,
}

/// What an insulation tester showed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Insulation {
    /// A figure.
    Ohm(Ohm),
    /// More than the tester can show.
    Above(Ohm),
}

/// A reading with the worth of its last digit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypedReading {
    /// What the meter showed.
    pub value: Value,
    /// What one step of the last digit typed is worth; 0 for open and short.
    pub step: Ohm,
}

/// Why a text is no reading.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ReadingError {
    /// The number in it cannot be read.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// A zero with decimals is neither a figure nor a plain short.
    #[error("{found} is zero: a short is typed 0, anything else wants a figure")]
    Zero {
        /// As written.
        found: String,
    },
    /// A multiplier that no meter has.
    #[error("{found} is no range multiplier: x10, x100 or x1000 was wanted")]
    Multiplier {
        /// As written.
        found: String,
    },
    /// An insulation reading without its unit.
    #[error("{found} has no unit: write {found}M for megohms or {found}k for kilohms")]
    NoUnit {
        /// As written.
        found: String,
    },
    /// A test voltage of nothing.
    #[error("v{found} is no test voltage: a figure above 0 was wanted, such as v250")]
    NoTestVolts {
        /// As written.
        found: String,
    },
    /// More than half a turn.
    #[error("{found} is no phase: degrees from -180 to 180 were wanted, such as p-23")]
    NoPhase {
        /// As written.
        found: String,
    },
    /// An open or a short where a known resistor was read.
    #[error("{found} is no resistor: a figure was wanted, such as 398r400 for 398 read on 400")]
    NoResistor {
        /// As written.
        found: String,
    },
    /// Something else behind the number.
    #[error("{found} is not understood: a reading is 412, 4.1k, 41x10, open or 0 for a short")]
    Unknown {
        /// As written.
        found: String,
    },
    /// Larger than any meter shows.
    #[error("{found} is more than any meter shows: at most 1000 Gohm was wanted")]
    TooLarge {
        /// As written.
        found: String,
    },
}

impl ReadingError {
    /// The text may still become a reading with more keys.
    #[must_use]
    pub const fn is_unfinished(&self) -> bool {
        matches!(self, Self::Number(NumberError::Unfinished))
    }
}

const LARGEST_OHM: f64 = 1e12;

/// Reads what was typed for an impedance or a direct-current reading.
///
/// # Errors
/// Says what was found, what was wanted; [`ReadingError::is_unfinished`] while more is to come.
pub fn reading(text: &str, sign: DecimalSign) -> Result<TypedReading, ReadingError> {
    let text = text.trim();
    match text.to_lowercase().as_str() {
        "open" | "ol" | "o.l." | "o" => {
            return Ok(TypedReading {
                value: Value::Open,
                step: Ohm(0.0),
            });
        }
        "short" | "0" => {
            return Ok(TypedReading {
                value: Value::Short,
                step: Ohm(0.0),
            });
        }
        _ => {}
    }
    let figure = figure(text, sign)?;
    if figure.ohm.0 == 0.0 {
        return Err(ReadingError::Zero {
            found: text.to_owned(),
        });
    }
    Ok(TypedReading {
        value: Value::Ohm(figure.ohm),
        step: figure.step,
    })
}

/// Reads what was typed for an insulation reading: a unit is a must, `>` is above the range.
///
/// # Errors
/// Says what was found, what was wanted.
pub fn insulation(text: &str, sign: DecimalSign) -> Result<Insulation, ReadingError> {
    let text = text.trim();
    let (above, number) = match text.strip_prefix('>') {
        Some(rest) => (true, rest.trim()),
        None => (false, text),
    };
    let figure = figure(number, sign)?;
    if !figure.has_unit {
        return Err(ReadingError::NoUnit {
            found: text.to_owned(),
        });
    }
    Ok(if above {
        Insulation::Above(figure.ohm)
    } else {
        Insulation::Ohm(figure.ohm)
    })
}

/// Reads plain ohms with prefix or multiplier, such as a known resistor's: `330`, `1k`, `0,33k`.
///
/// # Errors
/// Says what was found, what was wanted.
pub fn ohms(text: &str, sign: DecimalSign) -> Result<(Ohm, Ohm), ReadingError> {
    let figure = figure(text.trim(), sign)?;
    if figure.ohm.0 == 0.0 {
        return Err(ReadingError::Zero {
            found: text.trim().to_owned(),
        });
    }
    Ok((figure.ohm, figure.step))
}

struct Figure {
    ohm: Ohm,
    step: Ohm,
    has_unit: bool,
}

/// `number [k|M|G] [x n] [ohm]`.
fn figure(text: &str, sign: DecimalSign) -> Result<Figure, ReadingError> {
    let end = text
        .char_indices()
        .find(|(at, c)| {
            !(c.is_ascii_digit()
                || matches!(c, '.' | ',')
                || (*at == 0 && matches!(c, '-' | '\u{2212}')))
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, rest) = text.split_at(end);
    if number.is_empty() && !rest.is_empty() {
        return Err(ReadingError::Unknown {
            found: text.to_owned(),
        });
    }
    // With k or M behind it `1.200k` is a figure of a meter; alone `1.200` may be twelve hundred.
    if sign == DecimalSign::Either
        && !rest
            .trim_start()
            .starts_with(['k', 'K', 'm', 'M', 'g', 'G'])
        && let Some((whole, decimal)) = two_ways(number)
    {
        return Err(NumberError::TwoWays {
            found: number.to_owned(),
            whole,
            decimal,
        }
        .into());
    }
    let number = decimal(number, sign)?;
    let unknown = || ReadingError::Unknown {
        found: text.to_owned(),
    };
    let mut rest = rest.trim_start();
    let mut factor = 1.0;
    let mut has_unit = false;
    for (letters, times) in [("kK", 1e3), ("mM", 1e6), ("gG", 1e9)] {
        if let Some(tail) = rest.strip_prefix(|c| letters.contains(c)) {
            (factor, has_unit, rest) = (times, true, tail.trim_start());
            break;
        }
    }
    if let Some(tail) = rest.strip_prefix(['x', 'X', '*', '\u{d7}']) {
        let tail = tail.trim_start();
        let digits = tail
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(tail.len());
        let (times, after) = tail.split_at(digits);
        factor *= match times {
            "" if after.is_empty() => return Err(NumberError::Unfinished.into()),
            "0.1" => 0.1,
            "1" => 1.0,
            "10" => 10.0,
            "100" => 100.0,
            "1000" => 1000.0,
            _ => {
                return Err(ReadingError::Multiplier {
                    found: format!("x{times}"),
                });
            }
        };
        rest = after.trim_start();
    }
    for unit in ["ohms", "ohm", "Ohm", "OHM", "\u{3a9}", "\u{2126}"] {
        if let Some(tail) = rest.strip_prefix(unit) {
            (has_unit, rest) = (true, tail);
            break;
        }
    }
    if !rest.trim().is_empty() {
        return Err(unknown());
    }
    let ohm = number.value * factor;
    if ohm > LARGEST_OHM {
        return Err(ReadingError::TooLarge {
            found: text.to_owned(),
        });
    }
    Ok(Figure {
        ohm: Ohm(ohm),
        step: Ohm(number.step * factor),
        has_unit,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, ohm: f64, step: f64) {
        let typed = reading(text, DecimalSign::Either).unwrap();
        let Value::Ohm(found) = typed.value else {
            panic!("{text} is {:?}", typed.value)
        };
        assert!(
            (found.get() - ohm).abs() <= 1e-12 * ohm,
            "{text}: {found:?}"
        );
        assert!(
            (typed.step.get() - step).abs() <= 1e-12 * step,
            "{text}: step {:?}",
            typed.step
        );
    }

    #[track_caller]
    fn refused(text: &str, words: &str) {
        let message = reading(text, DecimalSign::Either).unwrap_err().to_string();
        assert!(message.contains(words), "{text}: {message}");
    }

    #[test]
    fn a_reading_is_understood_in_any_form_people_think_in() {
        check("412", 412.0, 1.0);
        check("4.1k", 4100.0, 100.0);
        check("4,1k", 4100.0, 100.0);
        check("0.41k", 410.0, 10.0);
        check("41x10", 410.0, 10.0);
        check("41 x10", 410.0, 10.0);
        check("41 \u{d7} 10", 410.0, 10.0);
        check("41*10", 410.0, 10.0);
        check("4.1 x100 ohm", 410.0, 10.0);
        check("0.4", 0.4, 0.1);
        check("0,412", 0.412, 0.001);
        check("412 ohm", 412.0, 1.0);
        check("412\u{3a9}", 412.0, 1.0);
        check("1.2M", 1.2e6, 1e5);
        check(".5", 0.5, 0.1);
        check("1200", 1200.0, 1.0);
        check("1.200k", 1200.0, 1.0);
        check("0.412", 0.412, 0.001);
    }

    #[test]
    fn open_and_short_are_readings_too() {
        for text in ["open", "OPEN", "OL", "o"] {
            assert_eq!(
                reading(text, DecimalSign::Either).unwrap().value,
                Value::Open
            );
        }
        for text in ["short", "0"] {
            assert_eq!(
                reading(text, DecimalSign::Either).unwrap().value,
                Value::Short
            );
        }
        refused("0.0", "a short is typed 0");
        refused("00", "a short is typed 0");
    }

    #[test]
    fn a_comma_before_three_digits_is_refused_with_the_two_ways_to_write_it() {
        refused("1,200", "write 1200 or 1.2");
        refused("1.200", "write 1200 or 1.2");
        refused("1,200k", "write 1200 or 1.2");
    }

    #[test]
    fn what_cannot_be_read_is_said() {
        refused("-4", "below zero");
        refused("41x7", "no range multiplier");
        refused("4..1", "not a plain number");
        refused("4.1.2", "not a plain number");
        refused("41 bananas", "not understood");
        refused("1e3", "not understood");
        refused("hello", "not understood");
        refused("9999999999999", "more than any meter");
    }

    #[test]
    fn a_half_typed_reading_is_unfinished_not_wrong() {
        for text in ["", " ", "41x"] {
            assert!(
                reading(text, DecimalSign::Either)
                    .unwrap_err()
                    .is_unfinished(),
                "{text:?}"
            );
        }
    }

    #[test]
    fn insulation_wants_its_unit() {
        let read = |text| insulation(text, DecimalSign::Either);
        assert_eq!(read("200M").unwrap(), Insulation::Ohm(Ohm(2e8)));
        assert_eq!(read(">999M").unwrap(), Insulation::Above(Ohm(9.99e8)));
        assert_eq!(read("1.5 Mohm").unwrap(), Insulation::Ohm(Ohm(1.5e6)));
        assert!(
            read("200")
                .unwrap_err()
                .to_string()
                .contains("200M for megohms")
        );
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_a_reading_or_an_error_and_never_a_panic(text in "\\PC*") {
            if let Ok(TypedReading { value: Value::Ohm(ohm), .. }) =
                reading(&text, DecimalSign::Either)
            {
                assert!(ohm.get().is_finite() && ohm.get() > 0.0);
            }
        }
    }
}
