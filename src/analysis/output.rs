//! What an output carries, from the lines whose cores are on it.

use super::Analyst;
use super::line::LineResult;
use crate::quantity::{Fraction, Watt};
use crate::site::{OutputPlan, Site};
use crate::verdict::{self, Limits, OnOutput, OutputLoad};

/// An output and what it carries.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputResult {
    /// Rating, where known.
    pub rated: Option<Watt>,
    /// Share of the rating to keep free.
    pub headroom: Fraction,
    /// Sum of the expected loads of the lines that are drawn on it.
    pub planned: Watt,
    /// Lines that count in what it carries, by their place in the plan: those whose cores are on it, and those
    /// that are OFF and go back on it.
    pub lines: Vec<usize>,
    /// As read, unread lines at their expected load.
    pub carries: OutputLoad,
    /// The same without the lines that are OFF the amplifier.
    pub now: OutputLoad,
    /// The same with all lines that are drawn on it and no other; none where these are the lines that count.
    pub once_moved: Option<OutputLoad>,
}

impl OutputResult {
    /// Adds up the lines of an output: those `drawn` on it, those whose cores are `on` it, by their places.
    fn of<'a>(
        output: &OutputPlan,
        drawn: &[usize],
        on: Vec<usize>,
        result: impl Fn(usize) -> &'a LineResult,
        limits: &Limits,
    ) -> Self {
        let counts = |line: usize| match &result(line).taken {
            Some(taken) => OnOutput::Read {
                value: taken.value,
                phase: taken.phase,
            },
            None => OnOutput::Unread {
                expected: result(line).design.expected,
            },
        };
        let add = |lines: &[usize]| {
            let lines: Vec<OnOutput> = lines.iter().map(|line| counts(*line)).collect();
            verdict::carries(output.volts, output.rated, output.headroom, &lines, limits)
        };
        let loads = drawn.iter().map(|line| result(*line).design.load);
        let not_off = |line: &usize| !result(*line).off;
        let now: Vec<usize> = on.iter().copied().filter(not_off).collect();
        Self {
            rated: output.rated,
            headroom: limits.headroom_of(output.headroom),
            planned: Watt(loads.map(|load| load.map_or(0.0, Watt::get)).sum()),
            carries: add(&on),
            now: add(&now),
            once_moved: (on != drawn).then(|| add(drawn)),
            lines: on,
        }
    }

    /// Load over rating.
    #[must_use]
    pub fn used(&self) -> Option<Fraction> {
        let (load, rated) = (self.carries.load?, self.rated?);
        Some(Fraction(load.get() / rated.get()))
    }

    /// What it carries once the cores of every line are where they are drawn.
    #[must_use]
    pub fn as_drawn(&self) -> &OutputLoad {
        self.once_moved.as_ref().unwrap_or(&self.carries)
    }

    /// Lines that must not be connected, by their place in the plan.
    pub fn stops(&self) -> impl Iterator<Item = usize> {
        let places = self.carries.stops.iter();
        places.filter_map(|place| self.lines.get(*place).copied())
    }
}

impl Analyst {
    /// What an output carries; `instead` stands for the line of that place.
    #[must_use]
    pub fn output(
        &self,
        site: &Site,
        at: usize,
        instead: Option<(usize, &LineResult)>,
    ) -> OutputResult {
        let instead = |line: usize| instead.filter(|it| it.0 == line).map(|it| it.1);
        self.output_if(site, at, instead)
    }

    /// What an output would carry with other results in the place of those of some lines.
    #[must_use]
    pub fn output_if<'a>(
        &'a self,
        site: &Site,
        at: usize,
        instead: impl Fn(usize) -> Option<&'a LineResult>,
    ) -> OutputResult {
        let output = &site.plan().outputs[at];
        let drawn: Vec<usize> = output.lines.clone().collect();
        let on = self.lines_on(site, at);
        let result = |line: usize| instead(line).unwrap_or(&self.lines[line]);
        OutputResult::of(output, &drawn, on, result, self.limits())
    }
}
