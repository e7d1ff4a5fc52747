//! A simulated engineer looks for the faults of drawn lines: by the program's first suggestion,
//! and by plain habits. All name the likeliest place of the same posterior in the end;
//! what differs is which tests were made and how long they took.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::diagnosis::{
    Answer, Evidence, FaultKind, Learned, Meter, NextKind, Posterior, Prepared, Reading, SiteTerm,
    Test, Walk, learn,
};
use linewright::drawer::{Ask, Building, Recipe};
use linewright::quantity::Ohm;
use linewright::site::{Figure, Figures, LinePlan};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Whoever needs more tests than this gives up and names the likeliest.
const MOST_TESTS: usize = 40;
/// So does whoever is promised fewer bits than this: what is left cannot be told apart, as a short
/// on either side of a joint.
const WORTH_A_TEST: f64 = 0.02;

/// Buildings of so many lines of so many loudspeakers, faults as often as the rates make them.
fn recipe(lines: usize, loudspeakers: (usize, usize)) -> Recipe {
    Recipe {
        lines,
        loudspeakers,
        ..Recipe::default()
    }
}

/// How an engineer goes about it.
#[derive(Clone, Copy, Debug)]
enum Habit {
    /// The program's first suggestion.
    Suggested,
    /// At every loudspeaker in cable order.
    Listen,
    /// The same, but stopping as soon as the program is sure.
    ListenUntilSure,
    /// Split in the middle of what may still be at fault, go on with the likelier side.
    Halve,
}

const HABITS: [Habit; 4] = [
    Habit::Suggested,
    Habit::Listen,
    Habit::ListenUntilSure,
    Habit::Halve,
];

/// One line, at work.
struct Job<'a> {
    building: Building,
    line: usize,
    plan: &'a LinePlan,
    prepared: &'a Prepared,
    learned: &'a Learned,
    recipe: &'a Recipe,
    figures: &'a Figures,
    evidence: Evidence,
    at: Option<usize>,
    minutes: f64,
    tests: usize,
}

impl Job<'_> {
    fn posterior(&self) -> Posterior {
        let shared = self.learned.without(self.line);
        self.prepared.posterior(&self.evidence, &shared)
    }

    /// Minutes along the cable to a place, and for the test itself.
    fn price(&self, test: NextKind, at: Option<usize>) -> f64 {
        let up = |mut node: Option<usize>| {
            let mut way = Vec::new();
            while let Some(at) = node {
                way.push(at);
                node = self.plan.nodes[at].from;
            }
            way
        };
        let (from, to) = (up(self.at), up(at));
        // Runs walked are those on one of the two ways to the rack, not on both.
        let walked = from.iter().filter(|it| !to.contains(it));
        let walked = walked.chain(to.iter().filter(|it| !from.contains(it)));
        let metres: f64 = walked
            .map(|it| self.plan.nodes[*it].run.unwrap().get())
            .sum();
        let figure = match test {
            NextKind::Reread => Figure::MinutesReread,
            NextKind::Dc => Figure::MinutesDc,
            NextKind::Listen => Figure::MinutesListen,
            NextKind::Split => Figure::MinutesSplit,
        };
        self.figures.get(figure) + self.figures.get(Figure::MinutesMetre) * metres
    }

    /// Makes a test, walking to it.
    fn make(&mut self, test: NextKind, at: Option<usize>) {
        self.minutes += self.price(test, at);
        self.at = at;
        self.tests += 1;
        match (test, at) {
            (NextKind::Reread, _) => self.read(Ask::Rack, Test::Rack),
            (NextKind::Dc, _) => self.read(Ask::Dc, Test::Dc),
            (NextKind::Split, at) => {
                let at = at.unwrap();
                self.read(Ask::Near(at), Test::Near(at));
                self.read(Ask::Far(at), Test::Far(at));
            }
            (NextKind::Listen, at) => {
                let at = at.unwrap();
                let id = &self.plan.nodes[at].id;
                let heard = self.building.listen(self.line, id).unwrap();
                self.evidence.answers.push(Answer {
                    at,
                    heard,
                    source: Ohm(self.figures.get(Figure::SourceOhm)),
                });
            }
        }
    }

    fn read(&mut self, ask: Ask, test: Test) {
        let shown = self.building.read(self.line, ask).unwrap();
        self.evidence.readings.push(Reading {
            test,
            value: shown.value,
            step: shown.step,
            meter: Meter::default(),
            accuracy: self.recipe.accuracy,
            range: Ohm(self.figures.get(Figure::RangeOhm)),
        });
    }

    fn follow(&mut self) -> Posterior {
        let shared = self.learned.without(self.line);
        loop {
            let posterior = self.posterior();
            if posterior.sure() || self.tests >= MOST_TESTS {
                return posterior;
            }
            let walk = Walk::after(&self.evidence, self.at, self.figures);
            let next = self.prepared.next(&self.evidence, &shared, &walk);
            let first = &next[0];
            if first.gain_bits < WORTH_A_TEST {
                return posterior;
            }
            let own = self.price(first.test, first.at);
            assert!((first.minutes.get() - own).abs() < 1e-9, "{first:?}: {own}");
            self.make(first.test, first.at);
        }
    }

    fn listen(&mut self, until_sure: bool) -> Posterior {
        let posterior = self.posterior();
        if posterior.sure() {
            // Nobody sets out for what the rack reading has settled.
            return posterior;
        }
        for at in 0..self.plan.nodes.len() {
            if self.plan.nodes[at].is_loudspeaker() {
                self.make(NextKind::Listen, Some(at));
            }
            if until_sure && self.posterior().sure() {
                break;
            }
        }
        self.posterior()
    }

    fn halve(&mut self) -> Posterior {
        let beyond = |mut node: usize, split: usize| loop {
            if node == split {
                return true;
            }
            match self.plan.nodes[node].from {
                Some(from) => node = from,
                None => return false,
            }
        };
        let nodes = self.plan.nodes.len();
        let far: Vec<Vec<bool>> = (0..nodes)
            .map(|split| (0..nodes).map(|node| beyond(node, split)).collect())
            .collect();
        let mut left: Vec<usize> = (0..nodes).collect();
        loop {
            let posterior = self.posterior();
            if posterior.sure() || left.len() <= 1 {
                return posterior;
            }
            let cut = |split: &usize| left.iter().filter(|it| far[*split][**it]).count();
            let middle = (0..nodes)
                .filter(|split| (1..left.len()).contains(&cut(split)))
                .min_by_key(|split| (2 * cut(split)).abs_diff(left.len()))
                .unwrap();
            self.make(NextKind::Split, Some(middle));
            let posterior = self.posterior();
            let weight = |wanted: bool| -> f64 {
                let side = left.iter().filter(|it| far[middle][**it] == wanted);
                side.map(|it| posterior.places[*it].2.get()).sum()
            };
            let beyond = weight(true) > weight(false);
            left.retain(|it| far[middle][*it] == beyond);
        }
    }
}

