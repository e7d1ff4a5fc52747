//! One node with the run that feeds it, and what lies along that run.
//!
//! Never here: the tree.

use super::cable::{PerMetre, TwoPort};
use crate::quantity::{Admittance, Impedance, Metre, Watt};
use num_complex::Complex64;

/// A run as it should be has nothing in series.
const NO_JOINT: Impedance = Impedance::new(0.0, 0.0);

/// The load that a loudspeaker is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Its admittance.
    pub y: Admittance,
    /// It cannot sound, whatever it takes.
    pub silent: bool,
    /// It stands behind its transformer; a bare voice coil does not, and keeps its admittance
    /// when all taps are set for another line voltage.
    pub transformer: bool,
}

/// A short inside a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bridge {
    /// Fraction of the run from its near end.
    pub along: f64,
    /// Across the pair.
    pub y: Admittance,
}

/// A node and the run that feeds it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Element {
    /// Feeding node; none is the rack.
    pub from: Option<usize>,
    /// Voltage ratio of the control at the near end, 1 as designed.
    pub ratio: f64,
    /// In series behind the control.
    pub series: Impedance,
    /// The run is open behind the control.
    pub broken: bool,
    /// Length of the cable.
    pub length: Metre,
    /// What a metre of it is.
    pub per_metre: PerMetre,
    /// The cable with what bridges it.
    pub cable: TwoPort,
    /// What bridges it, in order along it.
    pub bridges: Vec<Bridge>,
    /// The loudspeaker's load; none where no loudspeaker stands.
    pub load: Option<Load>,
    /// Whatever else hangs across the line here.
    pub other: Admittance,
    /// The design tap and whether a capacitor blocks direct current.
    pub design: Option<(Watt, bool)>,
    /// The run is not part of this tree: changes to it do nothing.
    pub run_elsewhere: bool,
    /// The node is not part of this tree: changes at it do nothing.
    pub node_elsewhere: bool,
}

impl Element {
    /// Nothing gets past the near end of the run.
    pub fn dead(&self) -> bool {
        self.broken || self.ratio == 0.0
    }

    /// Admittance into the joint with `y` behind it: y / (1 + series y).
    pub fn past_joint(&self, y: Admittance) -> Admittance {
        if self.series == NO_JOINT {
            y
        } else {
            y / (1.0 + self.series * y)
        }
    }

    /// Voltage behind the joint over that before it, with `y` behind it.
    pub fn joint_carries(&self, y: Admittance) -> Complex64 {
        if self.series == NO_JOINT {
            Complex64::new(1.0, 0.0)
        } else {
            (1.0 + self.series * y).inv()
        }
    }

    /// The run's stretches between bridges, each with the bridge at its far end: fractions of the
    /// length from the near end.
    pub fn stretches(&self) -> impl Iterator<Item = (f64, f64, Admittance)> + '_ {
        let starts = std::iter::once(0.0).chain(self.bridges.iter().map(|it| it.along));
        let ends = self
            .bridges
            .iter()
            .map(|it| (it.along, it.y))
            .chain(std::iter::once((1.0, Admittance::new(0.0, 0.0))));
        starts.zip(ends).map(|(start, (end, y))| (start, end, y))
    }

    /// The part of the run before, and the part behind, a point along it. A bridge at the very
    /// point belongs to the part behind.
    pub fn split(&self, along: f64) -> [TwoPort; 2] {
        if self.bridges.is_empty() {
            return [self.bare(0.0, along), self.bare(along, 1.0)];
        }
        let (mut before, mut behind) = (TwoPort::THROUGH, TwoPort::THROUGH);
        for (start, end, y) in self.stretches() {
            let bridge = TwoPort::shunt(y);
            if end < along {
                before = before.then(&self.bare(start, end)).then(&bridge);
            } else if start >= along {
                behind = behind.then(&self.bare(start, end)).then(&bridge);
            } else {
                before = before.then(&self.bare(start, along));
                behind = behind.then(&self.bare(along, end)).then(&bridge);
            }
        }
        [before, behind]
    }

    /// A stretch of the run without bridges.
    pub fn bare(&self, start: f64, end: f64) -> TwoPort {
        self.per_metre.run(Metre(self.length.get() * (end - start)))
    }

    /// Bridges the pair at a point along the run.
    pub fn bridge(&mut self, along: f64, y: Admittance) {
        let place = self
            .bridges
            .partition_point(|existing| existing.along <= along);
        self.bridges.insert(place, Bridge { along, y });
        self.cable = self
            .stretches()
            .fold(TwoPort::THROUGH, |so_far, (start, end, y)| {
                so_far.then(&self.bare(start, end)).then(&TwoPort::shunt(y))
            });
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::Change;
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::quantity::{Fraction, Ohm};

    #[test]
    fn a_short_stands_where_it_is_put() {
        // Direct current: 30 % of 100 m of loop at 24.2 mohm/m, then 0.2 ohm beside the rest.
        let sound = network(&line(vec![loudspeaker(10.0, None, 100.0)]), 0.0);
        let at = |along: f64, ohm: f64| Change::Short {
            run: 0,
            along: Fraction(along),
            ohm: Ohm(ohm),
        };
        let ohms = |changes: &[Change]| {
            let solution = sound.with(changes).solve();
            solution.input().modulus().unwrap().get()
        };
        let beside = |ohm: f64, rest: f64| 1.0 / (1.0 / ohm + 1.0 / rest);
        let one = 0.726 + beside(0.2, 1.694 + 80.0);
        assert!((ohms(&[at(0.3, 0.2)]) - one).abs() < 1e-12);
        let two = 0.726 + beside(0.2, 0.484 + beside(5.0, 1.21 + 80.0));
        for order in [[at(0.3, 0.2), at(0.5, 5.0)], [at(0.5, 5.0), at(0.3, 0.2)]] {
            assert!((ohms(&order) - two).abs() < 1e-12);
        }
        // A bridge of nothing stays a number.
        assert!((ohms(&[at(0.3, 0.0)]) - 0.726).abs() < 1e-5);
    }
}
