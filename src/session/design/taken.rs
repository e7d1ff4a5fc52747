//! What was typed, taken part by part by whoever builds; what nobody takes is refused, with the reason.

use super::refused::Refused;
use super::typed::{self, Part, Unit};
use crate::quantity::{DecimalSign, decimal};
use crate::site::Conductor;

/// All parts of a row; whoever builds takes what belongs to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Typed {
    left: Vec<Part>,
    taken: Vec<Part>,
}

impl Typed {
    /// The rows of an entry, none of them taken yet.
    pub fn rows(text: &str) -> Result<Vec<Self>, Refused> {
        let row = |left| Self {
            left,
            taken: Vec::new(),
        };
        Ok(typed::rows(text)?.into_iter().map(row).collect())
    }

    /// Nothing was typed.
    pub fn is_empty(&self) -> bool {
        self.left.is_empty()
    }

    fn take<T>(&mut self, wanted: impl Fn(&Part) -> Option<T>) -> Option<T> {
        let at = self.left.iter().position(|part| wanted(part).is_some())?;
        let part = self.left.remove(at);
        let out = wanted(&part);
        self.taken.push(part);
        out
    }

    /// The first figure of a unit.
    pub fn figure(&mut self, unit: Unit) -> Option<f64> {
        self.take(|part| match part {
            Part::Figure(own, value, _) if *own == unit => Some(*value),
            _ => None,
        })
    }

    /// A standard conductor.
    pub fn conductor(&mut self) -> Option<Conductor> {
        self.take(|part| match part {
            Part::Conductor(it) => Some(*it),
            _ => None,
        })
    }

    /// How many: `2x240w` is two of 240 W.
    pub fn times(&mut self) -> Option<usize> {
        self.take(|part| match part {
            Part::Times(count) => Some(*count),
            _ => None,
        })
    }

    /// The name behind a letter.
    pub fn name(&mut self, letter: char) -> Option<String> {
        self.take(|part| match part {
            Part::Name(own, name) if *own == letter => Some(name.clone()),
            _ => None,
        })
    }

    /// Whether a word says yes.
    pub fn flag(&mut self, flag: &str) -> bool {
        self.take(|part| matches!(part, Part::Flag(own) if *own == flag).then_some(()))
            .is_some()
    }

    /// The first word.
    pub fn word(&mut self) -> Option<String> {
        self.take(|part| match part {
            Part::Word(word) => Some(word.clone()),
            _ => None,
        })
    }

    /// All words, as one.
    pub fn words(&mut self) -> Option<String> {
        let mut out = Vec::new();
        while let Some(word) = self.word() {
            out.push(word);
        }
        (!out.is_empty()).then(|| out.join(" "))
    }

    /// Nothing may be left that was not taken.
    pub fn done(&self, thing: &'static str) -> Result<(), Refused> {
        let Some(part) = self.left.first() else {
            return Ok(());
        };
        if let Part::Word(word) = part
            && decimal(word, DecimalSign::Either).is_ok()
        {
            return Err(Refused::Figure {
                found: word.clone(),
                wanted: "its unit was wanted behind it, such as 6w or 9m",
            });
        }
        let found = as_typed(part);
        // A second one of a kind belongs here as much as the first.
        if let Some(first) = self.taken.iter().find(|it| says_as(it, part)) {
            return Err(Refused::Twice {
                found,
                first: as_typed(first),
            });
        }
        Err(Refused::NotHere { found, thing })
    }
}

/// A part as it was typed.
fn as_typed(part: &Part) -> String {
    match part {
        Part::Word(word) => word.clone(),
        Part::Figure(_, _, text) => text.clone(),
        Part::Conductor(it) => it.name(),
        Part::Times(count) => format!("{count}x"),
        Part::Name(letter, name) => format!("{letter}:{name}"),
        Part::Flag(flag) => (*flag).to_owned(),
    }
}

/// Whether two parts say one thing: the same letter, the same unit. Words are told apart by their order.
fn says_as(a: &Part, b: &Part) -> bool {
    match (a, b) {
        (Part::Name(a, _), Part::Name(b, _)) => a == b,
        (Part::Figure(a, ..), Part::Figure(b, ..)) => a == b,
        (Part::Flag(a), Part::Flag(b)) => a == b,
        (Part::Conductor(_), Part::Conductor(_)) | (Part::Times(_), Part::Times(_)) => true,
        _ => false,
    }
}
