//! One line of a drawn building at work: tests made on what is really there, their minutes counted,
//! what they say held against the program's diagnosis.
//!
//! Never here: which habit decides on the next test, but for the program's own.

use super::{Ask, Building, Recipe};
use crate::diagnosis::{
    Answer, Evidence, FaultKind, Meter, NextKind, Posterior, Prepared, Reading, Shared, Test, Walk,
};
use crate::quantity::{Minutes, Ohm};
use crate::site::{Figure, Figures, LinePlan};

/// Whoever needs more tests than this gives up and names the likeliest.
pub const MOST_TESTS: usize = 40;
/// So does whoever is promised fewer bits than this: what is left cannot be told apart, as a short
/// on either side of a joint.
pub const WORTH_A_TEST: f64 = 0.02;

/// A line, from its rack reading on.
pub struct Course<'a> {
    building: Building,
    line: usize,
    prepared: &'a Prepared,
    shared: Shared,
    recipe: &'a Recipe,
    evidence: Evidence,
    at: Option<usize>,
    minutes: Minutes,
    tests: usize,
}

impl<'a> Course<'a> {
    /// Begins at the rack with what was read there; `shared` is what the other lines say of meter
    /// and types.
    #[must_use]
    pub fn new(
        building: &Building,
        line: usize,
        prepared: &'a Prepared,
        shared: Shared,
        recipe: &'a Recipe,
        reading: Reading,
    ) -> Self {
        Self {
            building: building.clone(),
            line,
            prepared,
            shared,
            recipe,
            evidence: Evidence::of(reading),
            at: None,
            minutes: Minutes(0.0),
            tests: 0,
        }
    }

    /// What the program holds likely after the tests made so far.
    #[must_use]
    pub fn posterior(&self) -> Posterior {
        self.prepared.posterior(&self.evidence, &self.shared)
    }

    /// The drawing of the line.
    #[must_use]
    pub fn plan(&self) -> &LinePlan {
        &self.building.lines()[self.line].plan
    }

    /// Minutes spent, the rack reading left out.
    #[must_use]
    pub const fn minutes(&self) -> Minutes {
        self.minutes
    }

    /// Tests made, the rack reading left out.
    #[must_use]
    pub const fn tests(&self) -> usize {
        self.tests
    }

    /// Makes a test, walking to it; one at a place that is not there shows nothing.
    pub fn make(&mut self, test: NextKind, at: Option<usize>) {
        let price = price(self.plan(), self.at, test, at, &self.recipe.figures);
        self.minutes = Minutes(self.minutes.get() + price.get());
        self.at = at;
        self.tests += 1;
        match (test, at) {
            (NextKind::Reread, _) => self.read(Ask::Rack, Test::Rack),
            (NextKind::Dc, _) => self.read(Ask::Dc, Test::Dc),
            (NextKind::Split, Some(at)) => {
                self.read(Ask::Near(at), Test::Near(at));
                self.read(Ask::Far(at), Test::Far(at));
            }
            (NextKind::Listen, Some(at)) => {
                let id = self.plan().nodes[at].id.clone();
                if let Some(heard) = self.building.listen(self.line, &id) {
                    let source = Ohm(self.recipe.figures.get(Figure::SourceOhm));
                    self.evidence.answers.push(Answer { at, heard, source });
                }
            }
            (NextKind::Split | NextKind::Listen, None) => {}
        }
    }

    fn read(&mut self, ask: Ask, test: Test) {
        let Some(shown) = self.building.read(self.line, ask) else {
            return;
        };
        self.evidence.readings.push(Reading {
            test,
            value: shown.value,
            step: shown.step,
            meter: Meter::default(),
            accuracy: self.recipe.accuracy,
            range: Ohm(self.recipe.figures.get(Figure::RangeOhm)),
        });
    }

    /// Follows the program's first suggestion until it is sure, or until no test tells anything more.
    pub fn follow(&mut self) -> Posterior {
        loop {
            let posterior = self.posterior();
            if posterior.sure() || self.tests >= MOST_TESTS {
                return posterior;
            }
            let walk = Walk::after(&self.evidence, self.at, &self.recipe.figures);
            let next = self.prepared.next(&self.evidence, &self.shared, &walk);
            match next.first() {
                Some(first) if first.gain_bits >= WORTH_A_TEST => self.make(first.test, first.at),
                _ => return posterior,
            }
        }
    }

    /// Whether the likeliest of all places, other voltage and nothing wrong is what is there.
    #[must_use]
    pub fn names(&self, posterior: &Posterior) -> bool {
        let truth = &self.building.lines()[self.line].truth;
        let there = truth.places();
        let voltage = truth.faults.iter().any(|it| it.at.is_none());
        let places = posterior.places.iter();
        let named = places.map(|(id, _, p)| (p.get(), there.contains(id)));
        let none = posterior.probability(FaultKind::None).get();
        named
            .chain([
                (posterior.other_voltage.get(), voltage),
                (none, truth.faults.is_empty()),
            ])
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .is_some_and(|it| it.1)
    }
}

/// Minutes along the cable from one place of a line to another, and for the test made there; none is
/// the rack.
#[must_use]
pub fn price(
    plan: &LinePlan,
    from: Option<usize>,
    test: NextKind,
    to: Option<usize>,
    figures: &Figures,
) -> Minutes {
    let up = |mut node: Option<usize>| {
        let mut way = Vec::new();
        while let Some(at) = node {
            way.push(at);
            node = plan.nodes[at].from;
        }
        way
    };
    let (from, to) = (up(from), up(to));
    // Runs walked are those on one of the two ways to the rack, not on both.
    let walked = from.iter().filter(|it| !to.contains(it));
    let walked = walked.chain(to.iter().filter(|it| !from.contains(it)));
    let unknown = figures.get(Figure::UnknownRunM);
    let metres: f64 = walked
        .map(|it| plan.nodes[*it].run.map_or(unknown, |run| run.get()))
        .sum();
    let figure = match test {
        NextKind::Reread => Figure::MinutesReread,
        NextKind::Dc => Figure::MinutesDc,
        NextKind::Listen => Figure::MinutesListen,
        NextKind::Split => Figure::MinutesSplit,
    };
    Minutes(figures.get(figure) + figures.get(Figure::MinutesMetre) * metres)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_test_takes_is_what_the_suggestion_said() {
        let recipe = Recipe {
            lines: 6,
            loudspeakers: (2, 5),
            ..Recipe::default()
        };
        let mut drawn = Building::draw(&recipe, 5);
        let mut made = 0;
        for line in 0..recipe.lines {
            let reading = drawn.rack_reading(line).unwrap();
            let plan = drawn.lines()[line].plan.clone();
            let prepared = Prepared::new(&plan, &recipe.figures, false);
            let mut course =
                Course::new(&drawn, line, &prepared, Shared::default(), &recipe, reading);
            for _ in 0..2 {
                let walk = Walk::after(&course.evidence, course.at, &recipe.figures);
                let next = prepared.next(&course.evidence, &Shared::default(), &walk);
                let Some(first) = next.first() else { break };
                let own = price(&plan, course.at, first.test, first.at, &recipe.figures);
                assert!((first.minutes.get() - own.get()).abs() < 1e-9, "{first:?}");
                course.make(first.test, first.at);
                made += 1;
            }
        }
        assert!(made > 3, "{made}");
    }
}
