//! Evidence: what was read and heard on one state of a line, as plain values.
//!
//! Never here: how it is weighed.

use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{Figure, Figures, Heard, InstrumentId, VisitId};

/// What was read. Nodes are places in the line's plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Test {
    /// The impedance at the rack, the line whole, at the site's test frequency.
    Rack,
    /// The resistance at the rack with direct current, the line whole. Not weighed on a line with
    /// a level control.
    Dc,
    /// The impedance at the rack, the line opened on the rack side of this node: the opened run
    /// still hangs on.
    Near(usize),
    /// The impedance read outward from the opening on the rack side of this node.
    Far(usize),
}

/// An instrument on one visit: its readings share one factor.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Meter {
    /// The instrument.
    pub instrument: InstrumentId,
    /// The visit.
    pub visit: VisitId,
    /// In whose hands, where one name may stand for the meters of several.
    pub hand: Option<String>,
}

/// A reading, as plain values.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was read.
    pub test: Test,
    /// What the meter showed.
    pub value: Value,
    /// What one step of it is worth: the last digit typed or the instrument's scale step, whichever
    /// is larger.
    pub step: Ohm,
    /// With what and when.
    pub meter: Meter,
    /// The instrument's accuracy.
    pub accuracy: Fraction,
    /// Above this it reads open.
    pub range: Ohm,
}

impl Reading {
    /// A reading at the rack with a plain meter of this accuracy, its range the site's figure.
    #[must_use]
    pub fn at_rack(value: Value, step: Ohm, accuracy: Fraction, figures: &Figures) -> Self {
        Self {
            test: Test::Rack,
            value,
            step,
            meter: Meter::default(),
            accuracy,
            range: Ohm(figures.get(Figure::RangeOhm)),
        }
    }

    /// Relative variance of its last digit, where it shows so many ohm: (half a step / sqrt 3 / m)^2.
    pub(super) fn digit(&self, ohm: f64) -> f64 {
        let half = self.step.get() / (2.0 * ohm);
        half * half / 3.0
    }
}

/// What was heard at a loudspeaker with the tone on the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Answer {
    /// The loudspeaker: place in the line's plan.
    pub at: usize,
    /// What was heard; noisy and reversed are answers without weight.
    pub heard: Heard,
    /// Source resistance of the tone: that of the meter, 0 when an amplifier drives the line.
    pub source: Ohm,
}

/// What was read and heard on one state of a line, first to last. Only what counts belongs here:
/// the corrected, the struck and those of an earlier state stay in the log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// The readings, earliest first.
    pub readings: Vec<Reading>,
    /// What was heard, earliest first; of one loudspeaker the latest answer with weight counts.
    pub answers: Vec<Answer>,
}

impl Evidence {
    /// One reading, and nothing heard.
    #[must_use]
    pub fn of(reading: Reading) -> Self {
        Self {
            readings: vec![reading],
            answers: Vec::new(),
        }
    }

    /// Place of the latest rack reading: the verdict rests on it, and misfit is its.
    #[must_use]
    pub fn latest_rack(&self) -> Option<usize> {
        self.readings
            .iter()
            .rposition(|reading| reading.test == Test::Rack)
    }

    /// Whether rack readings are all there is.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.answers.is_empty() && self.readings.iter().all(|it| it.test == Test::Rack)
    }

    /// Of each loudspeaker the latest answer with weight.
    pub(super) fn heard(&self) -> Vec<Answer> {
        let mut latest: Vec<Answer> = Vec::new();
        for answer in &self.answers {
            if matches!(answer.heard, Heard::Noisy | Heard::Reversed) {
                continue;
            }
            match latest.iter_mut().find(|it| it.at == answer.at) {
                Some(it) => *it = *answer,
                None => latest.push(*answer),
            }
        }
        latest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_answer_counts_and_one_without_weight_replaces_none() {
        let answer = |at, heard| Answer {
            at,
            heard,
            source: Ohm(100.0),
        };
        let evidence = Evidence {
            answers: vec![
                answer(3, Heard::Silent),
                answer(1, Heard::Quiet),
                answer(3, Heard::Noisy),
                answer(1, Heard::Heard),
                answer(1, Heard::Reversed),
            ],
            ..Evidence::default()
        };
        let heard = [answer(3, Heard::Silent), answer(1, Heard::Heard)];
        assert_eq!(evidence.heard(), heard);
    }
}
