//! Entries and designs for the tests of this layer and of storage, lines for those that reckon or draw them.

use super::{
    CableMake, Conductor, Design, Do, Entry, Figures, LinePlan, NodeIs, NodePlan, Note, Ref, Zone,
};
use crate::quantity::{Metre, Volt, Watt};
use jiff::Timestamp;

/// A note on line L-1, so many seconds after 1970 began; its text is its id.
pub fn note(id: &str, second: i64) -> Entry {
    Entry {
        at: Timestamp::from_second(second).unwrap(),
        id: id.into(),
        by: "engineer A".into(),
        what: Do::Note(Note {
            of: Ref::Line("L-1".into()),
            text: id.into(),
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

/// A zone of this name.
pub fn zone(label: &str) -> Design {
    Design::Zone(Zone {
        label: label.into(),
        order: 1.0,
    })
}

/// A line of these nodes, of 100 V.
pub fn line(nodes: Vec<NodePlan>) -> LinePlan {
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

/// A node on 1.5 mm2.
pub fn node(is: NodeIs, from: Option<usize>, run: Option<f64>) -> NodePlan {
    NodePlan {
        id: "N".into(),
        label: "N".into(),
        from,
        run: run.map(Metre),
        cable: "1.5 mm2".into(),
        make: CableMake::standard(Conductor::Area(1.5), &Figures::default()),
        control: false,
        is,
    }
}

/// A loudspeaker on a tap, W, at the end of a run, m.
pub fn loudspeaker(tap: f64, from: Option<usize>, run: f64) -> NodePlan {
    let is = NodeIs::Loudspeaker {
        tap: Watt(tap),
        taps: None,
        of: "type".into(),
        dc_block: false,
    };
    node(is, from, Some(run))
}
