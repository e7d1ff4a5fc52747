//! Whether probabilities mean what they say: buildings drawn from the model and from worlds unlike
//! it, one reading a line, the shared factors learned from the whole building.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/learning.rs"]
mod learning;

use learning::learned;
use linewright::diagnosis::{Evidence, FaultKind, Posterior, Prepared};
use linewright::drawer::{Building, DrawnLine, Recipe, Unlike};
use linewright::quantity::Fraction;
use linewright::site::{Figure, Figures};

/// A line's posterior beside the truth.
struct Held {
    posterior: Posterior,
    truth: FaultKind,
    places: Vec<String>,
}

/// Draws one building, reads every line once, learns the factors, weighs each line with those
/// that the others tell.
fn building(recipe: &Recipe, seed: u64) -> Vec<Held> {
    let mut building = Building::draw(recipe, seed);
    let figures = &recipe.figures;
    let readings: Vec<_> = (0..recipe.lines)
        .map(|at| building.rack_reading(at).unwrap())
        .collect();
    let prepared: Vec<Prepared> = building
        .lines()
        .iter()
        .map(|line| Prepared::new(&line.plan, figures, false))
        .collect();
    let learned = learned(&prepared, &readings, figures);
    let lines = building.lines().iter().zip(prepared).zip(readings);
    lines
        .enumerate()
        .map(|(at, ((line, prepared), reading))| Held {
            posterior: prepared.posterior(&Evidence::of(reading), &learned.without(at)),
            truth: by_the_schedule(line),
            places: line.truth.places().into_iter().map(|it| it.0).collect(),
        })
        .collect()
}

/// The class that is right for who has this schedule: a loudspeaker that it lacks is one not on
/// the list.
fn by_the_schedule(line: &DrawnLine) -> FaultKind {
    match (line.lacks, line.truth.kind()) {
        (true, FaultKind::None) => FaultKind::UnlistedLoad,
        (true, _) => FaultKind::TwoFaults,
        (false, kind) => kind,
    }
}

/// Buildings of many seeds, on both halves of the machine.
fn buildings(recipe: &Recipe, seeds: std::ops::Range<u64>) -> Vec<Held> {
    let middle = seeds.start.midpoint(seeds.end);
    let drawn = |seeds: std::ops::Range<u64>| {
        seeds
            .flat_map(|seed| building(recipe, seed))
            .collect::<Vec<_>>()
    };
    std::thread::scope(|scope| {
        let second = scope.spawn(|| drawn(middle..seeds.end));
        let mut out = drawn(seeds.start..middle);
        out.extend(second.join().unwrap());
        out
    })
}

/// Lines of one to five loudspeakers, so that thousands of them are weighed within the time of a test.
fn small() -> Recipe {
    Recipe {
        lines: 50,
        loudspeakers: (1, 5),
        ..Recipe::default()
    }
}

/// Sums of one tenth of probabilities: what came true against what was said.
#[derive(Clone, Copy, Default)]
struct Tenth {
    said: f64,
    came_true: f64,
    variance: f64,
    count: f64,
}

