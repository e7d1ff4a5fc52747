//! How the reading at the rack follows each loudspeaker and each run.
//!
//! For a reciprocal network driven at the root, dZ = - sum V_k^2 dY_k + sum I_s^2 dZ_s with
//! complex squares of the transfer quantities. Per volt at the rack and in logarithms:
//!
//! ```text
//!   d ln|Z| / d ln z_k = Re(V_k^2 y_k / Y_in)
//!   d ln|Z| / d ln l_s = Re(l (z' I^2 - y' V^2) / Y_in),  V and I at the far end of the run
//! ```
//!
//! the second exact, as a run grows by a thin slice at its end. A run with shorts inside grows in
//! each of its stretches, each short staying at its fraction of the length.
//!
//! Never here: spreads.

use super::solve::Solution;
use crate::quantity::Admittance;
use num_complex::Complex64;

/// Derivatives of ln|Z| at the rack, by node of the plan; all 0 where the line is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivities {
    /// By ln of the loudspeaker's impedance; 0 where none stands.
    pub loudspeaker: Vec<f64>,
    /// By ln of the run's length.
    pub run: Vec<f64>,
}

impl Solution {
    /// The derivatives of ln|Z| at the rack, of a healthy or a changed network.
    #[must_use]
    pub fn sensitivities(&self) -> Sensitivities {
        Sensitivities {
            loudspeaker: (0..self.at.len())
                .map(|node| self.shunt_sensitivity(node, self.network.own(node)))
                .collect(),
            run: (0..self.at.len())
                .map(|run| self.run_sensitivity(run))
                .collect(),
        }
    }

    /// Derivative of ln|Z| by ln of the impedance of something with admittance `y` that hangs
    /// across the line at a node (and is part of the network already): an unlisted load.
    #[must_use]
    pub fn shunt_sensitivity(&self, node: usize, y: Admittance) -> f64 {
        let Some(at) = self.at.get(node) else {
            return 0.0;
        };
        self.relative(at.v * at.v * y)
    }

    fn run_sensitivity(&self, run: usize) -> f64 {
        let (at, element) = (&self.at[run], &self.network.elements[run]);
        if at.cut || element.length.get() == 0.0 {
            return 0.0;
        }
        let (z, y) = (element.per_metre.z, element.per_metre.y);
        // Backwards along the run: voltage and current at the far end of each stretch, before
        // the bridge that stands there.
        let stretches: Vec<_> = element.stretches().collect();
        let (mut v, mut i) = (at.v, at.v * at.y_node);
        let mut sum = Complex64::new(0.0, 0.0);
        for (start, end, bridge) in stretches.into_iter().rev() {
            i += bridge * v;
            sum += (end - start) * (z * i * i - y * v * v);
            let stretch = element.bare(start, end);
            (v, i) = (stretch.a * v + stretch.b * i, stretch.c * v + stretch.d * i);
        }
        self.relative(sum * element.length.get())
    }

    fn relative(&self, change: Complex64) -> f64 {
        if self.y_in == Complex64::new(0.0, 0.0) {
            0.0
        } else {
            (change / self.y_in).re
        }
    }
}
