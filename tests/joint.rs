//! Twelve lines of a building with several readings and answers each, against the exact posterior
//! of the same model, which two programs written apart agree on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::building::{Posteriors, Worst, plans, rows};
use linewright::diagnosis::{
    Answer, Evidence, KnownResistor, Learned, Meter, NextKind, Prepared, Reading, SiteTerm, Test,
    Walk, learn,
};
use linewright::quantity::{DecimalSign, Fraction, Ohm, reading};
use linewright::site::{Figures, Heard, LinePlan};
use serde_json::Value;

struct Building {
    plans: Vec<LinePlan>,
    evidence: Vec<Evidence>,
    /// Where the last reading of each line was made; none is the rack.
    last: Vec<Option<usize>>,
    learned: Learned,
    expected: Value,
}

fn building() -> Building {
    let figures = Figures::default();
    let plans = plans(include_str!("data/cases/joint/schedule.csv"));
    let mut evidence = vec![Evidence::default(); plans.len()];
    let mut last = vec![None; plans.len()];
    let mut checks = Vec::new();
    for row in rows(include_str!("data/cases/joint/readings.csv")) {
        let typed = reading(&row["value"], DecimalSign::Either);
        if row["kind"] == "check" {
            let typed = typed.unwrap();
            let linewright::quantity::Value::Ohm(read) = typed.value else {
                panic!("a figure")
            };
            checks.push(KnownResistor {
                meter: Meter::default(),
                accuracy: Fraction(0.05),
                known: Ohm(row["known_ohms"].parse().unwrap()),
                read,
                step: typed.step,
            });
            continue;
        }
        let line = plans.iter().position(|it| it.label == row["line"]).unwrap();
        let mut nodes = plans[line].nodes.iter();
        let at = nodes.position(|it| it.label == row["at"]);
        last[line] = at;
        if row["kind"] == "listen" {
            evidence[line].answers.push(Answer {
                at: at.unwrap(),
                heard: match row["value"].as_str() {
                    "heard" => Heard::Heard,
                    "silent" => Heard::Silent,
                    "quiet" => Heard::Quiet,
                    "loud" => Heard::Loud,
                    other => panic!("{other}?"),
                },
                source: Ohm(100.0),
            });
            continue;
        }
        let typed = typed.unwrap();
        let mut it = Reading::at_rack(typed.value, typed.step, Fraction(0.05), &figures);
        it.test = match (row["kind"].as_str(), row["side"].as_str()) {
            ("impedance", "") => Test::Rack,
            ("impedance", "near") => Test::Near(at.unwrap()),
            ("impedance", "far") => Test::Far(at.unwrap()),
            ("dc", _) => Test::Dc,
            other => panic!("{other:?}?"),
        };
        evidence[line].readings.push(it);
    }
    let terms: Vec<Option<SiteTerm>> = plans
        .iter()
        .zip(&evidence)
        .map(|(plan, evidence)| {
            let prepared = Prepared::new(plan, &figures, false);
            SiteTerm::of(&prepared, &evidence.readings[evidence.latest_rack()?])
        })
        .collect();
    let terms: Vec<Option<&SiteTerm>> = terms.iter().map(Option::as_ref).collect();
    Building {
        learned: learn(&terms, &checks, &figures),
        plans,
        evidence,
        last,
        expected: serde_json::from_str(include_str!("data/cases/joint/posterior.json")).unwrap(),
    }
}

impl Building {
    /// Each line that is listed: its place, itself made ready, and what is expected.
    fn each(&self, mut visit: impl FnMut(usize, &Prepared, &Value)) {
        for want in self.expected["lines"].as_array().unwrap() {
            let label = want["line"].as_str().unwrap();
            let at = self.plans.iter().position(|it| it.label == label).unwrap();
            let prepared = Prepared::new(&self.plans[at], &Figures::default(), false);
            visit(at, &prepared, want);
        }
    }
}

#[test]
fn readings_and_answers_together_have_their_exact_posterior() {
    let building = building();
    let mut posteriors = Posteriors::default();
    building.each(|at, prepared, want| {
        let label = &building.plans[at].label;
        let shared = building.learned.without(at);
        let got = prepared.posterior(&building.evidence[at], &shared);
        posteriors.note(label, &got, want);
        assert_eq!(got.sure(), want["sure"].as_bool().unwrap(), "{label}");
    });
    posteriors.check([12, 150, 180], 1e-3);
}

