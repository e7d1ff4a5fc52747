//! Driving-point figures of a solved network, and what the rack would read after one change,
//! without a new solve.
//!
//! Two roads lead to the same figure. With the root driven by a current, hence open:
//!
//! ```text
//!   shunt   Z' = Z - V_k^2 dY / (1 + dY Z_kk)
//!   series  Z' = Z + I_s^2 dZ / (1 + dZ Y_ss)      break  Z' = Z + I_s^2 / Y_ss
//! ```
//!
//! With the root held at a voltage the shunt is Y' = Y + v_k^2 dY / (1 + dY H_kk), v per volt at
//! the rack and H_kk the impedance at k with the rack's end shorted. Each change takes the road on
//! which it only adds, so that a short on a long line and a break on a heavy one lose no digits:
//! shunts the second, series elements the first, written with Y so that an open line needs no
//! infinity.
//!
//! Two changes at once: lay the first ([`Network::with`](super::Network::with)), solve, and take
//! the closed form of the second. A list of n single changes and all their pairs costs n solves.
//!
//! Never here: names of faults, probabilities.

use super::cable::TwoPort;
use super::change::{Change, bridge};
use super::solve::{Input, Solution};
use crate::quantity::{Admittance, Impedance};
use num_complex::Complex64;
use std::borrow::Cow;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// What a node and its run look back on.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Back {
    /// Admittances of the other runs at its feeding node.
    siblings: Admittance,
    /// Impedance behind the control of the run, the rack held.
    pub z_run: Impedance,
    /// Impedance at the node without its own admittance, the rack held.
    pub z_node: Impedance,
    /// Admittance behind the control of the run, the rack open.
    pub y_run: Admittance,
    /// Admittance at the node without its own, the rack open.
    pub y_node: Admittance,
}

/// Driving-point figures of a solution, from which single changes follow.
#[derive(Clone, Debug)]
pub struct ClosedForm<'a> {
    pub(super) solution: &'a Solution,
    pub(super) back: Cow<'a, [Back]>,
}

impl Solution {
    /// Prepares the closed forms: one more pass from the root. O(n).
    #[must_use]
    pub fn closed_form(&self) -> ClosedForm<'_> {
        let mut back = Vec::new();
        self.look_back(&mut back, &mut Vec::new());
        ClosedForm {
            solution: self,
            back: back.into(),
        }
    }

    /// What each node and run looks back on, in the room of others.
    pub(super) fn look_back(&self, back: &mut Vec<Back>, so_far: &mut Vec<Admittance>) {
        let elements = &self.network.elements;
        back.clear();
        back.resize(elements.len(), Back::default());
        // The runs at one node, without each in turn: sums of those before and those after it,
        // never a total less one, which would lose the light ones beside a heavy one.
        so_far.clear();
        so_far.resize(elements.len() + 1, ZERO);
        let place = |from: Option<usize>| from.map_or(0, |from| from + 1);
        for (run, element) in elements.iter().enumerate() {
            let sum = &mut so_far[place(element.from)];
            back[run].siblings = *sum;
            *sum += self.at[run].y_run;
        }
        so_far.fill(ZERO);
        for (run, element) in elements.iter().enumerate().rev() {
            let sum = &mut so_far[place(element.from)];
            back[run].siblings += *sum;
            *sum += self.at[run].y_run;
        }
        for (run, element) in elements.iter().enumerate() {
            if self.at[run].cut {
                continue;
            }
            let siblings = back[run].siblings;
            let (z, y) = match element.from {
                None => (ZERO, siblings),
                Some(from) => {
                    let beside = self.network.across(from) + siblings;
                    let feed = back[from];
                    (
                        feed.z_node / (1.0 + feed.z_node * beside),
                        feed.y_node + beside,
                    )
                }
            };
            let (mut z_run, mut y_run) = (z, y);
            if element.ratio != 1.0 {
                let square = element.ratio * element.ratio;
                (z_run, y_run) = (z * square, y / square);
            }
            back[run] = Back {
                siblings,
                z_run,
                y_run,
                z_node: element.cable.looking_back_z(z_run + element.series),
                y_node: element.cable.looking_back(element.past_joint(y_run)),
            };
        }
    }
}

