//! The spread of a changed line in a few operations, against the changed line solved anew and its
//! derivatives added up one by one.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::trees::{change, tree};
use linewright::circuit::{Change, Solution, Tolerances};
use linewright::quantity::{Admittance, Fraction};
use proptest::prelude::*;

/// Variance and group sums of a solution from its derivatives. Bare loads are in no group.
fn one_by_one(
    solution: &Solution,
    bare: &[bool],
    added: &[(usize, Admittance)],
    tolerances: &Tolerances,
) -> (f64, Vec<f64>) {
    let by = solution.sensitivities();
    let mut groups = vec![0.0; tolerances.groups];
    let mut variance = 0.0;
    for (node, bare) in bare.iter().enumerate() {
        variance += tolerances.loudspeaker * by.loudspeaker[node].powi(2);
        variance += tolerances.run[node] * by.run[node].powi(2);
        if let Some(group) = tolerances.group_of[node].filter(|_| !bare) {
            groups[group] += by.loudspeaker[node];
        }
    }
    for (node, y) in added {
        variance += tolerances.added * solution.shunt_sensitivity(*node, *y).powi(2);
    }
    (variance, groups)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn the_spread_after_a_change_is_that_of_the_line_solved_anew(
        (tree, last) in tree(14).prop_flat_map(|tree| {
            let changes = change(tree.plan.nodes.len(), true);
            (Just(tree), changes)
        }),
        added in any::<bool>(),
    ) {
        let network = tree.network();
        let n = network.len();
        let tolerances = Tolerances {
            groups: 2,
            group_of: (0..n)
                .map(|node| network.is_loudspeaker(node).then_some(node % 2))
                .collect(),
            loudspeaker: 0.05 * 0.05,
            run: (0..n).map(|run| if run % 3 == 0 { 1.0 } else { 0.0025 }).collect(),
            added: 0.0061,
        };
        let mut loads = Vec::new();
        let mut bare = vec![false; n];
        for change in tree.state.iter().chain([&last]) {
            if let Change::Load { at, is } = change {
                bare[*at] = !is.transformer;
            }
        }
        let before_loads: Vec<(usize, Admittance)> = tree
            .state
            .iter()
            .filter_map(|it| match it {
                Change::Shunt { at, y } => Some((*at, *y)),
                _ => None,
            })
            .collect();
        loads.extend(before_loads.iter().copied());
        if let (Change::Shunt { at, y }, true) = (&last, added) {
            loads.push((*at, *y));
        }
        let solution = network.solve();
        let spread = solution.spread(&tolerances, &before_loads);
        let mut groups = [0.0; 2];
        let got = spread.after(&last, added, &mut groups);
        let changed = network.with(&[last]).solve();
        let (variance, want) = one_by_one(&changed, &bare, &loads, &tolerances);
        let before = solution.y_in().norm();
        let y_in = changed.y_in();
        prop_assert!(
            (got.y_in - y_in).norm() <= 1e-9 * y_in.norm() + 1e-14 * before,
            "{} is not {y_in}", got.y_in
        );
        if y_in.norm() <= 1e-9 * before {
            // All but nothing is gone: what is left is rounding.
            return Ok(());
        }
        // To rounding of what was there before the change.
        let fall = (before / y_in.norm()).max(1.0);
        let rounding = 1e-13 * fall;
        // A sum of squares, over the square of what is left: its rounding grows as the square.
        let squared = rounding + 4e-15 * fall * fall;
        prop_assert!(
            (got.variance - variance).abs() <= 1e-8 * variance + squared,
            "variance {} is not {variance}, rounding {squared:e}", got.variance
        );
        for (got, want) in groups.into_iter().zip(want) {
            prop_assert!(
                (got - want).abs() <= 1e-8 * want.abs() + rounding,
                "group {got} is not {want}"
            );
        }
        // And the solution as it stands.
        let mut bare = vec![false; n];
        for change in &tree.state {
            if let Change::Load { at, is } = change {
                bare[*at] = !is.transformer;
            }
        }
        let mut groups = [0.0; 2];
        let got = spread.base(&mut groups);
        let (variance, want) = one_by_one(&solution, &bare, &before_loads, &tolerances);
        prop_assert!((got.variance - variance).abs() <= 1e-9 * variance + 1e-15);
        for (got, want) in groups.into_iter().zip(want) {
            prop_assert!((got - want).abs() <= 1e-9);
        }
    }

    #[test]
    fn a_control_turned_up_from_nothing_is_the_line_solved_anew(
        tree in tree(10),
        at in any::<prop::sample::Index>(),
        ratio in 0.1..1.0f64,
    ) {
        let run = at.index(tree.plan.nodes.len());
        let at = |ratio| Change::Control { run, ratio: Fraction(ratio) };
        let off = tree.network().with(&[at(0.0)]);
        let n = off.len();
        let tolerances = Tolerances {
            groups: 1,
            group_of: (0..n).map(|node| off.is_loudspeaker(node).then_some(0)).collect(),
            loudspeaker: 0.05 * 0.05,
            run: vec![0.0025; n],
            added: 0.0061,
        };
        let anew = off.with(&[at(ratio)]).solve();
        let (mut groups, mut want_groups) = ([0.0], [0.0]);
        let want = anew.spread(&tolerances, &[]).base(&mut want_groups);
        let solution = off.solve();
        let got = solution.spread(&tolerances, &[]).after(&at(ratio), false, &mut groups);
        prop_assert!((got.y_in - want.y_in).norm() <= 1e-9 * want.y_in.norm());
        prop_assert!((got.variance - want.variance).abs() <= 1e-9 * want.variance);
        prop_assert!((groups[0] - want_groups[0]).abs() <= 1e-9);
    }
}
