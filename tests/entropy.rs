//! Entropy and the choice of a measurement, against published set-ups.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::diagnosis::{entropy, expected_fall};
use std::collections::BTreeMap;

/// The polybox: three multipliers and two adders, A = 3, B = 2, C = 2, D = 3, E = 3; F = 10 is seen
/// where 12 is due, G = 12 as due (J. de Kleer and B. C. Williams, "Diagnosing multiple faults",
/// Artificial Intelligence 32, 1987). X = AC, Y = BD, Z = CE, F = X + Y, G = Y + Z.
///
/// What each set of faulty parts predicts of X, Y and Z; none where it contradicts what is seen.
fn predicts(faulty: u32) -> Option<[Option<i32>; 3]> {
    let works = |part: u32| faulty & 1 << part == 0;
    let mut points = [6, 6, 6].map(Some);
    for (part, point) in (0..3).zip(&mut points) {
        *point = point.filter(|_| works(part));
    }
    // Adders both ways, until nothing more follows.
    for _ in 0..3 {
        for (part, [one, other], sum) in [(3, [0, 1], 10), (4, [1, 2], 12)] {
            if !works(part) {
                continue;
            }
            match (points[one], points[other]) {
                (Some(a), Some(b)) if a + b != sum => return None,
                (Some(a), None) => points[other] = Some(sum - a),
                (None, Some(b)) => points[one] = Some(sum - b),
                _ => {}
            }
        }
    }
    Some(points)
}

/// Every set that explains what is seen, with its weight and what it predicts.
fn candidates() -> Vec<(u32, f64, [Option<i32>; 3])> {
    let weight = |faulty: u32| (0.01f64 / 0.99).powi(faulty.count_ones().try_into().unwrap());
    let all: Vec<_> = (0..32)
        .filter_map(|faulty| Some((faulty, weight(faulty), predicts(faulty)?)))
        .collect();
    let sum: f64 = all.iter().map(|it| it.1).sum();
    all.into_iter().map(|it| (it.0, it.1 / sum, it.2)).collect()
}

/// Joint shares of answers and candidates for one point; what is not predicted is even over m
/// values.
fn shares(point: usize, m: i32) -> Vec<Vec<f64>> {
    let candidates = candidates();
    let mut values: Vec<Option<i32>> = candidates.iter().map(|it| it.2[point]).collect();
    values.sort_unstable();
    values.dedup();
    values.retain(Option::is_some);
    let predicted = values.len();
    values.resize(m.try_into().unwrap(), None);
    values
        .iter()
        .enumerate()
        .map(|(at, value)| {
            let share = |it: &(u32, f64, [Option<i32>; 3])| match it.2[point] {
                None => it.1 / f64::from(m),
                own if at < predicted && own == *value => it.1,
                _ => 0.0,
            };
            candidates.iter().map(share).collect()
        })
        .collect()
}

fn printed() -> BTreeMap<String, String> {
    include_str!("data/reference/gde_polybox.csv")
        .lines()
        .filter_map(|line| {
            let (item, rest) = line.split_once(',')?;
            Some((item.to_owned(), rest.split(',').next()?.to_owned()))
        })
        .collect()
}

/// Equal to the digits that are printed.
#[track_caller]
fn prints(got: f64, printed: &str) {
    let decimals = printed.split_once('.').map_or(0, |it| it.1.len());
    let want: f64 = printed.parse().unwrap();
    let half = 0.5 * 10f64.powi(-i32::try_from(decimals).unwrap());
    assert!((got - want).abs() <= half * 1.001, "{got} is not {printed}");
}

#[test]
fn the_polybox_has_the_candidates_and_the_entropy_of_exact_enumeration() {
    let printed = printed();
    let candidates = candidates();
    let consistent: usize = printed["consistent candidates"].parse().unwrap();
    assert_eq!(candidates.len(), consistent);
    let of = |faulty: u32| candidates.iter().find(|it| it.0 == faulty).unwrap().1;
    let [m1, m2, m3, a1, a2] = [1u32, 2, 4, 8, 16];
    for single in [m1, a1] {
        prints(of(single), &printed["P[A1]=P[M1] (exact enumeration)"]);
    }
    for double in [m2 | m3, m2 | a2] {
        prints(of(double), &printed["P of each listed double"]);
        assert!(
            candidates
                .iter()
                .all(|it| it.0 & double != it.0 || it.0 == double)
        );
    }
    let now = entropy(&candidates.iter().map(|it| it.1).collect::<Vec<_>>());
    prints(now, "1.35945");
    prints(now * std::f64::consts::LN_2, &printed["initial entropy"]);
}

#[test]
fn measuring_x_tells_most_about_the_polybox() {
    let printed = printed();
    let now = entropy(&candidates().iter().map(|it| it.1).collect::<Vec<_>>());
    let falls = [0, 1, 2].map(|point| expected_fall(&shares(point, 8)));
    let items = ["X", "Y", "Z"].map(|it| format!("expected H after {it} (m=8)"));
    for (fall, item) in falls.iter().zip(items) {
        prints((now - fall) * std::f64::consts::LN_2, &printed[&item]);
    }
    let gains = printed["gain X/Y/Z (m=8)"].split('/');
    for (fall, gain) in falls.iter().zip(gains) {
        prints(*fall, gain);
    }
    assert!(falls[0] > falls[1] && falls[1] > falls[2]);
}

/// Tests until the place is known, by halving with the cut of most entropy: at worst, and the sum
/// over all places.
fn halving(places: usize) -> (u32, usize) {
    if places == 1 {
        return (0, 0);
    }
    let gain = |cut: usize| {
        let before = (0..places)
            .map(|it| f64::from(u8::from(it < cut)))
            .collect();
        let behind = (0..places)
            .map(|it| f64::from(u8::from(it >= cut)))
            .collect();
        expected_fall::<Vec<f64>>(&[before, behind])
    };
    let best = (1..places)
        .max_by(|a, b| gain(*a).total_cmp(&gain(*b)))
        .unwrap();
    let (one, other) = (halving(best), halving(places - best));
    (1 + one.0.max(other.0), places + one.1 + other.1)
}

#[test]
fn halving_equal_places_takes_the_tests_of_an_optimal_tree() {
    // Exact enumeration: entropy log2 N, worst case ceil(log2 N), mean of an optimal tree
    // (k + 2 (N - 2^k) / N with k = floor(log2 N)).
    for (places, bits, worst, mean) in [
        (4, "2.000", 2, "2.00"),
        (5, "2.322", 3, "2.40"),
        (8, "3.000", 3, "3.00"),
        (10, "3.322", 4, "3.40"),
        (12, "3.585", 4, "3.667"),
        (16, "4.000", 4, "4.00"),
        (20, "4.322", 5, "4.40"),
        (50, "5.644", 6, "5.72"),
        (100, "6.644", 7, "6.72"),
    ] {
        prints(entropy(&vec![1.0; places]), bits);
        let (at_worst, sum) = halving(places);
        assert_eq!(at_worst, worst, "{places}");
        #[allow(clippy::cast_precision_loss)]
        prints(sum as f64 / places as f64, mean);
    }
}
