//! Random lines: trees of runs, some of no length, with controls, joints and shorts on them.
#![allow(dead_code)]

use super::{line, loudspeaker, node, standard};
use linewright::circuit::{Change, Load, Network};
use linewright::quantity::{Admittance, Farad, Fraction, Impedance, Ohm, Watt};
use linewright::site::{CableMake, LinePlan, NodeIs};
use proptest::prelude::*;
use proptest::sample::Index;

/// A line and what has happened to it.
#[derive(Clone, Debug)]
pub struct Tree {
    pub plan: LinePlan,
    pub hz: f64,
    /// Laid over it before anything is tried.
    pub state: Vec<Change>,
}

fn run_length() -> impl Strategy<Value = f64> {
    prop_oneof![1 => Just(0.0), 1 => 0.001..0.1f64, 6 => 1.0..120.0f64, 1 => 500.0..2000.0f64]
}

fn make() -> impl Strategy<Value = CableMake> {
    let known = ["1.5 mm2", "2.5 mm2", "0.75 mm2"].map(standard);
    proptest::sample::select(known.to_vec())
}

fn stands() -> impl Strategy<Value = NodeIs> {
    let taps = vec![0.75, 1.5, 3.0, 6.0, 10.0, 15.0, 30.0, 60.0];
    prop_oneof![
        6 => proptest::sample::select(taps).prop_map(loudspeaker),
        2 => Just(NodeIs::Junction),
        1 => Just(NodeIs::Device { ohm: Some(Ohm(22_000.0)), farad: Some(Farad(1e-7)) }),
    ]
}

/// A line of up to `most` nodes in any shape of tree, at one of several frequencies.
pub fn tree(most: usize) -> impl Strategy<Value = Tree> {
    let nodes = proptest::collection::vec(
        (
            any::<Index>(),
            any::<bool>(),
            run_length(),
            make(),
            stands(),
        ),
        1..=most,
    );
    let volts = proptest::sample::select(vec![25.0, 70.7, 100.0]);
    let hz = proptest::sample::select(vec![0.0, 330.0, 1000.0, 1000.0, 5000.0]);
    (nodes, volts, hz).prop_flat_map(|(nodes, volts, hz)| {
        let nodes: Vec<_> = nodes
            .into_iter()
            .enumerate()
            .map(|(place, (from, onward, run_m, make, is))| {
                // Half the nodes carry the line on, the others branch anywhere, at the rack too.
                let from = if onward {
                    place.checked_sub(1)
                } else {
                    from.index(place + 1).checked_sub(1)
                };
                node(&format!("N{place}"), from, run_m, make, is)
            })
            .collect();
        let plan = line(volts, nodes);
        let state = proptest::collection::vec(change(plan.nodes.len(), false), 0..=2);
        state.prop_map(move |state| Tree {
            plan: plan.clone(),
            hz,
            state,
        })
    })
}

/// Any one change of a line of so many nodes; with `gone` also those that leave nothing beyond.
pub fn change(nodes: usize, gone: bool) -> BoxedStrategy<Change> {
    let at = 0..nodes;
    let load = (
        at.clone(),
        1e-5..3e-2f64,
        -80.0..80.0f64,
        any::<[bool; 2]>(),
    )
        .prop_map(
            |(at, siemens, degrees, [silent, transformer])| Change::Load {
                at,
                is: Load {
                    y: Admittance::from_polar(siemens, degrees.to_radians()),
                    silent,
                    transformer,
                },
            },
        );
    let shunt = (at.clone(), 1e-5..1.0f64).prop_map(|(at, siemens)| Change::Shunt {
        at,
        y: Admittance::new(siemens, 0.0),
    });
    let series = (at.clone(), 0.1..300.0f64).prop_map(|(run, ohms)| Change::Series {
        run,
        z: Impedance::new(ohms, 0.0),
    });
    let short =
        (at.clone(), 0.0..=1.0f64, 0.05..5.0f64).prop_map(|(run, along, ohms)| Change::Short {
            run,
            along: Fraction(along),
            ohm: Ohm(ohms),
        });
    let control = (at.clone(), 0.1..1.0f64).prop_map(|(run, ratio)| Change::Control {
        run,
        ratio: Fraction(ratio),
    });
    let every = (0.4..2.5f64).prop_map(|times| Change::EveryLoad { times });
    let staying = prop_oneof![load, shunt, series, short, control, every];
    if gone {
        let off = at.clone().prop_map(|run| Change::Control {
            run,
            ratio: Fraction(0.0),
        });
        let broken = at.prop_map(|run| Change::Break { run });
        prop_oneof![6 => staying, 1 => off, 1 => broken].boxed()
    } else {
        staying.boxed()
    }
}

impl Tree {
    /// The network as it stands.
    pub fn network(&self) -> Network {
        self.network_of(&self.plan)
    }

    /// The network with another plan under the same state.
    pub fn network_of(&self, plan: &LinePlan) -> Network {
        let figures = linewright::site::Figures::default();
        let conditions =
            linewright::circuit::Conditions::of(&figures, linewright::quantity::Hertz(self.hz));
        Network::of(plan, &conditions).with(&self.state)
    }

    /// Sum of the taps, at least one watt: what an admittance may be compared with.
    pub fn watts(&self) -> f64 {
        self.plan.design_load().get().max(Watt(1.0).get())
    }
}
