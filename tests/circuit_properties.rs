//! On random lines: closed forms against new solves, sensitivities against differences.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::trees::{Tree, change, tree};
use linewright::circuit::{Change, Input, Load, Network};
use linewright::quantity::{Admittance, Decibel, Fraction, Impedance, Metre, Ohm};
use num_complex::Complex64;
use proptest::prelude::*;

/// Agreement of two admittances at the rack: to 1e-9 of themselves, or, where a change takes all
/// but nothing away, to rounding of what was there before.
fn same(got: Admittance, want: Admittance, before: Admittance) -> Result<(), TestCaseError> {
    let off = (got - want).norm();
    prop_assert!(
        off <= 1e-9 * want.norm() + 1e-14 * before.norm(),
        "{got} is not {want}, before it was {before}"
    );
    Ok(())
}

fn tree_and(gone: bool) -> impl Strategy<Value = (Tree, Change)> {
    tree(14).prop_flat_map(move |tree| {
        let changes = change(tree.plan.nodes.len(), gone);
        (Just(tree), changes)
    })
}

fn tree_and_two() -> impl Strategy<Value = (Tree, Change, Change)> {
    tree(14).prop_flat_map(|tree| {
        let changes = || change(tree.plan.nodes.len(), true);
        (Just(tree.clone()), changes(), changes())
    })
}

