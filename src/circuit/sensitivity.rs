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

#[cfg(test)]
mod tests {
    use crate::circuit::Change;
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::quantity::{Admittance, Impedance};

    #[test]
    fn side_by_side_each_loudspeaker_counts_by_its_share_of_the_power() {
        let nodes = vec![
            loudspeaker(12.0, None, 0.0),
            loudspeaker(18.0, Some(0), 0.0),
        ];
        let slopes = network(&line(nodes), 1000.0).solve().sensitivities();
        assert!((slopes.loudspeaker[0] - 0.4).abs() < 1e-14);
        assert!((slopes.loudspeaker[1] - 0.6).abs() < 1e-14);
        assert_eq!(slopes.run, [0.0, 0.0]);
    }

    #[test]
    fn with_direct_current_all_slopes_add_to_one_less_the_joint() {
        // |Z| is homogeneous of degree one in all its resistances (Euler).
        let nodes = vec![
            loudspeaker(6.0, None, 80.0),
            loudspeaker(10.0, Some(0), 40.0),
            loudspeaker(30.0, Some(0), 20.0),
        ];
        let sound = network(&line(nodes), 0.0);
        let sum = |network: &crate::circuit::Network| {
            let slopes = network.solve().sensitivities();
            slopes.loudspeaker.iter().chain(&slopes.run).sum::<f64>()
        };
        assert!((sum(&sound) - 1.0).abs() < 1e-13);
        let joint = Change::Series {
            run: 0,
            z: Impedance::new(30.0, 0.0),
        };
        let changed = sound.with(&[joint]);
        let z = changed.solve().y_in().inv().re;
        assert!((sum(&changed) - (1.0 - 30.0 / z)).abs() < 1e-13);
    }

    #[test]
    fn an_unlisted_load_counts_by_its_own_share() {
        // 10 W at 100 V are 1 mS; of 4 mS in all the unlisted load has 3.
        let sound = network(&line(vec![loudspeaker(10.0, None, 0.0)]), 1000.0);
        let y = Admittance::new(3e-3, 0.0);
        let changed = sound.with(&[Change::Shunt { at: 0, y }]).solve();
        assert!((changed.shunt_sensitivity(0, y) - 0.75).abs() < 1e-14);
        assert!((changed.sensitivities().loudspeaker[0] - 0.25).abs() < 1e-14);
    }
}
