//! Where the engineer stands, with what in hand, and how long each test takes.
//!
//! Never here: what a test tells.

use super::evidence::{Evidence, Meter, Test};
use super::prepared::Prepared;
use crate::quantity::{Fraction, Metre, Minutes, Ohm};
use crate::site::{Figure, Figures, PLAIN_ACCURACY};

/// Where the last reading of a line was made, and the instrument that the next is made with.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    /// The node at which the last reading was made: a listen or a split at its loudspeaker. None
    /// is the rack.
    pub at: Option<usize>,
    /// With what the next reading is made.
    pub meter: Meter,
    /// Its accuracy.
    pub accuracy: Fraction,
    /// Above this it reads open.
    pub range: Ohm,
    /// Source resistance of its tone.
    pub source: Ohm,
}

impl Walk {
    /// At this node, or the rack, with the instrument of the last impedance reading; without one,
    /// a plain meter of 5 %.
    #[must_use]
    pub fn after(evidence: &Evidence, at: Option<usize>, figures: &Figures) -> Self {
        let last = evidence.readings.iter().rfind(|it| it.test != Test::Dc);
        Self {
            at,
            meter: last.map(|it| it.meter.clone()).unwrap_or_default(),
            accuracy: last.map_or(PLAIN_ACCURACY, |it| it.accuracy),
            range: last.map_or(Ohm(figures.get(Figure::RangeOhm)), |it| it.range),
            source: Ohm(figures.get(Figure::SourceOhm)),
        }
    }
}

/// Lengths of cable from the place where the last reading was made.
pub(super) struct Distances {
    to: Vec<f64>,
    rack: f64,
    per_metre: f64,
}

impl Distances {
    pub fn of(prepared: &Prepared, walk: &Walk) -> Self {
        let network = prepared.sound.network();
        let from_rack: Vec<f64> =
            (0..network.len()).fold(Vec::with_capacity(network.len()), |mut list, node| {
                let feed = network.from(node).map_or(0.0, |from| list[from]);
                list.push(feed + network.length(node).get());
                list
            });
        let here = walk.at.filter(|at| *at < network.len());
        let to = (0..network.len()).map(|node| {
            let Some(here) = here else {
                return from_rack[node];
            };
            let common = network.last_common(here, node);
            from_rack[here] + from_rack[node] - 2.0 * common.map_or(0.0, |at| from_rack[at])
        });
        Self {
            to: to.collect(),
            rack: here.map_or(0.0, |at| from_rack[at]),
            per_metre: prepared.figures.get(Figure::MinutesMetre),
        }
    }

    /// Metres of cable to a node, or to the rack.
    pub fn metres(&self, at: Option<usize>) -> Metre {
        Metre(at.map_or(self.rack, |at| self.to[at]))
    }

    /// Minutes that a test takes of itself, with the walk to it.
    pub fn minutes(&self, at: Option<usize>, itself: f64) -> Minutes {
        Minutes(itself + self.per_metre * self.metres(at).get())
    }
}

#[cfg(test)]
mod tests {
    use super::super::example;
    use super::*;

    #[test]
    fn the_walk_goes_along_the_cable_by_the_last_common_place() {
        // The example's 20 m to LS-1 and 8 m on to LS-2; a branch of 8 m at LS-1.
        let mut line = example::line();
        line.nodes[2].from = Some(0);
        let figures = Figures::default();
        let prepared = Prepared::new(&line, &figures, false);
        let mut walk = Walk::after(&Evidence::default(), Some(1), &figures);
        let from_second = Distances::of(&prepared, &walk);
        assert_eq!(from_second.metres(Some(2)), Metre(16.0));
        assert_eq!(from_second.metres(None), Metre(28.0));
        assert_eq!(from_second.metres(Some(1)), Metre(0.0));
        walk.at = None;
        let from_rack = Distances::of(&prepared, &walk);
        // 6 min for a split and 0.02 a metre. [assumed]
        let split = from_rack.minutes(Some(1), 6.0).get();
        assert!((split - 6.56).abs() < 1e-12);
    }
}