/// ln|Z| of a network that is not open.
fn ln_z(network: &Network) -> f64 {
    match network.solve().input() {
        Input::Ohms(z) => z.norm().ln(),
        Input::Open => panic!("open"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn one_change_reads_the_same_with_and_without_a_new_solve((tree, change) in tree_and(true)) {
        let network = tree.network();
        let solution = network.solve();
        let got = solution.closed_form().y_after(&change);
        same(got, network.with(&[change]).solve().y_in(), solution.y_in())?;
    }

    #[test]
    fn two_changes_are_one_after_the_other((tree, first, second) in tree_and_two()) {
        let network = tree.network();
        let solution = network.with(&[first]).solve();
        let got = solution.closed_form().y_after(&second);
        same(got, network.with(&[first, second]).solve().y_in(), solution.y_in())?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn a_point_of_a_run_is_what_a_junction_there_would_be(tree in tree(10), pick in any::<prop::sample::Index>(), along in 0.0..=1.0f64) {
        let tree = Tree { state: Vec::new(), ..tree };
        let network = tree.network();
        let run = pick.index(network.len());
        let solution = network.solve();
        let (v, i) = solution.closed_form().along(run, Fraction(along)).unwrap();
        let mut plan = tree.plan.clone();
        let mut behind = plan.nodes[run].clone();
        let mut joint = behind.clone();
        let length = behind.run.unwrap().get();
        joint.is = linewright::site::NodeIs::Junction;
        joint.run = Some(Metre(length * along));
        behind.run = Some(Metre(length * (1.0 - along)));
        for node in &mut plan.nodes {
            node.from = node.from.map(|from| if from >= run { from + 1 } else { from });
        }
        behind.from = Some(run);
        plan.nodes[run] = behind;
        plan.nodes.insert(run, joint);
        let split = tree.network_of(&plan).solve();
        prop_assert!((split.voltage(run).unwrap() - v).norm() <= 1e-12);
        prop_assert!((split.current(run + 1) - i).norm() <= 1e-12 * solution.y_in().norm().max(1e-3));
    }

    #[test]
    fn sensitivities_are_the_slopes_of_the_reading((tree, change) in tree_and(true)) {
        let network = tree.network().with(&[change]);
        let solution = network.solve();
        if solution.input() == Input::Open {
            return Ok(());
        }
        let slopes = solution.sensitivities();
        let step = 1e-4;
        for at in 0..network.len() {
            if network.is_loudspeaker(at) {
                let at_times = |ln: f64| {
                    // Through the load as it acts, so that neither winding nor factor matters.
                    let load = Load { y: network.own(at) * (-ln).exp(), silent: false, transformer: false };
                    ln_z(&network.with(&[Change::Load { at, is: load }]))
                };
                let slope = (at_times(step) - at_times(-step)) / (2.0 * step);
                prop_assert!((slope - slopes.loudspeaker[at]).abs() <= 1e-7, "{at}: {slope} {}", slopes.loudspeaker[at]);
            } else {
                prop_assert_eq!(slopes.loudspeaker[at], 0.0);
            }
            let at_length = |ln: f64| {
                let mut plan = tree.plan.clone();
                let length = plan.nodes[at].run.unwrap().get();
                plan.nodes[at].run = Some(Metre(length * ln.exp()));
                ln_z(&tree.network_of(&plan).with(&[change]))
            };
            let slope = (at_length(step) - at_length(-step)) / (2.0 * step);
            prop_assert!((slope - slopes.run[at]).abs() <= 1e-7, "run {at}: {slope} {}", slopes.run[at]);
        }
    }

    #[test]
    fn what_goes_in_at_the_rack_comes_out_somewhere(tree in tree(14)) {
        // Without devices, shunts or joints all power goes to loudspeakers and cables.
        let tree = Tree { state: Vec::new(), ..tree };
        let network = tree.network();
        let solution = network.solve();
        let volts = network.volts().get();
        let into_devices: f64 = (0..network.len())
            .filter(|at| !network.is_loudspeaker(*at))
            .map(|at| {
                let y = match tree.plan.nodes[at].is {
                    linewright::site::NodeIs::Device { .. } => {
                        let omega = network.conditions().omega();
                        let jwc = Complex64::new(0.0, omega * 1e-7);
                        jwc / (1.0 + jwc * 22_000.0)
                    }
                    _ => Complex64::new(0.0, 0.0),
                };
                volts * volts * solution.voltage(at).unwrap().norm_sqr() * y.re
            })
            .sum();
        let into_loads: f64 = (0..network.len()).map(|at| solution.delivered(at).get()).sum();
        let taken = volts * volts * solution.y_in().re;
        let spent = into_devices + into_loads + solution.lost_in_cable().get();
        prop_assert!((taken - spent).abs() <= 1e-10 * tree.watts(), "{taken} {spent}");
    }

    #[test]
    fn opened_at_a_node_the_two_sides_are_two_smaller_lines(tree in tree(14), pick in any::<prop::sample::Index>()) {
        let network = tree.network();
        let at = pick.index(network.len());
        let (near, far) = (network.near_of(at), network.far_of(at));
        // Joined again, a run fed into the far side's admittance reads as the whole.
        let joined = loaded_at_the_opening(&near, at, far.solve().y_in());
        same(joined, network.solve().y_in(), network.solve().y_in())?;
        // A change on one side leaves the other alone.
        let beyond = network.beyond(at);
        for (place, beyond) in beyond.into_iter().enumerate() {
            let shunt = Change::Shunt { at: place, y: Admittance::new(0.1, 0.0) };
            let joint = Change::Series { run: place, z: Impedance::new(30.0, 0.0) };
            for change in [shunt, joint] {
                let run = matches!(change, Change::Series { .. });
                let of_far = beyond && !(run && place == at);
                let (other, alone) = if of_far { (&near, near.solve()) } else { (&far, far.solve()) };
                prop_assert_eq!(other.with(&[change]).solve().y_in(), alone.y_in());
                prop_assert_eq!(alone.closed_form().y_after(&change), alone.y_in());
            }
        }
    }
}

/// What the near side reads with an admittance at its opening.
fn loaded_at_the_opening(near: &Network, at: usize, y: Admittance) -> Admittance {
    let solution = near.solve();
    let z = solution.closed_form().driving_point_held(at).unwrap();
    let v = solution.voltage(at).unwrap();
    solution.y_in() + v * v * y / (1.0 + y * z)
}

#[test]
fn an_open_line_takes_its_first_load_without_a_division_by_nothing() {
    let junction = |from, run| {
        let mut make = common::standard("1.5 mm2");
        make.c = linewright::quantity::PicoFaradPerMetre(0.0);
        common::node("J", from, run, make, linewright::site::NodeIs::Junction)
    };
    let plan = common::line(100.0, vec![junction(None, 100.0), junction(Some(0), 50.0)]);
    let conditions = linewright::circuit::Conditions::of(
        &linewright::site::Figures::default(),
        linewright::quantity::Hertz(1000.0),
    );
    let network = Network::of(&plan, &conditions);
    let solution = network.solve();
    assert_eq!(solution.input(), Input::Open);
    let forms = solution.closed_form();
    let short = Change::short_at(1, Ohm(1.0));
    // 150 m of loop at 24.2 mohm/m (IEC 60228) and j 2 pi 1000 0.65e-6 ohm/m, then 1 ohm.
    let Input::Ohms(z) = forms.after(&short) else {
        panic!("open")
    };
    let omega = 2.0 * std::f64::consts::PI * 1000.0;
    let want = Impedance::new(150.0 * 0.0242 + 1.0, 150.0 * omega * 0.65e-6);
    assert!((z - want).norm() < 1e-12, "{z} {want}");
    for change in [
        Change::Break { run: 0 },
        Change::Series {
            run: 1,
            z: Impedance::new(30.0, 0.0),
        },
        Change::control_down(0, Decibel(6.0)),
        Change::EveryLoad { times: 2.0 },
    ] {
        assert_eq!(forms.after(&change), Input::Open, "{change:?}");
    }
    assert_eq!(solution.sensitivities().run, vec![0.0, 0.0]);
}

#[test]
fn a_break_of_the_only_run_at_the_rack_leaves_an_open_line() {
    let make = common::standard("1.5 mm2");
    let plan = common::line(
        100.0,
        vec![common::node(
            "LS",
            None,
            40.0,
            make,
            common::loudspeaker(6.0),
        )],
    );
    let conditions = linewright::circuit::Conditions::of(
        &linewright::site::Figures::default(),
        linewright::quantity::Hertz(1000.0),
    );
    let network = Network::of(&plan, &conditions);
    let solution = network.solve();
    let forms = solution.closed_form();
    assert_eq!(forms.inserted(0), Admittance::new(0.0, 0.0));
    assert_eq!(forms.after(&Change::Break { run: 0 }), Input::Open);
    // There a bad joint just adds its ohms.
    let (Input::Ohms(before), Input::Ohms(after)) = (
        solution.input(),
        forms.after(&Change::Series {
            run: 0,
            z: Impedance::new(30.0, 0.0),
        }),
    ) else {
        panic!("open")
    };
    assert!((after - before - 30.0).norm() < 1e-9);
}
