//! A short line for tests: rack, 20 m, LS-1 (6 W of 12, 6, 3), 8 m, LS-2 (6 W, taps not known, a
//! control at its run), 8 m, a joint box.

use super::fault::{FaultType, Form, Place};
use super::{Prepared, Reading};
use crate::circuit::{Conditions, Network};
use crate::quantity::{Fraction, Hertz, Metre, Ohm, Value, Volt, Watt};
use crate::site::{CableMake, Conductor, Figures, LinePlan, NodeIs, NodePlan};

/// A reading at the rack with a meter of 5 %.
pub fn reading(ohm: f64, step: f64) -> Reading {
    let accuracy = Fraction(0.05);
    let figures = Figures::default();
    Reading::at_rack(Value::Ohm(Ohm(ohm)), Ohm(step), accuracy, &figures)
}

/// The line, made ready with the figures as they come.
pub fn prepared() -> Prepared {
    Prepared::new(&line(), &Figures::default(), false)
}

pub fn line() -> LinePlan {
    let node = |label: &str, from, metres, control, is| NodePlan {
        id: format!("L-1/{label}").into(),
        label: label.to_owned(),
        from,
        run: Some(Metre(metres)),
        cable: "1.5 mm2".to_owned(),
        make: CableMake::standard(Conductor::Area(1.5), &Figures::default()),
        control,
        is,
    };
    let loudspeaker = |taps| NodeIs::Loudspeaker {
        tap: Watt(6.0),
        taps,
        of: "bowl".into(),
        dc_block: false,
    };
    let taps = Some(vec![Watt(12.0), Watt(6.0), Watt(3.0)]);
    LinePlan {
        id: "L-1".into(),
        label: "L-1".to_owned(),
        output: 0,
        zone: "hall".into(),
        zone_label: "Hall".to_owned(),
        volts: Volt(100.0),
        insulation_asked: false,
        nodes: vec![
            node("LS-1", None, 20.0, false, loudspeaker(taps)),
            node("LS-2", Some(0), 8.0, true, loudspeaker(None)),
            node("J-1", Some(1), 8.0, false, NodeIs::Junction),
        ],
    }
}

pub fn network(hz: f64) -> Network {
    Network::of(&line(), &Conditions::of(&Figures::default(), Hertz(hz)))
}

pub fn forms(of: &FaultType, node: usize) -> Vec<Form> {
    let line = line();
    (of.forms)(&Place {
        node: &line.nodes[node],
        loop_resistance: Ohm(0.0242 * line.nodes[node].run.map_or(0.0, Metre::get)),
        cell: Ohm(0.5),
    })
}
