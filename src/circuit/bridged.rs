//! A point inside a run, and what the line becomes with a short there, in closed form.
//!
//! Never here: what the figures are wanted for.

use super::cable::TwoPort;
use super::closed_form::ClosedForm;
use crate::quantity::{Admittance, Fraction, Impedance};
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
    /// Voltage and outward current at a point of a run, per volt at the rack; the current is that
    /// on its near side. None where the run is cut off.
    #[must_use]
    pub fn along(&self, run: usize, along: Fraction) -> Option<(Complex64, Complex64)> {
        let (v, y, _) = self.point(run, along.get(), None)?;
        Some((v, v * y))
    }

    /// Voltage at a point of a run, the admittance outward and the impedance back from it, given the
    /// parts of the run before and behind it where they are known.
    pub(super) fn point(
        &self,
        run: usize,
        along: f64,
        split: Option<&[TwoPort; 2]>,
    ) -> Option<(Complex64, Admittance, Impedance)> {
        let at = self.solution.at.get(run).filter(|it| !it.cut)?;
        let element = &self.solution.network.elements[run];
        let split = split.filter(|_| element.bridges.is_empty()).copied();
        let [before, behind] = split.unwrap_or_else(|| element.split(along.clamp(0.0, 1.0)));
        let y = behind.looking_in(at.y_node);
        Some((
            at.v_near * before.carries(y),
            y,
            before.looking_back_z(self.back[run].z_run + element.series),
        ))
    }

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