impl ClosedForm<'_> {
    /// The solution these figures belong to.
    #[must_use]
    pub const fn solution(&self) -> &Solution {
        self.solution
    }

    /// Impedance at a node, all that hangs there with it, the rack's end shorted. None where the
    /// node is cut off.
    #[must_use]
    pub fn driving_point_held(&self, node: usize) -> Option<Impedance> {
        let at = self.solution.at.get(node).filter(|it| !it.cut)?;
        let z = self.back[node].z_node;
        Some(z / (1.0 + z * at.y_node))
    }

    /// Y_ss: admittance that a source inserted in a run behind its control would see, the rack
    /// open; 0 for the only run at the rack and for a run that is cut off.
    #[must_use]
    pub fn inserted(&self, run: usize) -> Admittance {
        let Some(at) = self.solution.at.get(run).filter(|it| !it.cut) else {
            return ZERO;
        };
        series(self.back[run].y_run, at.y_behind)
    }

    /// Impedance at the rack after one change.
    #[must_use]
    pub fn after(&self, change: &Change) -> Input {
        Input::of(self.y_after(change))
    }

    /// Admittance at the rack after one change: exact, O(1) for every kind but
    /// [`Change::EveryLoad`], which is solved anew.
    #[must_use]
    pub fn y_after(&self, change: &Change) -> Admittance {
        self.y_after_split(change, None)
    }

    /// The same, given the parts of the run before and behind a short in it where they are known.
    pub(super) fn y_after_split(
        &self,
        change: &Change,
        split: Option<&[TwoPort; 2]>,
    ) -> Admittance {
        let y_in = self.solution.y_in;
        let network = &self.solution.network;
        match *change {
            Change::Load { at, is } => {
                if network.is_loudspeaker(at) {
                    self.shunted(at, network.acting(&is) - network.own(at))
                } else {
                    y_in
                }
            }
            Change::Shunt { at, y } => self.shunted(at, y),
            Change::Series { run, z } => self.in_series(run, |y_ss| z / (1.0 + z * y_ss)),
            Change::Break { run } => self.broken(run),
            Change::Short { run, along, ohm } => {
                if self.elsewhere(run) {
                    return y_in;
                }
                self.point(run, along.get(), split)
                    .map_or(y_in, |(v, y, z)| {
                        let bridge = bridge(ohm);
                        y_in + v * v * bridge / (1.0 + bridge * (z / (1.0 + z * y)))
                    })
            }
            Change::Control { run, ratio } => {
                let ratio = ratio.get();
                if self.elsewhere(run) {
                    return y_in;
                }
                if ratio == 0.0 {
                    return self.broken(run);
                }
                let (dy, _) = self.solution.at_near_end(run, change);
                match network.elements[run].from {
                    None => y_in + dy,
                    Some(from) => self.shunt(from, dy),
                }
            }
            Change::EveryLoad { .. } => network.with(&[*change]).solve().y_in,
        }
    }

    /// Whether something reaches a node, and it is of this tree.
    pub(super) fn reaches(&self, node: usize) -> bool {
        let elements = &self.solution.network.elements;
        let solved = self.solution.at.get(node);
        solved.is_some_and(|it| !it.cut) && !elements[node].node_elsewhere
    }

    /// The same of a run.
    pub(super) fn reaches_run(&self, run: usize) -> bool {
        let solved = self.solution.at.get(run);
        solved.is_some_and(|it| !it.cut) && !self.elsewhere(run)
    }

    /// Whether a run of this tree has its control at nothing: whatever that is turned up to is to be solved
    /// anew, since nothing is known beyond it.
    pub(super) fn is_off(&self, run: usize) -> bool {
        let element = self.solution.network.elements.get(run);
        element.is_some_and(|element| element.ratio == 0.0 && !element.run_elsewhere)
    }

    fn elsewhere(&self, run: usize) -> bool {
        self.solution
            .network
            .elements
            .get(run)
            .is_none_or(|element| element.run_elsewhere)
    }

    fn shunted(&self, node: usize, dy: Admittance) -> Admittance {
        match self.solution.network.elements.get(node) {
            Some(element) if !element.node_elsewhere => self.shunt(node, dy),
            _ => self.solution.y_in,
        }
    }

    fn shunt(&self, node: usize, dy: Admittance) -> Admittance {
        let y_in = self.solution.y_in;
        self.driving_point_held(node).map_or(y_in, |z| {
            let v = self.solution.at[node].v;
            y_in + v * v * dy / (1.0 + dy * z)
        })
    }

    fn broken(&self, run: usize) -> Admittance {
        self.in_series(run, |y_ss| y_ss.inv())
    }

    /// A series element in a run, given what 1 / (1 / dZ + Y_ss) is.
    fn in_series(&self, run: usize, adds: impl Fn(Admittance) -> Impedance) -> Admittance {
        let y_in = self.solution.y_in;
        if self.elsewhere(run) {
            return y_in;
        }
        let current = self.solution.current(run);
        if current == ZERO {
            return y_in;
        }
        let adds = adds(self.inserted(run));
        if adds.is_finite() {
            y_in / (1.0 + current * current * adds / y_in)
        } else {
            // A break of the only run at the rack.
            ZERO
        }
    }
}

/// Two admittances in series.
fn series(one: Admittance, other: Admittance) -> Admittance {
    let sum = one + other;
    if sum == ZERO { ZERO } else { one * other / sum }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, network};

    fn two() -> Solution {
        // Direct current: 2.42 ohm a run (IEC 60228, 1.5 mm2), windings of 80 ohm.
        let nodes = vec![
            loudspeaker(10.0, None, 100.0),
            loudspeaker(10.0, Some(0), 100.0),
        ];
        network(&line(nodes), 0.0).solve()
    }

    #[track_caller]
    fn is(got: Option<Impedance>, want: f64) {
        let got = got.unwrap();
        assert!((got - want).norm() < 1e-12, "{got} is not {want}");
    }

    fn beside(one: f64, other: f64) -> f64 {
        one * other / (one + other)
    }

    #[test]
    fn a_source_in_a_run_sees_both_ends_of_it_with_the_rack_open() {
        let solution = two();
        let forms = solution.closed_form();
        is(Some(forms.inserted(1).inv()), 80.0 + 82.42);
    }

    #[test]
    fn with_the_rack_shorted_a_node_sees_its_cable_too() {
        let solution = two();
        let forms = solution.closed_form();
        is(
            forms.driving_point_held(0),
            beside(2.42, beside(80.0, 82.42)),
        );
        is(
            forms.driving_point_held(1),
            beside(80.0, 2.42 + beside(2.42, 80.0)),
        );
    }

    #[test]
    fn what_lies_behind_a_break_changes_nothing() {
        let broken = two().network().with(&[Change::Break { run: 1 }]).solve();
        let forms = broken.closed_form();
        assert_eq!(forms.driving_point_held(1), None);
        assert_eq!(forms.inserted(1), Admittance::new(0.0, 0.0));
        for change in [
            Change::short_at(1, crate::quantity::Ohm(1.0)),
            Change::Break { run: 1 },
            Change::Series {
                run: 1,
                z: Impedance::new(30.0, 0.0),
            },
        ] {
            assert_eq!(forms.y_after(&change), broken.y_in());
        }
    }
}
