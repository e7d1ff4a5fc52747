//! The design held against its limits before anyone travels: outputs planned past their rating, far
//! ends that are too quiet and the smallest standard cable that would do, loudspeakers whose failure
//! no reading at the rack could show.
//!
//! A single open loudspeaker is lost when it changes ln|Z| by less than twice the spread of a
//! reading: the meter's (accuracy / sqrt 3), the contacts, and what the design itself leaves open
//! (types, loudspeakers, lengths).
//!
//! Never here: readings.

use super::{Analyst, Design, LineFlaw, OutputFlaw};
use crate::circuit::{Conditions, Network};
use crate::diagnosis::{FaultKind, possible_faults};
use crate::quantity::{Decibel, Fraction, Hertz, Ohm, Watt};
use crate::site::{Figure, Figures, LinePlan, PLAIN_ACCURACY, Reads, Site};

/// So many spreads of a reading a change must make to be seen. \[assumed\]
const SEEN_FROM: f64 = 2.0;

/// An output planned past its headroom.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Its place in the plan.
    pub output: usize,
    /// Sum of the expected loads.
    pub load: Watt,
    /// Its rating.
    pub rated: Watt,
    /// Over the rating itself.
    pub over: bool,
}

/// A line whose far end is under the limit.
#[derive(Clone, Debug, PartialEq)]
pub struct FarEnd {
    /// Its place in the plan.
    pub line: usize,
    /// Place of the loudspeaker that gets least.
    pub node: usize,
    /// What it gets.
    pub level: Decibel,
    /// Name and far-end level of the smallest standard conductor that would keep the limit where every
    /// thinner run gets it; none where even the largest would not.
    pub would_do: Option<(String, Decibel)>,
}

/// A line on which a single open loudspeaker can be lost in the tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Lost {
    /// Its place in the plan.
    pub line: usize,
    /// How many of its loudspeakers.
    pub lost: usize,
    /// Of how many.
    pub loudspeakers: usize,
    /// The smallest change of |Z| that one of them would make.
    pub least_change: Fraction,
    /// The change that would be seen.
    pub seen_from: Fraction,
}

/// What is to be known before anyone travels.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DesignCheck {
    /// Outputs planned past their headroom.
    pub planned: Vec<Planned>,
    /// Far ends under the limit.
    pub far_ends: Vec<FarEnd>,
    /// Lines on which one open loudspeaker may be lost.
    pub lost: Vec<Lost>,
}

impl DesignCheck {
    /// Checks a site as it is drawn.
    #[must_use]
    pub fn of(site: &Site, analyst: &Analyst) -> Self {
        let plan = site.plan();
        let figures = site.figures();
        let accuracy = plan
            .instruments
            .iter()
            .find(|(_, it)| it.reads == Reads::Impedance)
            .map_or(PLAIN_ACCURACY, |(_, it)| it.accuracy);
        let mut out = Self::default();
        for at in 0..plan.outputs.len() {
            for flaw in analyst.output_flaws(site, at) {
                match flaw {
                    OutputFlaw::Past { planned, rated, .. } => out.planned.push(Planned {
                        output: at,
                        load: planned,
                        rated,
                        over: planned.get() > rated.get(),
                    }),
                    OutputFlaw::NoRating => {}
                }
            }
        }
        for (at, line) in plan.lines.iter().enumerate() {
            let design = &analyst.line(at).design;
            if let Some(LineFlaw::Quiet {
                at: node,
                level,
                would_do,
                ..
            }) = analyst.quiet_flaw(site, at)
            {
                out.far_ends.push(FarEnd {
                    line: at,
                    node,
                    level,
                    would_do: would_do.map(|(conductor, level)| (conductor.name(), level)),
                });
            }
            out.lost.extend(lost(at, line, design, figures, accuracy));
        }
        out
    }
}

fn conditions(figures: &Figures) -> Conditions {
    Conditions::of(figures, Hertz(figures.get(Figure::TestHz)))
}

fn lost(
    at: usize,
    line: &LinePlan,
    design: &Design,
    figures: &Figures,
    accuracy: Fraction,
) -> Option<Lost> {
    let whole = design.expected?.get();
    let meter = accuracy.get() / 3f64.sqrt();
    let contacts = figures.get(Figure::ContactOhm) / whole;
    let spread = meter.hypot(contacts).hypot(design.budget.total());
    let network = Network::of(line, &conditions(figures));
    let solution = network.solve();
    let closed = solution.closed_form();
    let changes: Vec<f64> = possible_faults(line, &network, figures, false)
        .iter()
        .filter(|it| it.fault.of.kind == FaultKind::LoudspeakerOpen)
        .filter_map(|it| it.fault.change(&network))
        .map(|change| match closed.after(&change).modulus() {
            Some(Ohm(z)) => (z / whole).ln().abs(),
            None => f64::INFINITY,
        })
        .collect();
    let limit = SEEN_FROM * spread;
    let lost = changes.iter().filter(|change| **change < limit).count();
    let least = changes.iter().copied().fold(f64::INFINITY, f64::min);
    (lost > 0).then_some(Lost {
        line: at,
        lost,
        loudspeakers: changes.len(),
        least_change: Fraction(least),
        seen_from: Fraction(limit),
    })
}
