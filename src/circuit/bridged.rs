//! A short inside a run: what it makes of the line, in closed form.
//!
//! Never here: what the figures are wanted for.

use super::cable::TwoPort;
use super::closed_form::ClosedForm;
use crate::quantity::Admittance;
use num_complex::Complex64;

/// What a bridge across a run does, ' for what holds under it.
pub(super) struct Bridged {
    /// Y' at the rack.
    pub y_in: Admittance,
    /// K across the run's feeding node: V_a' = V_a (1 - K H_aa (V_k / V_a)^2) on the way there.
    pub k: Complex64,
    /// Voltages beyond the bridge over what they were.
    pub follows: Complex64,
    /// V'^2 dY by ln of the run's length: both parts grow with it.
    pub by_length: Complex64,
}

impl ClosedForm<'_> {
    /// Of a run that reaches its node, cut at `along` into these two parts.
    pub(super) fn bridged(
        &self,
        run: usize,
        along: f64,
        [before, behind]: [TwoPort; 2],
        bridge: Admittance,
    ) -> Bridged {
        let solution = self.solution;
        let (solved, element) = (&solution.at[run], &solution.network.elements[run]);
        let y = behind.looking_in(solved.y_node);
        let z = before.looking_back_z(self.back[run].z_run + element.series);
        let denominator = 1.0 + bridge * (z / (1.0 + z * y));
        // From the feeding node to the point.
        let passes = before.carries(y);
        let carries = element.joint_carries(solved.y_cable) * passes * element.ratio;
        let v = solved.v_near * passes;
        let follows = denominator.inv();
        let length = element.length.get();
        let (per_z, per_y) = (element.per_metre.z * length, element.per_metre.y * length);
        let slice = |v: Complex64, i: Complex64| per_z * i * i - per_y * v * v;
        let (far_v, far_i) = (solved.v * follows, solved.v * solved.y_node * follows);
        let (at_v, at_i) = (v * follows, v * (y + bridge) * follows);
        let acts = bridge * follows;
        Bridged {
            y_in: solution.y_in + v * v * acts,
            k: acts * carries * carries,
            follows,
            by_length: (1.0 - along) * slice(far_v, far_i) + along * slice(at_v, at_i),
        }
    }
}
