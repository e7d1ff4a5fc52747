//! What every response of a line is reckoned from: the line without a fault, its tolerances, and its
//! faults as the circuit sees them.
//!
//! Never here: how likely a fault is, readings.

use crate::circuit::{Change, Network, Tolerances};
use crate::quantity::{Admittance, Ohm};
use crate::site::{Figure, Figures, LinePlan, NodeIs, TypeId};

/// A fault as the circuit sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Laid {
    /// What it changes; none where nothing.
    pub change: Option<Change>,
    /// The load it adds, with a tolerance of its own.
    pub added: Option<(usize, Admittance)>,
}

/// What all responses of a line are reckoned from.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    /// The line without a fault.
    pub healthy: Network,
    pub tolerances: Tolerances,
    /// Spread of the contacts of a reading.
    pub contacts: Ohm,
}

/// The line's tolerances: loudspeakers by type, runs by whether their length is known.
pub(super) fn tolerances(line: &LinePlan, types: &[TypeId], figures: &Figures) -> Tolerances {
    let square = |figure| figures.get(figure) * figures.get(figure);
    let run = line.nodes.iter().map(|node| {
        square(if node.run.is_some() {
            Figure::SpreadRun
        } else {
            Figure::SpreadUnknownRun
        })
    });
    let group_of = line.nodes.iter().map(|node| match &node.is {
        NodeIs::Loudspeaker { of, .. } => types.iter().position(|it| it == of),
        NodeIs::Junction | NodeIs::Device { .. } => None,
    });
    Tolerances {
        groups: types.len(),
        group_of: group_of.collect(),
        loudspeaker: square(Figure::SpreadLoudspeaker),
        run: run.collect(),
        added: square(Figure::SpreadUnlisted),
    }
}

/// The types on a line, in the order of its nodes.
pub(super) fn types_of(line: &LinePlan) -> Vec<TypeId> {
    let mut types: Vec<TypeId> = Vec::new();
    for node in &line.nodes {
        if let NodeIs::Loudspeaker { of, .. } = &node.is
            && !types.contains(of)
        {
            types.push(of.clone());
        }
    }
    types
}
