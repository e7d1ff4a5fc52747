//! A building of 60 lines, one reading each, against the exact posterior of the same model, which
//! two programs written apart agree on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;
#[path = "common/learning.rs"]
mod learning;

use common::building::{Posteriors, Worst, plans, rows};
use learning::learned;
use linewright::diagnosis::{Evidence, Latent, Learned, Meter, Prepared, Reading};
use linewright::quantity::{DecimalSign, Fraction, reading};
use linewright::site::Figures;
use linewright::verdict::{Factor, Limits, judge};
use serde_json::Value;
use std::collections::HashMap;

struct Site {
    prepared: Vec<Prepared>,
    readings: Vec<Reading>,
    labels: Vec<String>,
    learned: Learned,
    figures: Figures,
}

fn site() -> Site {
    let figures = Figures::default();
    let plans = plans(include_str!("data/cases/practice/schedule.csv"));
    let readings: HashMap<String, Reading> = rows(include_str!("data/cases/practice/readings.csv"))
        .into_iter()
        .map(|row| {
            let typed = reading(&row["value"], DecimalSign::Either).unwrap();
            let it = Reading::at_rack(typed.value, typed.step, Fraction(0.05), &figures);
            (row["line"].clone(), it)
        })
        .collect();
    let labels: Vec<String> = plans.iter().map(|plan| plan.label.clone()).collect();
    let readings: Vec<Reading> = labels.iter().map(|label| readings[label].clone()).collect();
    let prepared: Vec<Prepared> = plans
        .iter()
        .map(|plan| Prepared::new(plan, &figures, false))
        .collect();
    let learned = learned(&prepared, &readings, &figures);
    Site {
        prepared,
        readings,
        labels,
        learned,
        figures,
    }
}

#[test]
fn the_practice_building_has_its_exact_posterior() {
    let site = site();
    let expected: Value =
        serde_json::from_str(include_str!("data/cases/practice/posterior.json")).unwrap();
    let shared = site.learned.shared();

    let (mut means, mut spreads) = (Worst::default(), Worst::default());
    let meter = Latent::Meter(Meter::default());
    let types = expected["latents"]["types"].as_object().unwrap();
    let latents = types
        .iter()
        .map(|(name, it)| (Latent::Type(name.as_str().into()), it))
        .chain([(meter.clone(), &expected["latents"]["g"])]);
    for (latent, want) in latents {
        let (mean, variance) = shared.factor(&latent).unwrap();
        let (ln_mean, ln_sd) = (
            want["ln_mean"].as_f64().unwrap(),
            want["ln_sd"].as_f64().unwrap(),
        );
        means.note((mean - ln_mean).abs(), format!("{latent:?}"));
        spreads.note((variance.sqrt() / ln_sd - 1.0).abs(), format!("{latent:?}"));
    }
    means.check(6, 2e-4, "means of the shared factors");
    spreads.check(6, 0.005, "spreads of the shared factors");

    let mut posteriors = Posteriors::default();
    let mut outs = Worst::default();
    let mut ohms = Worst::default();
    let limits = Limits::of(&site.figures);
    let (ln_mean, ln_var) = shared.factor(&meter).unwrap();
    for (at, want) in expected["lines"].as_array().unwrap().iter().enumerate() {
        let label = &site.labels[at];
        assert_eq!(want["line"].as_str().unwrap(), label);
        let (prepared, reading) = (&site.prepared[at], &site.readings[at]);
        let got = prepared.posterior(&Evidence::of(reading.clone()), &site.learned.without(at));
        let sum: f64 = got.hints.iter().map(|hint| hint.probability.get()).sum();
        assert!((sum - 1.0).abs() < 1e-5, "{label}: classes add up to {sum}");
        posteriors.note(label, &got, want);

        let value = prepared.expected().unwrap();
        let want_ohms = want["expected_ohms"].as_f64().unwrap();
        ohms.note((value.value.get() / want_ohms - 1.0).abs(), label.clone());
        let factor = Factor { ln_mean, ln_var };
        let verdict = judge(
            Some(value.value),
            reading.value,
            reading.step,
            factor,
            &limits,
        );
        assert_eq!(
            verdict.word.as_str(),
            want["verdict"].as_str().unwrap(),
            "{label}"
        );
        outs.note(
            (verdict.p_out.get() - want["p_out"].as_f64().unwrap()).abs(),
            label.clone(),
        );
        match (verdict.deviation, want["deviation"].as_f64()) {
            (Some(got), Some(want)) => {
                assert!(
                    (got.get() - want).abs() <= 1e-5 * (1.0 + want.abs()),
                    "{label}"
                );
            }
            (None, None) => {}
            other => panic!("{label}: {other:?}"),
        }
    }
    ohms.check(60, 1e-7, "expected ohms");
    outs.check(60, 5e-4, "p out");
    posteriors.check([60, 600, 600], 5e-4);
}