impl Tenth {
    fn note(&mut self, p: f64, came_true: bool) {
        self.said += p;
        self.came_true += f64::from(u8::from(came_true));
        self.variance += p * (1.0 - p);
        self.count += 1.0;
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn tenth(p: f64) -> usize {
    ((10.0 * p) as usize).min(9)
}

/// In every tenth as many came true as were said to, within three standard errors.
#[track_caller]
fn calibrated(tenths: &[Tenth; 10], what: &str) {
    let mut table = String::new();
    for (at, it) in tenths.iter().enumerate() {
        table += &format!(
            "0.{at}: {} hints, said {:.3}, came true {:.3}, error {:.3}\n",
            it.count,
            it.said / it.count,
            it.came_true / it.count,
            it.variance.sqrt() / it.count
        );
    }
    for (at, it) in tenths.iter().enumerate() {
        assert!(it.count >= 20.0, "{what}: too few in tenth {at}\n{table}");
        let off = (it.came_true - it.said).abs();
        assert!(
            off <= 3.0 * it.variance.sqrt(),
            "{what}: tenth {at}\n{table}"
        );
    }
}

/// Classes and places in tenths.
fn tenths(held: &[Held]) -> [[Tenth; 10]; 2] {
    let (mut classes, mut places) = ([Tenth::default(); 10], [Tenth::default(); 10]);
    for it in held {
        for hint in &it.posterior.hints {
            let p = hint.probability.get();
            classes[tenth(p)].note(p, hint.fault == it.truth);
        }
        for (id, _, p) in &it.posterior.places {
            let there = it.places.iter().any(|place| place == id.as_str());
            places[tenth(p.get())].note(p.get(), there);
        }
    }
    [classes, places]
}

fn faulty(held: &[Held]) -> usize {
    held.iter().filter(|it| it.truth != FaultKind::None).count()
}

#[test]
fn in_every_tenth_as_many_hints_are_right_as_said_to_be_over_two_thousand_lines() {
    // Faults as often as the default rates make them: about one line in six has one.
    let held = buildings(&small(), 100..140);
    assert_eq!(held.len(), 2000);
    let faulty = faulty(&held);
    assert!((200..600).contains(&faulty), "{faulty} are faulty");
    let [classes, _] = tenths(&held);
    calibrated(&classes, "classes");
}

#[test]
fn so_they_are_in_a_building_with_thrice_the_faults_and_for_places_too() {
    // The rates are the site's to change; the program reckons with the same.
    let rates = Figure::ALL.iter().copied().filter(|figure| {
        let name = figure.row().name;
        FaultKind::ALL
            .iter()
            .any(|kind| name == format!("rate.{kind}"))
    });
    let recipe = Recipe {
        figures: Figures::with(rates.map(|figure| (figure, 3.0 * figure.row().default))),
        ..small()
    };
    let held = buildings(&recipe, 300..340);
    let faulty = faulty(&held);
    assert!((700..1200).contains(&faulty), "{faulty} are faulty");
    let [classes, places] = tenths(&held);
    calibrated(&classes, "classes");
    calibrated(&places, "places");
}

/// How the leading hint fares on lines of which half are faulty.
#[derive(Debug)]
struct Leads {
    /// Share of lines on which it is right.
    right: f64,
    /// What it says of itself on average.
    says: f64,
    /// Share of faulty lines with a place on which the likeliest place is one of theirs.
    place: f64,
}

/// Ten lines a building, 400 in all: types are learned, but not sharply.
fn leads(unlike: Unlike) -> Leads {
    let recipe = Recipe {
        lines: 10,
        loudspeakers: (2, 5),
        faults: Some([0.5, 0.4, 0.1]),
        unlike,
        ..Recipe::default()
    };
    let held = buildings(&recipe, 500..540);
    let n = f64::from(u32::try_from(held.len()).unwrap());
    let (mut right, mut says, mut place, mut placed) = (0.0, 0.0, 0.0, 0.0);
    for it in held {
        let first = &it.posterior.hints[0];
        right += f64::from(u8::from(first.fault == it.truth)) / n;
        says += first.probability.get() / n;
        let places = it.posterior.places.iter();
        let likeliest = places
            .max_by(|a, b| a.2.get().total_cmp(&b.2.get()))
            .unwrap();
        if !it.places.is_empty() {
            placed += 1.0;
            place += f64::from(u8::from(it.places.contains(&likeliest.0.0)));
        }
    }
    Leads {
        right,
        says,
        place: place / placed,
    }
}

#[test]
fn in_worlds_unlike_the_model_the_leading_hint_degrades_gently_and_says_less() {
    let plain = Unlike::default();
    let like = leads(plain);
    assert!(like.right > 0.75 && like.place > 0.35, "{like:?}");
    let worlds = [
        // Loads of up to 34 degrees either way.
        (
            "phase",
            Unlike {
                phase: 0.6,
                ..plain
            },
        ),
        (
            "types 12 % off",
            Unlike {
                types: Fraction(0.12),
                ..plain
            },
        ),
        (
            "tolerances doubled",
            Unlike {
                tolerances: 2.0,
                ..plain
            },
        ),
        // On one line in ten a loudspeaker stands that is not in the schedule.
        (
            "missing from the schedule",
            Unlike {
                missing: Fraction(0.1),
                ..plain
            },
        ),
    ];
    for (name, unlike) in worlds {
        let got = leads(unlike);
        assert!(got.right > like.right - 0.12, "{name}: {got:?}, {like:?}");
        assert!(got.place > like.place - 0.12, "{name}: {got:?}, {like:?}");
        assert!(got.says < like.says - 0.003, "{name}: {got:?}, {like:?}");
    }
    // On half the lines a name swapped with its neighbour's: the class stays, the place is next door.
    let swapped = Unlike {
        swapped: Fraction(0.5),
        ..plain
    };
    let got = leads(swapped);
    assert_eq!(got.right, like.right);
    assert!(got.place > like.place - 0.15, "{got:?}, {like:?}");
}
