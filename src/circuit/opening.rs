//! A line opened at a node for a split reading: the two smaller trees, and what lies beyond what.
//!
//! The node, its load and all beyond belong to the far side alone, the opened run to the near
//! side alone. Places stay those of the plan on both sides, and a change to what belongs to the
//! other side does nothing.
//!
//! Never here: readings.

use super::cable::TwoPort;
use super::element::Element;
use super::network::Network;
use crate::quantity::{Admittance, Impedance, Metre};

impl Network {
    /// The tree read from the rack with run `at` opened at its far end: the run still hangs on,
    /// the node and all beyond are elsewhere. Places stay those of the plan.
    #[must_use]
    pub fn near_of(&self, at: usize) -> Self {
        let beyond = self.beyond(at);
        let mut near = self.clone();
        for (place, element) in near.elements.iter_mut().enumerate() {
            if beyond[place] {
                element.leave_node();
                if place != at {
                    element.leave_run();
                }
            }
        }
        near
    }

    /// The tree read outward from the opening on the rack side of node `at`: the node and all
    /// beyond. The opened run and the rest are elsewhere. Places stay those of the plan.
    #[must_use]
    pub fn far_of(&self, at: usize) -> Self {
        let beyond = self.beyond(at);
        let mut far = self.clone();
        for (place, element) in far.elements.iter_mut().enumerate() {
            if !beyond[place] {
                element.leave_node();
            }
            if !beyond[place] || place == at {
                element.leave_run();
            }
            if place == at {
                element.broken = false;
            }
        }
        far
    }

    /// Which nodes lie at or beyond a node.
    #[must_use]
    pub fn beyond(&self, at: usize) -> Vec<bool> {
        let mut beyond = vec![false; self.elements.len()];
        for (place, element) in self.elements.iter().enumerate() {
            beyond[place] = place == at || element.from.is_some_and(|from| beyond[from]);
        }
        beyond
    }

    /// The last node that lies on the way from the rack to both; none is the rack.
    #[must_use]
    pub fn last_common(&self, one: usize, other: usize) -> Option<usize> {
        let (mut one, mut other) = (Some(one), Some(other));
        while one != other {
            // Feeding nodes stand before those they feed, so the later of two is never common.
            if one > other {
                one = one.and_then(|at| self.from(at));
            } else {
                other = other.and_then(|at| self.from(at));
            }
        }
        one
    }
}

impl Element {
    fn leave_node(&mut self) {
        self.load = None;
        self.other = Admittance::new(0.0, 0.0);
        self.node_elsewhere = true;
    }

    /// No run: a direct joint to the root, taken away unless it is mended afterwards.
    fn leave_run(&mut self) {
        self.from = None;
        self.ratio = 1.0;
        self.series = Impedance::new(0.0, 0.0);
        self.length = Metre(0.0);
        self.bridges.clear();
        self.cable = TwoPort::THROUGH;
        self.broken = true;
        self.run_elsewhere = true;
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::circuit::{Change, Input};
    use crate::quantity::{Fraction, Impedance, Ohm};

    #[test]
    fn the_opened_run_belongs_to_the_near_side_and_the_loudspeaker_to_the_far() {
        // Direct current: windings of 80 ohm, 2.42 ohm a run (IEC 60228, 1.5 mm2).
        let nodes = vec![
            loudspeaker(10.0, None, 100.0),
            loudspeaker(10.0, Some(0), 100.0),
            loudspeaker(10.0, Some(1), 100.0),
        ];
        let whole = network(&line(nodes), 0.0);
        let short = Change::Short {
            run: 1,
            along: Fraction(0.5),
            ohm: Ohm(1.0),
        };
        let reads = |side: &crate::circuit::Network, changes: &[Change]| {
            let solution = side.with(changes).solve();
            solution.input().modulus().unwrap().get()
        };
        let beside = |one: f64, other: f64| one * other / (one + other);
        let (near, far) = (whole.near_of(1), whole.far_of(1));
        assert!((reads(&near, &[]) - 82.42).abs() < 1e-12);
        assert!((reads(&far, &[]) - beside(80.0, 82.42)).abs() < 1e-12);
        // A short in the opened run is read from the near side, and is no part of the far.
        let want = 2.42 + beside(80.0, 1.21 + 1.0);
        assert!((reads(&near, &[short]) - want).abs() < 1e-12);
        assert_eq!(reads(&far, &[short]), reads(&far, &[]));
        // A fault laid before the opening stays with its side.
        let faulted = whole.with(&[short]);
        assert!((reads(&faulted.near_of(1), &[]) - want).abs() < 1e-12);
        assert_eq!(reads(&faulted.far_of(1), &[]), reads(&far, &[]));
        assert!(!near.is_loudspeaker(1) && far.is_loudspeaker(1));
    }

    #[test]
    fn the_last_common_node_is_found_from_either_side() {
        let nodes = vec![
            loudspeaker(10.0, None, 1.0),
            loudspeaker(10.0, Some(0), 1.0),
            loudspeaker(10.0, Some(1), 1.0),
            loudspeaker(10.0, Some(0), 1.0),
            loudspeaker(10.0, None, 1.0),
        ];
        let whole = network(&line(nodes), 1000.0);
        for (one, other, want) in [
            (2, 3, Some(0)),
            (2, 1, Some(1)),
            (3, 4, None),
            (2, 2, Some(2)),
        ] {
            assert_eq!(whole.last_common(one, other), want);
            assert_eq!(whole.last_common(other, one), want);
        }
    }

    #[test]
    fn a_broken_run_hides_nothing_from_the_far_side() {
        let nodes = vec![
            loudspeaker(10.0, None, 100.0),
            loudspeaker(10.0, Some(0), 100.0),
        ];
        let whole = network(&line(nodes), 0.0);
        let broken = whole.with(&[Change::Break { run: 1 }]);
        let far = broken.far_of(1).solve().input();
        let Input::Ohms(far) = far else {
            panic!("open")
        };
        assert!((far - Impedance::new(80.0, 0.0)).norm() < 1e-12);
        // Opened at the rack, nothing is left on the near side but the run.
        assert_eq!(whole.near_of(0).solve().input(), Input::Open);
    }
}
