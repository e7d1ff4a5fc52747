//! All listed networks, healthy and faulted, against what ngspice made of them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::listed;
use linewright::circuit::{Conditions, FLOOR, Input, Network, level_changes};
use linewright::quantity::{Hertz, Ohm};
use linewright::site::Figures;

#[track_caller]
fn near(what: &str, got: f64, want: f64, within: f64) {
    assert!(
        (got - want).abs() <= within,
        "{what}: {got}, ngspice says {want}"
    );
}

#[test]
fn every_listed_network_reads_as_ngspice_solved_it() {
    let all = listed();
    assert_eq!(all.len(), 48);
    for case in all {
        let conditions = Conditions::of(&Figures::default(), Hertz(case.hz));
        let sound = Network::of(&case.plan(), &conditions);
        let changed = sound.with(&case.changes(&sound));
        let (healthy, solution) = (sound.solve(), changed.solve());
        let name = &case.network;
        match solution.input() {
            Input::Open => assert_eq!(case.ohms, "open", "{name}"),
            Input::Ohms(z) => {
                let want = case.ohms.as_f64().unwrap();
                near(name, z.norm() / want, 1.0, 1e-8);
                near(name, z.arg().to_degrees(), case.phase_deg.unwrap(), 1e-6);
            }
        }
        let heard = level_changes(&healthy, &solution, Ohm(100.0));
        for (place, node) in case.nodes.iter().enumerate() {
            let what = format!("{name} {}", node.loudspeaker);
            match (solution.terminal_db(place), node.terminal_db) {
                (Some(got), Some(want)) => {
                    near(&what, got.get(), want, 1e-6);
                    let phase = solution.phase(place).unwrap();
                    near(&what, phase.get(), node.phase_deg.unwrap(), 1e-6);
                }
                (got, want) => assert!(got.is_none() && want.is_none(), "{what}: {got:?} {want:?}"),
            }
            match &node.heard_db {
                None => {}
                Some(want) => match want.as_f64() {
                    Some(want) => near(&what, heard[place].unwrap().get(), want, 1e-6),
                    None => {
                        assert_eq!(want, "silent");
                        assert_eq!(solution.level(place), Some(FLOOR), "{what}");
                        assert!(heard[place].unwrap().get() < -100.0, "{what}");
                    }
                },
            }
        }
    }
}

#[test]
fn every_single_listed_fault_reads_the_same_without_a_new_solve() {
    let mut tried = 0;
    for case in listed() {
        let conditions = Conditions::of(&Figures::default(), Hertz(case.hz));
        let sound = Network::of(&case.plan(), &conditions);
        let changes = case.changes(&sound);
        let [only] = changes.as_slice() else {
            continue;
        };
        tried += 1;
        let solution = sound.solve();
        let got = solution.closed_form().after(only);
        let name = &case.network;
        match got {
            Input::Open => assert_eq!(case.ohms, "open", "{name}"),
            Input::Ohms(z) => {
                let want = case.ohms.as_f64().unwrap();
                near(name, z.norm() / want, 1.0, 1e-8);
            }
        }
    }
    assert!(tried >= 15, "only {tried} networks hold one fault");
}
