//! What an output carries, from the lines on it.

use super::line::LineResult;
use crate::quantity::{Fraction, Watt};
use crate::site::OutputPlan;
use crate::verdict::{self, Limits, OnOutput, OutputLoad};

/// An output and what it carries.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputResult {
    /// Rating, where known.
    pub rated: Option<Watt>,
    /// Share of the rating to keep free.
    pub headroom: Fraction,
    /// Sum of the expected loads of its lines.
    pub planned: Watt,
    /// As read, unread lines at their expected load.
    pub carries: OutputLoad,
    /// The same without the lines that are OFF the amplifier.
    pub now: OutputLoad,
}

impl OutputResult {
    /// Adds up the lines of an output.
    pub fn of<'a>(
        output: &OutputPlan,
        lines: impl Iterator<Item = &'a LineResult>,
        limits: &Limits,
    ) -> Self {
        let mut planned = 0.0;
        let mut now = Vec::new();
        let on: Vec<OnOutput> = lines
            .map(|line| {
                planned += line.design.load.map_or(0.0, Watt::get);
                let counts = match &line.taken {
                    Some(taken) => OnOutput::Read {
                        value: taken.value,
                        phase: taken.phase,
                    },
                    None => OnOutput::Unread {
                        expected: line.design.expected,
                    },
                };
                now.extend((!line.off).then_some(counts));
                counts
            })
            .collect();
        let add = |lines: &[OnOutput]| {
            verdict::carries(output.volts, output.rated, output.headroom, lines, limits)
        };
        Self {
            rated: output.rated,
            headroom: limits.headroom_of(output.headroom),
            planned: Watt(planned),
            carries: add(&on),
            now: add(&now),
        }
    }

    /// Load over rating.
    #[must_use]
    pub fn used(&self) -> Option<Fraction> {
        let (load, rated) = (self.carries.load?, self.rated?);
        Some(Fraction(load.get() / rated.get()))
    }
}
