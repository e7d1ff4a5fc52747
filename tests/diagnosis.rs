//! Diagnosis of whole lines: sentences, places, and lines and readings out of the ordinary.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{line, node, standard};
use linewright::diagnosis::{
    Evidence, FaultKind, Latent, Meter, Posterior, Prepared, Reading, Shared,
};
use linewright::quantity::{Fraction, Ohm, Value, Watt};
use linewright::site::{Figures, LinePlan, NodeIs, NodePlan};

fn loudspeaker(tap: f64, taps: &[f64]) -> NodeIs {
    NodeIs::Loudspeaker {
        tap: Watt(tap),
        taps: Some(taps.iter().copied().map(Watt).collect()),
        of: "bowl".into(),
        dc_block: false,
    }
}

/// Seven loudspeakers of 6 W with taps 12, 6 and 3, one after the other.
fn seven() -> LinePlan {
    let stand = |k: usize| {
        let label = format!("LS-{}", k + 1);
        let run = if k == 0 { 38.0 } else { 9.0 };
        let is = loudspeaker(6.0, &[12.0, 6.0, 3.0]);
        node(&label, k.checked_sub(1), run, standard("1.5 mm2"), is)
    };
    line(100.0, (0..7).map(stand).collect())
}

fn read(plan: &LinePlan, value: Value, step: f64) -> Posterior {
    let figures = Figures::default();
    let reading = Reading::at_rack(value, Ohm(step), Fraction(0.05), &figures);
    Prepared::new(plan, &figures, false).posterior(&Evidence::of(reading), &Shared::default())
}

fn ohm(m: f64) -> Value {
    Value::Ohm(Ohm(m))
}

#[track_caller]
fn sound(posterior: &Posterior, what: &str) {
    let sum: f64 = posterior
        .hints
        .iter()
        .map(|hint| hint.probability.get())
        .sum();
    assert!((sum - 1.0).abs() < 1e-5, "{what}: classes add up to {sum}");
    assert!(
        (0.0..=1.0).contains(&posterior.misfit.get()),
        "{what}: misfit {}",
        posterior.misfit.get()
    );
    for (_, label, p) in &posterior.places {
        assert!(
            (0.0..=1.0 + 1e-9).contains(&p.get()),
            "{what}: {label} {}",
            p.get()
        );
    }
}

#[test]
fn equal_loudspeakers_that_no_reading_tells_apart_are_one_hint_with_places() {
    // 7 x 6 W and one of them on 12 W: 48 W, 208 ohm and a little cable. The meter is known to
    // 0.6 % and the type to 2 %, as on a site where much has been read.
    let figures = Figures::default();
    let shared = Shared::new(
        vec![Latent::Meter(Meter::default()), Latent::Type("bowl".into())],
        vec![-0.005, 0.0],
        vec![0.006 * 0.006, 0.0, 0.0, 0.02 * 0.02],
    );
    let reading = Reading::at_rack(ohm(208.0), Ohm(1.0), Fraction(0.05), &figures);
    let got = Prepared::new(&seven(), &figures, false).posterior(&Evidence::of(reading), &shared);
    let hint = &got.hints[0];
    assert_eq!(hint.fault, FaultKind::WrongTap);
    assert_eq!(hint.places.len(), 7);
    let words = "one tapped 12 W instead of 6 W: LS-1 to LS-7 alike, ";
    assert!(hint.text.starts_with(words), "{}", hint.text);
    let figure = linewright::quantity::show::probability(hint.places[3].2);
    assert_eq!(hint.text, format!("{words}{figure} each"));
    sound(&got, "208 ohm");
}

#[test]
fn a_break_that_only_one_place_explains_is_said_with_it() {
    // Three loudspeakers of 6 W before a break: 18 W, 556 ohm.
    let mut plan = seven();
    for at in [0, 1, 2] {
        plan.nodes[at].is = loudspeaker(6.0, &[6.0]);
    }
    plan.nodes[3].is = loudspeaker(30.0, &[30.0]);
    let got = read(&plan, ohm(556.0), 1.0);
    assert_eq!(got.hints[0].fault, FaultKind::LineOpen);
    assert_eq!(got.hints[0].text, "cable broken before LS-4");
    let (_, label, p) = &got.places[3];
    assert!(&**label == "LS-4" && p.get() > got.hints[0].probability.get());
}

#[test]
fn readings_of_any_size_on_lines_of_any_size_make_numbers_and_no_panic() {
    let one = line(100.0, seven().nodes[..1].to_vec());
    let side_by_side = {
        let mut plan = seven();
        for stand in &mut plan.nodes {
            stand.run = Some(linewright::quantity::Metre(0.0));
        }
        plan
    };
    let unknown = {
        let mut plan = seven();
        for stand in &mut plan.nodes {
            stand.run = None;
        }
        plan
    };
    let far = {
        let mut plan = seven();
        for stand in &mut plan.nodes[..2] {
            stand.run = Some(linewright::quantity::Metre(5000.0));
        }
        plan
    };
    let boxes = {
        let mut plan = seven();
        for stand in &mut plan.nodes {
            stand.is = NodeIs::Junction;
        }
        plan
    };
    let nothing = line(100.0, Vec::<NodePlan>::new());
    let figures = Figures::default();
    for (name, plan) in [
        ("one", one),
        ("side by side", side_by_side),
        ("unknown lengths", unknown),
        ("5 km runs", far),
        ("joint boxes", boxes),
        ("nothing", nothing),
    ] {
        let prepared = Prepared::new(&plan, &figures, false);
        for value in (-3..=9)
            .map(|e| ohm(10f64.powi(e)))
            .chain([Value::Open, Value::Short])
        {
            let reading = Reading::at_rack(value, Ohm(0.001), Fraction(0.05), &figures);
            let got = prepared.posterior(&Evidence::of(reading), &Shared::default());
            sound(&got, &format!("{name}, {value:?}"));
        }
        sound(
            &prepared.posterior(&Evidence::default(), &Shared::default()),
            name,
        );
    }
}

#[test]
fn a_line_of_three_hundred_loudspeakers_is_diagnosed_too() {
    let stand = |k: usize| {
        let is = loudspeaker(6.0, &[6.0]);
        let run = if k.is_multiple_of(100) { 5000.0 } else { 6.0 };
        let from = k.checked_sub(1);
        node(&format!("LS-{k}"), from, run, standard("4 mm2"), is)
    };
    let plan = line(100.0, (0..300).map(stand).collect());
    let figures = Figures::default();
    let prepared = Prepared::new(&plan, &figures, false);
    // Its nine million pairs are reckoned anew for each reading.
    let reading = Reading::at_rack(ohm(60.0), Ohm(1.0), Fraction(0.05), &figures);
    let got = prepared.posterior(&Evidence::of(reading), &Shared::default());
    sound(&got, "300");
    assert!(!got.sure(), "{:?}", got.hints[0]);
}

#[test]
fn a_line_that_carries_nothing_and_reads_open_has_nothing_wrong() {
    let got = read(&line(100.0, Vec::<NodePlan>::new()), Value::Open, 0.0);
    assert_eq!(got.hints.len(), 1);
    assert_eq!(got.hints[0].fault, FaultKind::None);
    assert!(!got.fits_nothing());
}
