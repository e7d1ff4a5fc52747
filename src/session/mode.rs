//! What the keyboard is doing, each mode with its own data.

use super::keys::ModeName;
pub use super::phrase::{Found, Purpose, Words};
use crate::quantity::{self, DecimalSign, Degree, Insulation, Ohm, ReadingError, Value, Volt};
use crate::site::{Cut, EntryId, Leg, LineId};
use serde::{Deserialize, Serialize};

/// The four modes.
#[derive(Clone, Debug, PartialEq)]
pub enum Mode {
    /// Keys are commands.
    Key,
    /// A reading is being typed.
    Reading(Draft),
    /// Words are being typed.
    Text(Words),
    /// The list behind `g` is open.
    GoList,
}

impl Mode {
    /// The mode's name in the key table.
    #[must_use]
    pub const fn name(&self) -> ModeName {
        match self {
            Self::Key => ModeName::Key,
            Self::Reading(_) => ModeName::Reading,
            Self::Text(_) => ModeName::Text,
            Self::GoList => ModeName::GoList,
        }
    }
}

/// A reading that is typed and not recorded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draft {
    /// The line it is typed for.
    pub line: LineId,
    /// What it is.
    pub kind: DraftKind,
    /// As typed.
    pub text: String,
    /// The entry it takes the place of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<EntryId>,
    /// Where it is read, when not at the rack with the line whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut: Option<Cut>,
    /// A note that is recorded with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// More readings of one paste, as typed, each for its line: recorded with it or not at all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub more: Vec<(LineId, String)>,
}

/// What a draft is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum DraftKind {
    /// An impedance.
    Impedance,
    /// An ohmmeter's figure.
    Dc,
    /// An insulation reading.
    Insulation,
    /// A known resistor, which tells of the meter and of no line.
    Check,
}

impl DraftKind {
    /// The word on the entry line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Impedance => "reading",
            Self::Dc => "ohmmeter",
            Self::Insulation => "insulation",
            Self::Check => "known resistor",
        }
    }
}

/// What a draft reads to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reads {
    /// An impedance or a direct-current figure, with the worth of its last digit, and its phase
    /// where that was typed.
    Meter(Value, Ohm, Option<Degree>),
    /// A known resistor: what the meter showed, the worth of its last digit, and what it is where
    /// that was typed.
    Check(Ohm, Ohm, Option<Ohm>),
    /// An insulation figure, its leg and test voltage.
    Insulation(Insulation, Leg, Option<Volt>),
}

impl Draft {
    /// A draft with nothing typed for it yet but this.
    #[must_use]
    pub fn new(line: LineId, kind: DraftKind, text: &str) -> Self {
        Self {
            line,
            kind,
            text: text.to_owned(),
            corrects: None,
            cut: None,
            note: None,
            more: Vec::new(),
        }
    }

    /// One of the readings that were pasted with it.
    #[must_use]
    pub fn pasted(&self, line: &LineId) -> Option<Self> {
        let (_, text) = self.more.iter().find(|(it, _)| it == line)?;
        Some(Self::new(line.clone(), self.kind, text))
    }

    /// What it reads to.
    ///
    /// # Errors
    /// Says what is wrong, or that more is to come.
    pub fn read(&self) -> Result<Reads, ReadingError> {
        match self.kind {
            DraftKind::Impedance | DraftKind::Dc => {
                let (figure, phase) = self.apart('p');
                let typed = quantity::reading(figure, DecimalSign::Either)?;
                let phase = phase.map(degrees).transpose()?;
                Ok(Reads::Meter(typed.value, typed.step, phase))
            }
            DraftKind::Check => {
                let (figure, known) = self.apart('r');
                let ohm = |text: &str| {
                    let typed = quantity::reading(text, DecimalSign::Either)?;
                    match typed.value {
                        Value::Ohm(ohm) => Ok((ohm, typed.step)),
                        Value::Open | Value::Short => Err(ReadingError::NoResistor {
                            found: text.trim().to_owned(),
                        }),
                    }
                };
                let (shown, step) = ohm(figure)?;
                let known = known.filter(|text| !text.trim().is_empty());
                let known = known.map(|text| ohm(text).map(|it| it.0)).transpose()?;
                Ok(Reads::Check(shown, step, known))
            }
            DraftKind::Insulation => {
                let (figure, volts) = match self.text.split_once('v') {
                    Some((figure, volts)) => (figure, Some(volts)),
                    None => (self.text.as_str(), None),
                };
                let figure = figure.trim();
                let (figure, leg) = match figure.strip_suffix('a') {
                    Some(rest) => (rest, Leg::A),
                    None => match figure.strip_suffix('b') {
                        Some(rest) => (rest, Leg::B),
                        None => (figure, Leg::Both),
                    },
                };
                let value = quantity::insulation(figure, DecimalSign::Either)?;
                let test_v = volts.map(test_volts).transpose()?;
                Ok(Reads::Insulation(value, leg, test_v))
            }
        }
    }

