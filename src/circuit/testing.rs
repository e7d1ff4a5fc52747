//! Small lines for tests: 100 V, 1.5 mm2.

use super::{Conditions, Network, Tolerances};
use crate::quantity::{Hertz, Metre, MicroHenryPerMetre, PicoFaradPerMetre, Volt, Watt};
use crate::site::{CableMake, Conductor, Figures, LinePlan, NodeIs, NodePlan};

pub(crate) fn line(nodes: Vec<NodePlan>) -> LinePlan {
    LinePlan {
        id: "L".into(),
        label: "L".into(),
        output: 0,
        zone: "Z".into(),
        zone_label: "Z".into(),
        volts: Volt(100.0),
        insulation_asked: false,
        nodes,
    }
}

pub(crate) fn node(is: NodeIs, from: Option<usize>, run: Option<f64>) -> NodePlan {
    NodePlan {
        id: "N".into(),
        label: "N".into(),
        from,
        run: run.map(Metre),
        cable: "1.5 mm2".into(),
        make: CableMake {
            r20: Conductor::Area(1.5).r20(),
            l: MicroHenryPerMetre(0.65),
            c: PicoFaradPerMetre(100.0),
        },
        control: false,
        is,
    }
}

pub(crate) fn loudspeaker(tap: f64, from: Option<usize>, run: f64) -> NodePlan {
    let is = NodeIs::Loudspeaker {
        tap: Watt(tap),
        taps: None,
        of: "type".into(),
        dc_block: false,
    };
    node(is, from, Some(run))
}

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