#[test]
fn the_next_test_is_worth_what_is_listed_and_the_first_is_the_best() {
    let building = building();
    let mut gains = Worst::default();
    let mut rates = Worst::default();
    building.each(|at, prepared, want| {
        let Some(listed) = want.get("next") else {
            return;
        };
        let label = &building.plans[at].label;
        let evidence = &building.evidence[at];
        let shared = building.learned.without(at);
        let walk = Walk::after(evidence, building.last[at], &Figures::default());
        let got = prepared.next(evidence, &shared, &walk);
        let kind = match listed["test"].as_str().unwrap() {
            "listen" => NextKind::Listen,
            "split" => NextKind::Split,
            other => panic!("{other}?"),
        };
        let nodes = &building.plans[at].nodes;
        let place = listed["at"].as_str().unwrap();
        let place = nodes.iter().position(|it| it.label == place);
        let same = got
            .iter()
            .find(|it| it.test == kind && it.at == place)
            .unwrap();
        let (gain, minutes) = (&listed["gain_bits"], &listed["minutes"]);
        let per_minute = listed["per_minute"].as_f64().unwrap();
        assert!(
            (same.minutes.get() - minutes.as_f64().unwrap()).abs() < 0.006,
            "{label}"
        );
        gains.note(
            (same.gain_bits - gain.as_f64().unwrap()).abs(),
            format!("{label} {place:?}"),
        );
        rates.note(
            (got[0].per_minute() / per_minute - 1.0).abs(),
            label.clone(),
        );
        assert!(!got[0].answers.is_empty() && !got[0].text.is_empty());
    });
    gains.check(6, 0.02, "gain of the listed test");
    rates.check(6, 0.03, "gain a minute of the first suggestion");
}

#[test]
fn any_readings_and_answers_on_a_short_line_make_numbers() {
    use linewright::quantity::Value;
    let figures = Figures::default();
    let mut plan = plans(include_str!("data/cases/joint/schedule.csv"))
        .into_iter()
        .find(|it| it.label == "L-006")
        .unwrap();
    let reading = |test, value| {
        let mut it = Reading::at_rack(value, Ohm(1.0), Fraction(0.05), &figures);
        it.test = test;
        it
    };
    let ohm = |it| Value::Ohm(Ohm(it));
    let (rack, near, far) = (Test::Rack, Test::Near(0), Test::Far(2));
    let cases: [Vec<(Test, Value)>; 6] = [
        vec![],
        vec![(rack, Value::Open)],
        vec![
            (rack, ohm(1e-3)),
            (near, Value::Open),
            (Test::Far(0), ohm(1e9)),
        ],
        vec![(Test::Dc, Value::Short), (far, Value::Open)],
        vec![(near, ohm(400.0)), (far, ohm(1e-3)), (far, ohm(1e9))],
        // A place that the line does not have counts for nothing.
        vec![(Test::Near(7), ohm(5.0)), (rack, ohm(70.0))],
    ];
    for control in [false, true] {
        plan.nodes[1].control = control;
        let prepared = Prepared::new(&plan, &figures, false);
        for (case, heard) in cases.iter().zip([None, Some(Heard::Silent)].iter().cycle()) {
            let readings = case.iter().map(|(test, value)| reading(*test, *value));
            let answers = heard.map(|heard| Answer {
                at: 1,
                heard,
                source: Ohm(0.0),
            });
            let evidence = Evidence {
                readings: readings.collect(),
                answers: answers.into_iter().collect(),
            };
            let got = prepared.posterior(&evidence, &Default::default());
            let sum: f64 = got.hints.iter().map(|hint| hint.probability.get()).sum();
            assert!((sum - 1.0).abs() < 1e-5, "{case:?}: {sum}");
            let walk = Walk::after(&evidence, Some(2), &figures);
            let next = prepared.next(&evidence, &Default::default(), &walk);
            assert!(next.iter().all(|it| it.gain_bits.is_finite()), "{case:?}");
            // No split again, no direct current where a control is.
            let dc = next.iter().any(|it| it.test == NextKind::Dc);
            let made = case.iter().any(|it| it.0 == Test::Dc);
            assert_eq!(dc, !control && !made);
            let splits = |at| {
                next.iter()
                    .any(|it| it.test == NextKind::Split && it.at == Some(at))
            };
            assert_eq!(splits(2), case.iter().all(|it| it.0 != far));
            assert!(splits(1));
        }
    }
}

#[test]
fn direct_current_says_nothing_of_a_line_with_a_level_control() {
    let figures = Figures::default();
    let mut plan = plans(include_str!("data/cases/joint/schedule.csv")).swap_remove(5);
    plan.nodes[1].control = true;
    let prepared = Prepared::new(&plan, &figures, false);
    let value = linewright::quantity::Value::Ohm(Ohm(70.0));
    let rack = Reading::at_rack(value, Ohm(1.0), Fraction(0.05), &figures);
    let mut direct = rack.clone();
    direct.test = Test::Dc;
    let mut evidence = Evidence::of(rack);
    let shared = Default::default();
    let without = prepared.posterior(&evidence, &shared);
    evidence.readings.push(direct);
    assert_eq!(prepared.posterior(&evidence, &shared), without);
}
