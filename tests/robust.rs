//! Whatever is read on whatever line: no panic, nothing that is not a number, probabilities that
//! add to one. Sites are drawn wild, far outside of what anyone builds.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::diagnosis::{
    Answer, Evidence, KnownResistor, Meter, Posterior, Prepared, Reading, SiteLine, SiteTerm,
    Surveyed, Test, Walk, learn, site_hints,
};
use linewright::drawer::Random;
use linewright::quantity::{
    Farad, Fraction, Metre, MicroHenryPerMetre, Ohm, PicoFaradPerMetre, Value, Volt, Watt,
};
use linewright::site::{CableMake, Conductor, Figures, Heard, LinePlan, NodeIs, NodePlan, TypeId};
use std::sync::atomic::{AtomicU64, Ordering};

/// What a line to be drawn is like.
#[derive(Clone, Copy, Debug)]
struct Wild {
    loudspeakers: usize,
    /// No boxes, devices, controls, spurs, runs of nothing or of any length among them.
    plain: bool,
    /// Runs of 5 km among them: shorts along them are a thousand faults more.
    long: bool,
}

fn log_even(random: &mut Random, low: f64, high: f64) -> f64 {
    random.between(low.ln(), high.ln()).exp()
}

fn run(random: &mut Random, long: bool) -> Option<Metre> {
    let longest = if long { 5000.0 } else { 300.0 };
    match random.whole(0, 9) {
        0 => Some(Metre(0.0)),
        1 => Some(Metre(longest)),
        2 => None,
        3 => Some(Metre(log_even(random, 0.01, longest))),
        _ => Some(Metre(random.between(1.0, 60.0).round())),
    }
}

fn loudspeaker(random: &mut Random) -> NodeIs {
    let tap = *random.one_of(&[0.1, 0.75, 1.5, 6.0, 30.0, 500.0]).unwrap();
    let taps = match random.whole(0, 2) {
        0 => None,
        1 => Some(vec![Watt(tap)]),
        _ => Some([2.0, 1.0, 0.5].map(|times| Watt(tap * times)).to_vec()),
    };
    NodeIs::Loudspeaker {
        tap: Watt(tap),
        taps,
        of: TypeId(format!("type {}", random.whole(1, 3))),
        dc_block: random.happens(0.2),
    }
}

fn device(random: &mut Random) -> NodeIs {
    let ohm = [None, Some(0.0), Some(1e-3), Some(22_000.0), Some(1e9)];
    let farad = [None, Some(1e-12), Some(1e-6), Some(1.0)];
    NodeIs::Device {
        ohm: random.one_of(&ohm).unwrap().map(Ohm),
        farad: random.one_of(&farad).unwrap().map(Farad),
    }
}

fn line(random: &mut Random, of: Wild, at: usize) -> LinePlan {
    let volts = *random.one_of(&[25.0, 50.0, 70.7, 100.0, 200.0]).unwrap();
    let label = format!("W-{at}");
    let mut nodes: Vec<NodePlan> = Vec::new();
    let (mut speakers, mut last) = (0, None);
    while speakers < of.loudspeakers {
        let kind = if of.plain { 9 } else { random.whole(0, 9) };
        let is = match kind {
            0 => NodeIs::Junction,
            1 => device(random),
            _ => loudspeaker(random),
        };
        speakers += usize::from(matches!(is, NodeIs::Loudspeaker { .. }));
        let any = nodes.len().checked_sub(1).map(|last| random.whole(0, last));
        let label = format!("N-{}", nodes.len() + 1);
        let size = *random.one_of(&[0.25, 1.5, 16.0]).unwrap();
        nodes.push(NodePlan {
            id: format!("W-{at}/{label}").into(),
            label,
            from: if !of.plain && random.happens(0.2) {
                any.filter(|_| random.happens(0.9))
            } else {
                last
            },
            run: if of.plain {
                Some(Metre(random.between(2.0, 12.0).round()))
            } else {
                run(random, of.long)
            },
            cable: "cable".to_owned(),
            make: CableMake {
                r20: Conductor::Area(size).r20(),
                l: MicroHenryPerMetre(*random.one_of(&[0.0, 0.7, 2.0]).unwrap()),
                c: PicoFaradPerMetre(*random.one_of(&[0.0, 100.0, 1000.0]).unwrap()),
            },
            control: !of.plain && random.happens(0.04),
            is,
        });
        last = Some(nodes.len() - 1);
    }
    LinePlan {
        id: label.as_str().into(),
        label,
        output: 0,
        zone: "zone".into(),
        zone_label: "zone".to_owned(),
        volts: Volt(volts),
        insulation_asked: false,
        nodes,
    }
}

