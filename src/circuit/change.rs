//! What a fault does to a network, and nothing of what it is called or how likely it is.
//!
//! Never here: names of faults, rates. A change is laid over a network; the site is not touched.

use super::element::Load;
use crate::quantity::{Admittance, Decibel, Fraction, Impedance, Ohm};

/// One perturbation. `at` and `run` are places in the plan's nodes; a run is named by the node at
/// its far end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// The loudspeaker's own load is another. Nothing where no loudspeaker stands.
    Load {
        /// The loudspeaker.
        at: usize,
        /// What it is now.
        is: Load,
    },
    /// Something more across the line at a node: a short across terminals, an unlisted load. It
    /// is not part of what the ear judges.
    Shunt {
        /// The node.
        at: usize,
        /// Its admittance.
        y: Admittance,
    },
    /// Impedance in series at the near end of a run, behind its control: a bad joint.
    Series {
        /// The run.
        run: usize,
        /// What is added.
        z: Impedance,
    },
    /// A run is open at its near end: the run and all beyond it are gone.
    Break {
        /// The run.
        run: usize,
    },
    /// The pair is bridged inside a run.
    Short {
        /// The run.
        run: usize,
        /// How far along it, from the near end.
        along: Fraction,
        /// What bridges it; under a microohm counts as a microohm.
        ohm: Ohm,
    },
    /// The level control at the near end of a run stands at this ratio of voltages, 1 as
    /// designed; at 0 all beyond is gone.
    Control {
        /// The run.
        run: usize,
        /// Voltage behind over voltage before.
        ratio: Fraction,
    },
    /// Every listed loudspeaker behind its transformer takes `times` its power, as if all taps
    /// were set for another line voltage; with direct current its winding follows the square
    /// root. Several such multiply.
    EveryLoad {
        /// Factor of every admittance with a tone.
        times: f64,
    },
}

impl Change {
    /// The node or run it is of; none where it is of all loads.
    pub(super) const fn place(&self) -> Option<usize> {
        match *self {
            Self::Load { at, .. } | Self::Shunt { at, .. } => Some(at),
            Self::Series { run, .. }
            | Self::Break { run }
            | Self::Short { run, .. }
            | Self::Control { run, .. } => Some(run),
            Self::EveryLoad { .. } => None,
        }
    }

    /// A control set down by so many decibels: ratio 10^(-A/20).
    #[must_use]
    pub fn control_down(run: usize, down: Decibel) -> Self {
        Self::Control {
            run,
            ratio: Fraction(10f64.powf(-down.get() / 20.0)),
        }
    }

    /// A resistance across the line at a node; under a microohm counts as a microohm.
    #[must_use]
    pub fn short_at(at: usize, ohm: Ohm) -> Self {
        Self::Shunt { at, y: bridge(ohm) }
    }
}

/// Admittance of a bridge between the cores; a bridge of nothing counts as a microohm, so that
/// a dead short stays a number.
pub(super) fn bridge(ohm: Ohm) -> Admittance {
    Admittance::new(1.0 / ohm.get().max(1e-6), 0.0)
}