/// What came of the lines of one habit.
#[derive(Clone, Copy, Debug, Default)]
struct Came {
    lines: usize,
    found: usize,
    tests: usize,
    minutes: f64,
}

impl Came {
    fn add(&mut self, other: Self) {
        self.lines += other.lines;
        self.found += other.found;
        self.tests += other.tests;
        self.minutes += other.minutes;
    }

    #[allow(clippy::cast_precision_loss)]
    fn share(&self) -> f64 {
        self.found as f64 / self.lines as f64
    }

    /// Minutes spent on all lines for each place that was named rightly.
    #[allow(clippy::cast_precision_loss)]
    fn minutes_each(&self) -> f64 {
        self.minutes / self.found as f64
    }
}

/// Whether the likeliest of all places, other voltage and nothing wrong is where a fault sits.
fn found(posterior: &Posterior, building: &Building, line: usize) -> bool {
    let truth = &building.lines()[line].truth;
    let there = truth.places();
    let voltage = truth.faults.iter().any(|it| it.at.is_none());
    let places = posterior.places.iter();
    let named = places.map(|(id, _, p)| (p.get(), there.contains(id)));
    let none = posterior.probability(FaultKind::None).get();
    named
        .chain([(posterior.other_voltage.get(), voltage), (none, false)])
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap()
        .1
}