    /// The figure alone, as it is kept in the log.
    #[must_use]
    pub fn figure_text(&self) -> &str {
        match self.kind {
            DraftKind::Insulation => {
                let figure = self.text.split('v').next().unwrap_or_default().trim();
                figure.trim_end_matches(['a', 'b']).trim()
            }
            DraftKind::Check => self.apart('r').0,
            DraftKind::Impedance | DraftKind::Dc => self.apart('p').0,
        }
    }

    /// The figure, and what stands behind a letter; the word `open` has that letter of its own.
    fn apart(&self, letter: char) -> (&str, Option<&str>) {
        let text = self.text.trim();
        match text.split_once(letter) {
            Some((figure, rest)) if !text.starts_with(['o', 'O']) => (figure.trim(), Some(rest)),
            _ => (text, None),
        }
    }

    /// The impedance at the rack that it reads to, if it does already. A first digit alone is none
    /// yet: on every line it would be out, and the next digit makes another figure of it.
    #[must_use]
    pub fn impedance(&self) -> Option<(Value, Ohm)> {
        self.shown().filter(|_| self.cut.is_none())
    }

    /// As [`Self::impedance`], for one side of an opened line.
    #[must_use]
    pub fn side(&self) -> Option<(Value, Ohm)> {
        self.shown().filter(|_| self.cut.is_some())
    }

    /// Whether it is read of one side of an opened line.
    #[must_use]
    pub const fn is_of_a_side(&self) -> bool {
        matches!(self.cut, Some(Cut::Near(_) | Cut::Far(_)))
    }

    fn shown(&self) -> Option<(Value, Ohm)> {
        if matches!(self.text.as_bytes(), [b'1'..=b'9']) {
            return None;
        }
        match (self.kind, self.read()) {
            (DraftKind::Impedance, Ok(Reads::Meter(value, step, _))) => Some((value, step)),
            _ => None,
        }
    }
}

/// The volts behind `v`. A site file with a test voltage of 0 would be refused.
fn test_volts(text: &str) -> Result<Volt, ReadingError> {
    let volts = quantity::decimal(text, DecimalSign::Either)?.value;
    if volts > 0.0 {
        Ok(Volt(volts))
    } else {
        let found = text.trim().to_owned();
        Err(ReadingError::NoTestVolts { found })
    }
}

/// The degrees behind `p`: a phase, so between -180 and 180.
fn degrees(text: &str) -> Result<Degree, ReadingError> {
    let (sign, figure) = match text.trim().strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text),
    };
    let value = quantity::decimal(figure, DecimalSign::Either)?.value;
    if value <= 180.0 {
        Ok(Degree(sign * value))
    } else {
        let found = text.trim().to_owned();
        Err(ReadingError::NoPhase { found })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn insulation(text: &str) -> Draft {
        Draft::new("L".into(), DraftKind::Insulation, text)
    }

    #[test]
    fn an_insulation_draft_takes_its_leg_and_its_test_volts() {
        assert_eq!(
            insulation("200M").read().unwrap(),
            Reads::Insulation(Insulation::Ohm(Ohm(2e8)), Leg::Both, None)
        );
        assert_eq!(
            insulation(">999M a v250").read().unwrap(),
            Reads::Insulation(Insulation::Above(Ohm(9.99e8)), Leg::A, Some(Volt(250.0)))
        );
        assert_eq!(insulation(">999M a v250").figure_text(), ">999M");
        assert!(insulation("200").read().is_err());
        let nothing = insulation("200Mv0").read().unwrap_err();
        assert!(nothing.to_string().contains("such as v250"), "{nothing}");
    }

    #[test]
    fn a_phase_stands_behind_p_and_a_known_resistor_behind_r() {
        let typed = |kind, text: &str| Draft::new("L".into(), kind, text);
        let meter = typed(DraftKind::Impedance, "205p-23");
        assert_eq!(
            meter.read().unwrap(),
            Reads::Meter(Value::Ohm(Ohm(205.0)), Ohm(1.0), Some(Degree(-23.0)))
        );
        assert_eq!(meter.figure_text(), "205");
        let open = typed(DraftKind::Impedance, "open");
        assert_eq!(
            open.read().unwrap(),
            Reads::Meter(Value::Open, Ohm(0.0), None)
        );
        let check = typed(DraftKind::Check, "39.8x10r400");
        assert_eq!(
            check.read().unwrap(),
            Reads::Check(Ohm(398.0), Ohm(1.0), Some(Ohm(400.0)))
        );
        assert_eq!(check.figure_text(), "39.8x10");
        assert_eq!(check.impedance(), None);
        assert!(typed(DraftKind::Check, "0r400").read().is_err());
    }

    #[test]
    fn the_caret_of_words_counts_characters_not_bytes() {
        let mut words = Words::new(Purpose::Find);
        for c in "no\u{e9}l".chars() {
            words.insert(c);
        }
        words.step(-1);
        assert!(words.backspace());
        assert_eq!((words.text.as_str(), words.caret), ("nol", 2));
        words.step(-9);
        assert!(!words.backspace());
    }
}