fn value(random: &mut Random) -> (Value, Ohm) {
    let ohm = match random.whole(0, 9) {
        0 => return (Value::Open, Ohm(0.0)),
        1 => return (Value::Short, Ohm(0.0)),
        2 => 1e-3,
        3 => 1e9,
        4..6 => log_even(random, 30.0, 3000.0),
        _ => log_even(random, 1e-3, 1e9),
    };
    // As typed: to one, two or three digits, or a figure out of a file with no step at all.
    let digits = *random.one_of(&[0.0, 0.01, 0.1, 1.0]).unwrap();
    (Value::Ohm(Ohm(ohm)), Ohm(ohm * digits))
}

fn reading(random: &mut Random, test: Test) -> Reading {
    let (value, step) = value(random);
    Reading {
        test,
        value,
        step,
        meter: Meter {
            instrument: format!("meter {}", random.whole(1, 2)).into(),
            visit: "visit".into(),
            hand: None,
        },
        accuracy: Fraction(*random.one_of(&[0.0, 0.05, 0.5]).unwrap()),
        range: Ohm(*random.one_of(&[2000.0, 1e5, 1e9]).unwrap()),
    }
}

/// A rack reading, and what more there may be.
fn evidence(random: &mut Random, nodes: usize) -> Evidence {
    let mut evidence = Evidence::of(reading(random, Test::Rack));
    for _ in 0..random.whole(0, 4) {
        let at = random.whole(0, nodes - 1);
        let test = match random.whole(0, 6) {
            0 => Test::Rack,
            1 => Test::Dc,
            2 => Test::Near(at),
            3 => Test::Far(at),
            _ => {
                let heard = [
                    Heard::Heard,
                    Heard::Silent,
                    Heard::Quiet,
                    Heard::Loud,
                    Heard::Distorted,
                    Heard::Noisy,
                    Heard::Reversed,
                ];
                evidence.answers.push(Answer {
                    at,
                    heard: *random.one_of(&heard).unwrap(),
                    source: Ohm(*random.one_of(&[0.0, 100.0]).unwrap()),
                });
                continue;
            }
        };
        evidence.readings.push(reading(random, test));
    }
    evidence
}

#[track_caller]
fn probability(p: f64, what: &str, context: &str) {
    // A sum of many may pass one by its rounding.
    assert!(
        p.is_finite() && (0.0..=1.0 + 1e-9).contains(&p),
        "{what} is {p}: {context}"
    );
}

#[track_caller]
fn sound(posterior: &Posterior, context: &str) {
    probability(posterior.misfit.get(), "misfit", context);
    probability(posterior.other_voltage.get(), "other voltage", context);
    for (_, label, p) in &posterior.places {
        probability(p.get(), label, context);
    }
    let mut sum = 0.0;
    for hint in &posterior.hints {
        probability(hint.probability.get(), hint.fault.as_str(), context);
        sum += hint.probability.get();
        assert!(!hint.text.contains("NaN"), "{}: {context}", hint.text);
    }
    // Thirteen classes, those under 1e-7 left out.
    assert!((sum - 1.0).abs() < 2e-6, "classes add to {sum}: {context}");
}

/// One line under several readings, the next test asked for after the first so many.
fn weigh(prepared: &Prepared, random: &mut Random, readings: usize, asks: usize, seed: u64) {
    let shared = linewright::diagnosis::Shared::default();
    let nodes = prepared.sound().network().len();
    for round in 0..readings {
        let evidence = evidence(random, nodes);
        let context = format!("seed {seed}, round {round}, {evidence:?}");
        sound(&prepared.posterior(&evidence, &shared), &context);
        if round >= asks {
            continue;
        }
        let at = random.happens(0.5).then(|| random.whole(0, nodes - 1));
        let walk = Walk::after(&evidence, at, prepared.figures());
        let next = prepared.next(&evidence, &shared, &walk);
        assert!(!next.is_empty(), "{context}");
        for it in next {
            let (gain, minutes) = (it.gain_bits, it.minutes.get());
            let is = format!(
                "{:?} at {:?}: {gain} bits, {minutes} min: {context}",
                it.test, it.at
            );
            // No test tells less than nothing; sums over a table of answers may by their rounding.
            assert!(gain.is_finite() && gain > -0.01 && gain < 20.0, "{is}");
            assert!(minutes.is_finite() && minutes > 0.0, "{is}");
            assert!(it.per_minute().is_finite(), "{is}");
            assert!(!it.text.contains("NaN"), "{}: {is}", it.text);
            for answer in it.answers {
                assert!(!format!("{answer:?}").contains("NaN"), "{answer:?}: {is}");
            }
        }
    }
}

