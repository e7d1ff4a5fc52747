//! What the keyboard is doing, each mode with its own data.

use super::design::Thing;
use super::keys::ModeName;
use crate::quantity::{self, DecimalSign, Insulation, Ohm, ReadingError, Value, Volt};
use crate::site::{Cut, EntryId, Leg, LineId, Ref};
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
}

impl DraftKind {
    /// The word on the entry line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Impedance => "reading",
            Self::Dc => "ohmmeter",
            Self::Insulation => "insulation",
        }
    }
}

/// What a draft reads to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reads {
    /// An impedance or a direct-current figure, with the worth of its last digit.
    Meter(Value, Ohm),
    /// An insulation figure, its leg and test voltage.
    Insulation(Insulation, Leg, Option<Volt>),
}

impl Draft {
    /// What it reads to.
    ///
    /// # Errors
    /// Says what is wrong, or that more is to come.
    pub fn read(&self) -> Result<Reads, ReadingError> {
        match self.kind {
            DraftKind::Impedance | DraftKind::Dc => {
                let typed = quantity::reading(&self.text, DecimalSign::Either)?;
                Ok(Reads::Meter(typed.value, typed.step))
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
            _ => self.text.trim(),
        }
    }

    /// The impedance at the rack that it reads to, if it does already.
    #[must_use]
    pub fn impedance(&self) -> Option<(Value, Ohm)> {
        match (self.kind, self.read()) {
            (DraftKind::Impedance, Ok(Reads::Meter(value, step))) if self.cut.is_none() => {
                Some((value, step))
            }
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

/// Words being typed, and for what.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    /// For what.
    pub purpose: Purpose,
    /// As typed.
    pub text: String,
    /// Characters before the caret.
    pub caret: usize,
}

/// What words are typed for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Purpose {
    /// Finding a line by part of its label.
    Find,
    /// What was repaired on a line.
    Repair(LineId),
    /// Something new, and the item it is added at.
    Add(Thing, Ref),
    /// An item as it is to be.
    Change(Ref),
    /// Why an item is not there.
    Gone(Ref),
    /// What is tried out on a line.
    TryOut(LineId),
}

impl Purpose {
    /// Whether the design is what is typed.
    #[must_use]
    pub const fn is_design(&self) -> bool {
        matches!(
            self,
            Self::Add(..) | Self::Change(_) | Self::Gone(_) | Self::TryOut(_)
        )
    }
}

impl Words {
    /// None yet.
    #[must_use]
    pub const fn new(purpose: Purpose) -> Self {
        Self {
            purpose,
            text: String::new(),
            caret: 0,
        }
    }

    fn byte(&self) -> usize {
        self.text
            .char_indices()
            .nth(self.caret)
            .map_or(self.text.len(), |(at, _)| at)
    }

    /// A character at the caret.
    pub fn insert(&mut self, c: char) {
        let at = self.byte();
        self.text.insert(at, c);
        self.caret += 1;
    }

    /// The character before the caret gone; false when there is none.
    pub fn backspace(&mut self) -> bool {
        if self.caret == 0 {
            return false;
        }
        self.caret -= 1;
        let at = self.byte();
        self.text.remove(at);
        true
    }

    /// The caret by some characters, kept within the text.
    pub fn step(&mut self, by: isize) {
        self.caret = self
            .caret
            .saturating_add_signed(by)
            .min(self.text.chars().count());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn insulation(text: &str) -> Draft {
        Draft {
            line: "L".into(),
            kind: DraftKind::Insulation,
            text: text.into(),
            corrects: None,
            cut: None,
        }
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
