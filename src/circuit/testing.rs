//! Small lines for tests: 100 V, 1.5 mm2.

use super::{Conditions, Network};
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
