//! The solution of a network: two passes, no matrix.
//!
//! Steps: from the leaves to the root, the admittance of each node and into each run; back from
//! the root, held at one volt, every voltage and current. O(n).
//!
//! Nomenclature: Y_n all admittance outward at a node; Y_c into its cable; Y_i behind the control
//! (joint and cable); Y_r into the run from its feeding node, a^2 Y_i.
//!
//! Never here: what a change does, derivatives.

use super::change::Change;
use super::network::Network;
use crate::quantity::{Admittance, Decibel, Degree, Impedance, Ohm, Watt};
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// What a meter at the rack sees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Input {
    /// An impedance.
    Ohms(Impedance),
    /// Nothing is connected.
    Open,
}

impl Input {
    /// What a meter makes of this admittance: a figure, or open.
    #[must_use]
    pub fn of(y: Admittance) -> Self {
        if y == ZERO {
            Self::Open
        } else {
            Self::Ohms(y.inv())
        }
    }

    /// The modulus; none where open.
    #[must_use]
    pub fn modulus(self) -> Option<Ohm> {
        match self {
            Self::Ohms(z) => Some(Ohm(z.norm())),
            Self::Open => None,
        }
    }

    /// The phase; none where open.
    #[must_use]
    pub fn phase(self) -> Option<Degree> {
        match self {
            Self::Ohms(z) => Some(Degree(z.arg().to_degrees())),
            Self::Open => None,
        }
    }
}

/// Admittances, voltages and currents of one node and its run, per volt at the rack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct At {
    /// Nothing reaches this node.
    pub cut: bool,
    /// Y_n, outward at the node.
    pub y_node: Admittance,
    /// Y_c, into the cable.
    pub y_cable: Admittance,
    /// Y_i, behind the control.
    pub y_behind: Admittance,
    /// Y_r, into the run from its feeding node.
    pub y_run: Admittance,
    /// Voltage behind the control.
    pub v_behind: Complex64,
    /// Voltage at the near end of the cable.
    pub v_near: Complex64,
    /// Voltage at the node.
    pub v: Complex64,
    /// The same over that at its feeding node; 0 where cut off.
    pub carries: Complex64,
}

/// A solved network.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    pub(super) network: Network,
    pub(super) at: Vec<At>,
    pub(super) y_in: Admittance,
}

impl Network {
    /// Solves the network, one volt held at the rack.
    #[must_use]
    pub fn solve(&self) -> Solution {
        self.clone().into_solution()
    }

    /// Solves a network that is needed no more by itself.
    #[must_use]
    pub fn into_solution(self) -> Solution {
        let mut solution = Solution {
            at: Vec::with_capacity(self.len()),
            network: self,
            y_in: ZERO,
        };
        solution.pass();
        solution
    }
}

impl Solution {
    /// The network that this one was made of by `laid`, with another change laid over it instead,
    /// solved in the room of this one.
    pub fn instead(&mut self, network: &Network, laid: Option<&Change>, change: Option<&Change>) {
        if let Some(laid) = laid {
            self.network.take_up(network, laid);
        }
        self.network.lay_all(change.copied().as_slice());
        self.pass();
    }

    fn pass(&mut self) {
        let (network, at) = (&self.network, &mut self.at);
        at.clear();
        at.extend((0..network.len()).map(|node| At {
            cut: false,
            y_node: network.across(node),
            y_cable: ZERO,
            y_behind: ZERO,
            y_run: ZERO,
            v_behind: ZERO,
            v_near: ZERO,
            v: ZERO,
            carries: ZERO,
        }));
        self.y_in = ZERO;
        for (node, element) in network.elements.iter().enumerate().rev() {
            let here = &mut at[node];
            if !element.broken {
                here.y_cable = element.cable.looking_in(here.y_node);
                here.y_behind = element.past_joint(here.y_cable);
                here.y_run = here.y_behind * (element.ratio * element.ratio);
            }
            let y_run = here.y_run;
            match element.from {
                Some(from) => at[from].y_node += y_run,
                None => self.y_in += y_run,
            }
        }
        for (node, element) in network.elements.iter().enumerate() {
            let (cut, feed) = element
                .from
                .map_or((false, Complex64::new(1.0, 0.0)), |from| {
                    (at[from].cut, at[from].v)
                });
            let here = &mut at[node];
            here.cut = cut || element.dead();
            if !here.cut {
                here.v_behind = feed * element.ratio;
                let joint = element.joint_carries(here.y_cable);
                let cable = element.cable.carries(here.y_node);
                here.v_near = here.v_behind * joint;
                here.v = here.v_near * cable;
                here.carries = joint * cable * element.ratio;
            }
        }
    }
}

impl Solution {
    /// The network that was solved.
    #[must_use]
    pub const fn network(&self) -> &Network {
        &self.network
    }

    /// Admittance at the rack; 0 where nothing is connected.
    #[must_use]
    pub const fn y_in(&self) -> Admittance {
        self.y_in
    }