/// The faulty lines of one building, each by all habits.
fn building(recipe: &Recipe, seed: u64, most: usize) -> [Came; 4] {
    let figures = &recipe.figures;
    let mut drawn = Building::draw(recipe, seed);
    let plans: Vec<LinePlan> = drawn.lines().iter().map(|it| it.plan.clone()).collect();
    let readings: Vec<Reading> = (0..recipe.lines)
        .map(|at| drawn.rack_reading(at).unwrap())
        .collect();
    let prepared: Vec<Prepared> = plans
        .iter()
        .map(|plan| Prepared::new(plan, figures, false))
        .collect();
    let terms: Vec<Option<SiteTerm>> = prepared
        .iter()
        .zip(&readings)
        .map(|(prepared, reading)| SiteTerm::of(prepared, reading))
        .collect();
    let terms: Vec<Option<&SiteTerm>> = terms.iter().map(Option::as_ref).collect();
    let learned = learn(&terms, &[], figures);
    let mut came = [Came::default(); 4];
    let faulty = (0..recipe.lines).filter(|at| !drawn.lines()[*at].truth.faults.is_empty());
    for line in faulty.take(most) {
        for (habit, came) in HABITS.into_iter().zip(&mut came) {
            let mut job = Job {
                building: drawn.clone(),
                line,
                plan: &plans[line],
                prepared: &prepared[line],
                learned: &learned,
                recipe,
                figures,
                evidence: Evidence::of(readings[line].clone()),
                at: None,
                minutes: 0.0,
                tests: 0,
            };
            let posterior = match habit {
                Habit::Suggested => job.follow(),
                Habit::Listen => job.listen(false),
                Habit::ListenUntilSure => job.listen(true),
                Habit::Halve => job.halve(),
            };
            let found = found(&posterior, &drawn, line);
            came.add(Came {
                lines: 1,
                found: usize::from(found),
                tests: job.tests,
                minutes: job.minutes,
            });
        }
    }
    came
}

/// So many faulty lines out of as many buildings as it takes, on two threads. The buildings come
/// in their order, so that the same lines are looked at on every machine; seeds from this one on.
fn faulty_lines(recipe: &Recipe, wanted: usize, from: u64) -> [Came; 4] {
    // How many to take of each building.
    let mut shares: Vec<(u64, usize)> = Vec::new();
    let (mut left, mut seed) = (wanted, from);
    while left > 0 {
        let drawn = Building::draw(recipe, seed);
        let lines = drawn.lines().iter();
        let faulty = lines.filter(|it| !it.truth.faults.is_empty()).count();
        shares.push((seed, faulty.min(left)));
        left -= faulty.min(left);
        seed += 1;
    }
    let next = AtomicUsize::new(0);
    let work = || {
        let mut sum = [Came::default(); 4];
        while let Some((seed, most)) = shares.get(next.fetch_add(1, Ordering::Relaxed)) {
            let came = building(recipe, *seed, *most);
            sum.iter_mut().zip(came).for_each(|(sum, it)| sum.add(it));
        }
        sum
    };
    std::thread::scope(|scope| {
        let other = scope.spawn(work);
        let mut sum = work();
        let other = other.join().unwrap();
        sum.iter_mut().zip(other).for_each(|(sum, it)| sum.add(it));
        sum
    })
}

#[track_caller]
fn the_suggestions_are_worth_following(came: [Came; 4], longer: bool) {
    let mut table = String::new();
    for (habit, it) in HABITS.into_iter().zip(&came) {
        table += &format!(
            "{habit:?}: {} of {} found ({:.1} %), {} tests, {:.1} min, {:.2} min a right place\n",
            it.found,
            it.lines,
            100.0 * it.share(),
            it.tests,
            it.minutes,
            it.minutes_each(),
        );
    }
    // Said when it passes too, under --nocapture.
    let _ = std::io::Write::write_all(&mut std::io::stdout(), table.as_bytes());
    let [suggested, listen, until_sure, halve] = came;
    assert!(suggested.share() >= 0.85, "too few found\n{table}");
    assert!(
        suggested.minutes_each() < halve.minutes_each(),
        "no faster than halving\n{table}"
    );
    // Listening is cheap, and leaves many more faults behind; where lines are short it is even the
    // cheapest by the minute.
    for other in [listen, until_sure] {
        assert!(other.share() < suggested.share() - 0.1, "{table}");
    }
    if longer {
        assert!(
            suggested.minutes_each() < listen.minutes_each(),
            "no faster than listening\n{table}"
        );
    }
}

#[test]
fn on_some_short_faulty_lines_the_suggestions_find_more_and_sooner_than_halving() {
    // Measured: suggested 15 of 16 at 9.55 min a right place, listening 11 at 9.24 (7.41 when it
    // stops early), halving 16 at 13.16.
    the_suggestions_are_worth_following(faulty_lines(&recipe(12, (4, 5)), 16, 7000), false);
}

#[test]
#[ignore = "200 lines: with --release"]
fn on_two_hundred_faulty_lines_the_suggestions_find_more_in_less_time() {
    // Seeds that nothing was tried on before. Measured, before rack tests were always weighed in
    // full: suggested 180 of 200 found (90.0 %), 685 tests, 2326.6 min, 12.93 min a right place;
    // listening 127 at 13.59 (125 at 12.31 when it stops early), halving 187 at 16.93.
    the_suggestions_are_worth_following(faulty_lines(&recipe(40, (4, 10)), 200, 31_000), true);
}
