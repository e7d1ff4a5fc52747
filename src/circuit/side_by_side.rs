//! Lines that have to do with each other: two joined at the rack, and a load that one gets from
//! another.
//!
//! Side by side their admittances add, and every derivative Re(g / Y) keeps its g: a line is known
//! by its admittance and a few sums over its tolerances, not by its tree.
//!
//! Never here: trees, whose lines they are.

use super::spread::Spread;
use super::sums::Sums;
use crate::quantity::Admittance;
use num_complex::Complex64;

/// A line as it is met at the rack.
#[derive(Clone, Debug)]
pub struct AtRack {
    y: Admittance,
    all: Sums,
    groups: Vec<Complex64>,
}

impl AtRack {
    /// A solution with its spread.
    #[must_use]
    pub fn of(spread: &Spread<'_>) -> Self {
        Self {
            y: spread.closed_form().solution.y_in,
            all: spread.gathered.all.of(spread.lane),
            groups: spread
                .gathered
                .whole
                .iter()
                .map(|it| it.of(spread.lane))
                .collect(),
        }
    }

    /// Its admittance.
    #[must_use]
    pub const fn admittance(&self) -> Admittance {
        self.y
    }

    /// The variance of ln|Z| that its tolerances make where the admittance of all that hangs at
    /// the rack is `total`; `groups` receives the sum of derivatives of each of its groups.
    pub fn part_of(&self, total: Admittance, groups: &mut [f64]) -> f64 {
        if total == Complex64::new(0.0, 0.0) {
            groups.fill(0.0);
            return 0.0;
        }
        let inverse = total.inv();
        for (out, sum) in groups.iter_mut().zip(&self.groups) {
            *out = (sum * inverse).re;
        }
        self.all.at(inverse)
    }
}

impl Spread<'_> {
    /// Derivative of ln|Z| at the rack by ln of the impedance of a load that would be added at a
    /// node, under that addition; 0 where nothing reaches the node.
    #[must_use]
    pub fn added_sensitivity(&self, at: usize, y: Admittance) -> f64 {
        let solution = self.closed.solution;
        let Some(solved) = solution.at.get(at).filter(|it| !it.cut) else {
            return 0.0;
        };
        let denominator = 1.0 + y * self.here(at).h.of(self.lane);
        let v2 = solved.v * solved.v;
        let y_in = solution.y_in + v2 * y / denominator;
        if y_in == Complex64::new(0.0, 0.0) {
            return 0.0;
        }
        (v2 * y / (denominator * denominator * y_in)).re
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Tolerances;
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::site::NodePlan;

    fn tolerances(n: usize) -> Tolerances {
        Tolerances {
            groups: 1,
            group_of: vec![Some(0); n],
            loudspeaker: 0.0025,
            run: vec![0.0025; n],
            added: 0.0025,
        }
    }

    #[test]
    fn two_lines_side_by_side_are_one_line_with_two_branches_at_the_rack() {
        let one = || {
            vec![
                loudspeaker(10.0, None, 80.0),
                loudspeaker(6.0, Some(0), 300.0),
            ]
        };
        let other = || vec![loudspeaker(30.0, None, 40.0)];
        let mut both: Vec<NodePlan> = one();
        both.extend(other());
        let solve = |nodes: Vec<NodePlan>| network(&line(nodes), 1000.0).solve();
        let (a, b, whole) = (solve(one()), solve(other()), solve(both));
        let (two, single, three) = (tolerances(2), tolerances(1), tolerances(3));
        let (a, b) = (a.spread(&two, &[]), b.spread(&single, &[]));
        let (a, b) = (AtRack::of(&a), AtRack::of(&b));
        let total = a.admittance() + b.admittance();
        let (mut first, mut second, mut want) = ([0.0], [0.0], [0.0]);
        let variance = a.part_of(total, &mut first) + b.part_of(total, &mut second);
        let response = whole.spread(&three, &[]).base(&mut want);
        assert!((response.y_in - total).norm() < 1e-15);
        assert!((response.variance / variance - 1.0).abs() < 1e-9);
        assert!((want[0] - first[0] - second[0]).abs() < 1e-12);
    }

    #[test]
    fn a_load_that_would_be_added_counts_as_it_does_once_it_hangs_there() {
        let nodes = vec![
            loudspeaker(10.0, None, 80.0),
            loudspeaker(6.0, Some(0), 300.0),
        ];
        let sound = network(&line(nodes), 1000.0);
        let y = Admittance::new(2e-3, 0.0);
        let solved = sound.solve();
        let two = tolerances(2);
        let got = solved.spread(&two, &[]).added_sensitivity(1, y);
        let laid = sound.with(&[crate::circuit::Change::Shunt { at: 1, y }]);
        let want = laid.solve().shunt_sensitivity(1, y);
        assert!((got - want).abs() < 1e-12 && got > 0.1);
    }
}