    /// Impedance at the rack.
    #[must_use]
    pub fn input(&self) -> Input {
        Input::of(self.y_in)
    }

    /// Voltage at a node per volt at the rack; none where it is cut off.
    #[must_use]
    pub fn voltage(&self, node: usize) -> Option<Complex64> {
        self.at.get(node).filter(|it| !it.cut).map(|it| it.v)
    }

    /// Current into the cable of a run, behind its control, per volt at the rack, in siemens.
    #[must_use]
    pub fn current(&self, run: usize) -> Complex64 {
        self.at
            .get(run)
            .map_or(ZERO, |it| it.v_behind * it.y_behind)
    }

    /// Terminal voltage re the nominal voltage, the nominal held at the rack; none where cut off.
    #[must_use]
    pub fn terminal_db(&self, node: usize) -> Option<Decibel> {
        self.voltage(node)
            .filter(|v| *v != ZERO)
            .map(|v| Decibel(20.0 * v.norm().log10()))
    }

    /// Phase of the terminal voltage re the rack's; none where cut off.
    #[must_use]
    pub fn phase(&self, node: usize) -> Option<Degree> {
        self.voltage(node)
            .filter(|v| *v != ZERO)
            .map(|v| Degree(v.arg().to_degrees()))
    }

    /// Power that a loudspeaker takes with the nominal voltage at the rack; 0 where there is none.
    #[must_use]
    pub fn delivered(&self, node: usize) -> Watt {
        let volts = self.network.volts.get();
        self.at.get(node).map_or(Watt(0.0), |it| {
            Watt(volts * volts * it.v.norm_sqr() * self.network.own(node).re)
        })
    }

    /// Power lost in the cables with the nominal voltage at the rack, that in shorts along them
    /// with it; joints are not cable.
    #[must_use]
    pub fn lost_in_cable(&self) -> Watt {
        let volts = self.network.volts.get();
        let per_volt: f64 = self
            .at
            .iter()
            .filter(|it| !it.cut)
            .map(|it| it.v_near.norm_sqr() * it.y_cable.re - it.v.norm_sqr() * it.y_node.re)
            .sum();
        Watt(volts * volts * per_volt)
    }

    /// The loudspeaker that is served worst, and its terminal voltage; those cut off are left
    /// out, and of equals the first is named.
    #[must_use]
    pub fn worst_served(&self) -> Option<(usize, Decibel)> {
        (0..self.at.len())
            .filter(|node| self.network.is_loudspeaker(*node))
            .filter_map(|node| Some((node, self.terminal_db(node)?)))
            .min_by(|(_, a), (_, b)| a.get().total_cmp(&b.get()))
    }

    /// Terminal voltage of the loudspeaker that is served worst.
    #[must_use]
    pub fn far_end_db(&self) -> Option<Decibel> {
        self.worst_served().map(|(_, db)| db)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, network};

    #[test]
    fn a_twelve_and_an_eighteen_watt_loudspeaker_make_thirty() {
        // V^2 / P at 100 V: 10000 / 30 ohm.
        let nodes = vec![
            loudspeaker(12.0, None, 0.0),
            loudspeaker(18.0, Some(0), 0.0),
        ];
        let solution = network(&line(nodes), 1000.0).solve();
        assert!((solution.input().modulus().unwrap().get() - 1e4 / 30.0).abs() < 1e-9);
        assert_eq!(solution.input().phase(), Some(Degree(0.0)));
        assert_eq!(solution.terminal_db(1), Some(Decibel(0.0)));
        assert_eq!(solution.lost_in_cable(), Watt(0.0));
        assert!((solution.delivered(1).get() - 18.0).abs() < 1e-12);
    }

    #[test]
    fn the_loudspeaker_at_the_far_end_is_served_worst() {
        let nodes = vec![
            loudspeaker(10.0, None, 100.0),
            loudspeaker(10.0, Some(0), 100.0),
            loudspeaker(10.0, Some(0), 10.0),
        ];
        let solution = network(&line(nodes), 0.0).solve();
        let (worst, db) = solution.worst_served().unwrap();
        assert_eq!(worst, 1);
        assert_eq!(solution.far_end_db(), Some(db));
        // Direct current, by hand: 2.42 ohm a 100 m (IEC 60228), windings of 80 ohm.
        let (r, tenth, w) = (2.42f64, 0.242, 80.0);
        let beyond = 1.0 / w + 1.0 / (r + w) + 1.0 / (tenth + w);
        let first = (1.0 / beyond) / (r + 1.0 / beyond);
        let want = 20.0 * (first * w / (r + w)).log10();
        assert!((db.get() - want).abs() < 1e-12);
    }

    #[test]
    fn a_line_without_nodes_is_open() {
        let solution = network(&line(Vec::new()), 1000.0).solve();
        assert_eq!(solution.input(), Input::Open);
        assert_eq!(solution.input().modulus(), None);
        assert_eq!(solution.far_end_db(), None);
    }
}
