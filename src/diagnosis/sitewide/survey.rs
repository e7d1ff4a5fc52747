//! The lines of a site, each with what the mistakes that only the whole site shows need of it.
//!
//! Never here: the mistakes.

use super::compact::SiteLine;
use super::ledger::Ledger;
use super::weigh::{Common, Weigher};
use crate::circuit::{AtRack, Conditions, Network, Solution, Tolerances};
use crate::diagnosis::ground::{tolerances, types_of};
use crate::quantity::{Hertz, Ohm, Volt};
use crate::site::{Figure, Figures, LinePlan, TypeId};

/// A line of the site, in the order of the plan.
#[derive(Clone, Copy, Debug)]
pub struct Surveyed<'a> {
    /// As drawn.
    pub plan: &'a LinePlan,
    /// What its latest rack reading is worth; none where it shows no figure.
    pub read: Option<&'a SiteLine>,
    /// Place of that reading in the order they were made.
    pub turn: usize,
}

/// What a mistake is, as far as words need it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum What {
    Swapped,
    Joined,
    /// The multiplier left out.
    Range(f64),
    /// So many times too much was entered.
    Digit(f64),
    /// The line's own figure with direct current.
    Dc(Ohm),
    /// Direct-current figures one after another.
    DcRun,
    /// From which line, which loudspeaker, ln of its odds.
    Moved(Vec<(usize, usize, f64)>),
    Nominal(Volt),
}

/// A line with a figure.
#[derive(Debug)]
pub(super) struct Read<'a> {
    /// As drawn.
    pub plan: &'a LinePlan,
    /// Ready to have other readings held against it.
    pub weigher: Weigher<'a>,
    /// As in [`Surveyed`].
    pub turn: usize,
}

/// What every question about mistakes is asked of: the lines of a site and their readings.
#[derive(Debug)]
pub(super) struct Survey<'a> {
    /// All lines of the plan.
    pub lines: &'a [Surveyed<'a>],
    /// Those of them with a figure.
    pub read: Vec<Read<'a>>,
    /// What they have in common.
    pub common: Common<'a>,
}

pub(super) type Odds = Ledger<What>;

/// A line as designed, solved at one frequency, with its tolerances.
pub(super) struct Solved {
    pub types: Vec<TypeId>,
    pub tolerances: Tolerances,
    pub solution: Solution,
}

impl Solved {
    pub fn of(plan: &LinePlan, figures: &Figures, hz: Hertz) -> Self {
        let types = types_of(plan);
        Self {
            tolerances: tolerances(plan, &types, figures),
            solution: Network::of(plan, &Conditions::of(figures, hz)).into_solution(),
            types,
        }
    }

    /// At the site's test frequency.
    pub fn sound(plan: &LinePlan, figures: &Figures) -> Self {
        Self::of(plan, figures, Hertz(figures.get(Figure::TestHz)))
    }
}

/// A line reads as designed, or as another should, within this share of it. \[assumed\]
pub(in crate::diagnosis) const READS_AS: f64 = 0.15;

/// What a line should read, ohm.
pub(super) fn should_read(plan: &LinePlan, figures: &Figures) -> f64 {
    let solved = Solved::sound(plan, figures);
    let rack = AtRack::of(&solved.solution.spread(&solved.tolerances, &[]));
    rack.admittance().norm().recip()
}