/// A site of one to four lines: factors learned, mistakes of the whole site looked for, each line
/// weighed.
fn site(seed: u64, most: usize) {
    let mut random = Random::new(seed);
    let figures = Figures::default();
    let lines: Vec<LinePlan> = (0..random.whole(1, 4))
        .map(|at| {
            let of = Wild {
                loudspeakers: random.whole(1, most),
                plain: false,
                // One site in ten.
                long: seed % 10 == 9,
            };
            line(&mut random, of, at)
        })
        .collect();
    let prepared: Vec<Prepared> = lines
        .iter()
        .map(|plan| Prepared::new(plan, &figures, random.happens(0.3)))
        .collect();
    let readings: Vec<Reading> = lines
        .iter()
        .map(|_| reading(&mut random, Test::Rack))
        .collect();
    let pairs = || prepared.iter().zip(&readings);
    let terms: Vec<Option<SiteTerm>> = pairs().map(|(it, read)| SiteTerm::of(it, read)).collect();
    let terms: Vec<Option<&SiteTerm>> = terms.iter().map(Option::as_ref).collect();
    let known = KnownResistor {
        meter: readings[0].meter.clone(),
        accuracy: Fraction(0.05),
        known: Ohm(log_even(&mut random, 1e-3, 1e9)),
        read: Ohm(log_even(&mut random, 1e-3, 1e9)),
        step: Ohm(0.0),
    };
    let checks = if random.happens(0.3) {
        vec![known]
    } else {
        Vec::new()
    };
    let learned = learn(&terms, &checks, &figures);
    let read: Vec<Option<SiteLine>> = pairs().map(|(it, read)| SiteLine::of(it, read)).collect();
    let surveyed: Vec<Surveyed<'_>> = lines
        .iter()
        .zip(&read)
        .enumerate()
        .map(|(turn, (plan, read))| Surveyed {
            plan,
            read: read.as_ref(),
            turn,
        })
        .collect();
    for hint in site_hints(&surveyed, &learned.shared(), &checks, &figures, false) {
        probability(
            hint.probability.get(),
            hint.fault.as_str(),
            &format!("seed {seed}"),
        );
        assert!(
            !format!("{hint:?}").contains("NaN"),
            "seed {seed}: {hint:?}"
        );
    }
    for (at, (prepared, read)) in pairs().enumerate() {
        let posterior = prepared.posterior(&Evidence::of(read.clone()), &learned.without(at));
        sound(
            &posterior,
            &format!("seed {seed}, learned, line {at}, {read:?}"),
        );
        weigh(prepared, &mut random, 6, 1, seed);
    }
}

/// All seeds, on two threads.
fn sites(seeds: std::ops::Range<u64>, most: usize) {
    let next = AtomicU64::new(seeds.start);
    let work = || {
        loop {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= seeds.end {
                break;
            }
            site(seed, most);
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(work);
        work();
    });
}

#[test]
fn any_reading_of_any_small_line_leaves_probabilities() {
    sites(0..9, 3);
}

#[test]
fn any_reading_of_one_loudspeaker_at_the_end_of_five_kilometres_leaves_probabilities() {
    let mut random = Random::new(1);
    let of = Wild {
        loudspeakers: 1,
        plain: true,
        long: true,
    };
    let mut plan = line(&mut random, of, 0);
    plan.nodes[0].run = Some(Metre(5000.0));
    let prepared = Prepared::new(&plan, &Figures::default(), false);
    weigh(&prepared, &mut random, 5, 1, 1);
}

#[test]
#[ignore = "a thousand sites: long"]
fn any_reading_on_a_thousand_sites_leaves_probabilities() {
    sites(1000..2000, 6);
}

/// One reading at a time; several taken together are below.
#[test]
fn one_reading_of_a_line_of_three_hundred_loudspeakers_leaves_probabilities() {
    let mut random = Random::new(3);
    let of = Wild {
        loudspeakers: 300,
        plain: false,
        long: false,
    };
    let plan = line(&mut random, of, 0);
    let prepared = Prepared::new(&plan, &Figures::default(), false);
    let shared = linewright::diagnosis::Shared::default();
    for _ in 0..3 {
        let evidence = Evidence::of(reading(&mut random, Test::Rack));
        sound(
            &prepared.posterior(&evidence, &shared),
            &format!("{evidence:?}"),
        );
    }
}

#[test]
#[ignore = "lines of three hundred: long"]
fn a_line_of_three_hundred_loudspeakers_leaves_probabilities_too() {
    for (seed, plain) in [(1, true), (2, false)] {
        let mut random = Random::new(seed);
        let of = Wild {
            loudspeakers: 300,
            plain,
            long: false,
        };
        let plan = line(&mut random, of, 0);
        let prepared = Prepared::new(&plan, &Figures::default(), false);
        weigh(&prepared, &mut random, 3, 1, seed);
    }
}
