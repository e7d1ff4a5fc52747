//! What a change at the near end of a run makes of the run.
//!
//! Never here: what the rest of the tree makes of that.

use super::change::Change;
use super::solve::Solution;
use crate::quantity::Admittance;
use num_complex::Complex64;

impl Solution {
    /// Of a series impedance, a level control or else a break at the near end of a run: what the
    /// run's admittance grows by at its feeding node, and what the voltage beyond is over what it
    /// would be if that of the feeding node stayed.
    pub(super) fn at_near_end(&self, run: usize, change: &Change) -> (Admittance, Complex64) {
        let solved = &self.at[run];
        let element = &self.network.elements[run];
        let square = element.ratio * element.ratio;
        match *change {
            Change::Series { z, .. } => {
                let before = 1.0 + element.series * solved.y_cable;
                let after = before + z * solved.y_cable;
                let dy = -square * solved.y_cable * solved.y_cable * z / (before * after);
                (dy, before / after)
            }
            Change::Control { ratio, .. } => {
                let ratio = ratio.get();
                let dy = solved.y_behind * (ratio * ratio - square);
                (dy, Complex64::new(ratio / element.ratio, 0.0))
            }
            _ => (-solved.y_run, Complex64::new(0.0, 0.0)),
        }
    }
}
