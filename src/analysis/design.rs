//! What a line should read, from its drawing alone: ohms, watts, levels, and how sure that is.

use crate::circuit::{Conditions, Network, Solution};
use crate::quantity::{Decibel, Ohm, Watt};
use crate::site::{Figure, Figures, LinePlan, NodeIs};
use crate::verdict;
use std::collections::BTreeMap;

/// A line as designed.
#[derive(Clone, Debug)]
pub struct Design {
    /// Sum of the taps.
    pub design: Watt,
    /// Impedance with cables reckoned; none where nothing is connected.
    pub expected: Option<Ohm>,
    /// The load of that impedance.
    pub load: Option<Watt>,
    /// Where the spread of the expected impedance comes from, relative standard uncertainties.
    pub budget: Budget,
    /// The loudspeaker with the lowest terminal voltage, by its place in the plan.
    pub far_end: Option<(usize, Decibel)>,
    /// Terminal voltage of every node.
    pub levels: Vec<Option<Decibel>>,
    /// Some run's length is not known.
    pub unknown_run: bool,
}

/// Parts of the relative standard uncertainty of the expected impedance (JCGM 100 terms).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Budget {
    /// What the loudspeakers of a type share.
    pub types: f64,
    /// Each loudspeaker's own.
    pub loudspeakers: f64,
    /// Lengths of the cable runs.
    pub cable: f64,
}

impl Budget {
    /// The standard deviation of all parts together.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.types.hypot(self.loudspeakers).hypot(self.cable)
    }
}

impl Design {
    /// Reckons a line as drawn.
    #[must_use]
    pub fn of(line: &LinePlan, figures: &Figures) -> Self {
        let hz = crate::quantity::Hertz(figures.get(Figure::TestHz));
        let solution = Network::of(line, &Conditions::of(figures, hz)).solve();
        let expected = solution.input().modulus();
        let levels: Vec<_> = (0..line.nodes.len())
            .map(|at| solution.terminal_db(at))
            .collect();
        let far_end = (0..line.nodes.len())
            .filter(|at| line.nodes[*at].is_loudspeaker())
            .filter_map(|at| Some((at, levels[at]?)))
            .min_by(|a, b| a.1.get().total_cmp(&b.1.get()));
        Self {
            design: line.design_load(),
            expected,
            load: expected.map(|ohm| verdict::load(line.volts, ohm)),
            budget: budget(line, figures, &solution),
            far_end,
            levels,
            unknown_run: line.nodes.iter().any(|node| node.run.is_none()),
        }
    }
}

pub(super) fn budget(line: &LinePlan, figures: &Figures, solution: &Solution) -> Budget {
    let sensitivities = solution.sensitivities();
    let mut by_type: BTreeMap<&str, f64> = BTreeMap::new();
    let mut own = 0.0;
    let mut cable = 0.0;
    for (at, node) in line.nodes.iter().enumerate() {
        if let NodeIs::Loudspeaker { of, .. } = &node.is {
            let share = sensitivities.loudspeaker[at];
            *by_type.entry(of.as_str()).or_default() += share;
            own += share * share;
        }
        let spread = match node.run {
            Some(_) => figures.get(Figure::SpreadRun),
            None => figures.get(Figure::SpreadUnknownRun),
        };
        cable += (sensitivities.run[at] * spread).powi(2);
    }
    let types: f64 = by_type.values().map(|share| share * share).sum();
    Budget {
        types: types.sqrt() * figures.get(Figure::SpreadType),
        loudspeakers: own.sqrt() * figures.get(Figure::SpreadLoudspeaker),
        cable: cable.sqrt(),
    }
}
