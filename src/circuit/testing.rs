//! Small lines for tests: 100 V, 1.5 mm2.

use super::{Conditions, Network, Tolerances};
use crate::quantity::Hertz;
pub(crate) use crate::site::example::{line, loudspeaker, node};
use crate::site::{Figures, LinePlan};

pub(crate) fn network(line: &LinePlan, hz: f64) -> Network {
    Network::of(line, &Conditions::of(&Figures::default(), Hertz(hz)))
}

/// Four loudspeakers, of two types in turn, on two branches, at 1 kHz.
pub(crate) fn four_of_two_groups() -> (Network, Tolerances) {
    let nodes = vec![
        loudspeaker(10.0, None, 100.0),
        loudspeaker(6.0, Some(0), 60.0),
        loudspeaker(3.0, Some(1), 80.0),
        loudspeaker(10.0, Some(0), 40.0),
    ];
    let tolerances = Tolerances {
        groups: 2,
        group_of: (0..4).map(|node| Some(node % 2)).collect(),
        loudspeaker: 0.0025,
        run: vec![0.0025; 4],
        added: 0.0061,
    };
    (network(&line(nodes), 1000.0), tolerances)
}
