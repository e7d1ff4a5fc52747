//! The drawer of faulty buildings: made-up schedules with a hidden truth that answers every test.
//!
//! Truth is drawn from the very model that the diagnosis reckons with (or from one unlike it, to
//! see how it fares), so that probabilities can be held against what was really there. All is
//! drawn from a seed: the same seed makes the same building.
//!
//! Never here: the clock, files, diagnosis of what was drawn.

mod answer;
mod course;
mod drill;
mod random;
mod recipe;
mod schedule;
mod truth;

pub use answer::{Ask, Shown};
pub use course::{Course, MOST_TESTS, WORTH_A_TEST, price};
pub use drill::{Drill, Found, Makes, Named, Told};
pub use random::Random;
pub use recipe::{Recipe, Unlike};
pub use truth::Truth;

use crate::diagnosis::Reading;
use crate::site::{Figure, Heard, LinePlan, NodeId, NodeIs, TypeId};
use answer::Bag;
use std::collections::BTreeMap;

/// A drawn building.
#[derive(Clone, Debug)]
pub struct Building {
    recipe: Recipe,
    random: Random,
    meter: f64,
    types: BTreeMap<TypeId, f64>,
    lines: Vec<DrawnLine>,
}

/// A line: what the schedule says, and what is there.
#[derive(Clone, Debug)]
pub struct DrawnLine {
    /// As the schedule has it.
    pub plan: LinePlan,
    /// As it is.
    pub truth: Truth,
    /// A loudspeaker is there that the schedule does not have.
    pub lacks: bool,
    ohmmeter: f64,
}

impl Building {
    /// Draws a building.
    #[must_use]
    pub fn draw(recipe: &Recipe, seed: u64) -> Self {
        let mut random = Random::new(seed);
        let spread = recipe.accuracy.get() / 3f64.sqrt();
        let meter = spread * random.normal();
        let drawn: Vec<LinePlan> = (0..recipe.lines)
            .map(|at| schedule::line(recipe, &mut random, at))
            .collect();
        let mut types: BTreeMap<TypeId, f64> = BTreeMap::new();
        for node in drawn.iter().flat_map(|plan| &plan.nodes) {
            if let NodeIs::Loudspeaker { of, .. } = &node.is
                && !types.contains_key(of)
            {
                let off = recipe.unlike.types.get();
                let off = if random.happens(0.5) { off } else { -off };
                let own = recipe.figures.get(Figure::SpreadType) * random.normal();
                types.insert(of.clone(), own + libm::log1p(off));
            }
        }
        // Who wrote the schedule has chances of his own: the same building under another schedule.
        let mut clerk = Random::new(random.bits());
        let lines = drawn
            .into_iter()
            .map(|drawn| {
                let truth = Truth::draw(recipe, &mut random, &types, &drawn);
                let speakers: Vec<usize> = (0..drawn.nodes.len())
                    .filter(|at| drawn.nodes[*at].is_loudspeaker())
                    .collect();
                let lacks = speakers.len() > 1 && clerk.happens(recipe.unlike.missing.get());
                let mut plan = match clerk.one_of(&speakers) {
                    Some(gone) if lacks => schedule::without(&drawn, *gone),
                    _ => drawn,
                };
                if clerk.happens(recipe.unlike.swapped.get()) {
                    schedule::swap_neighbours(&mut plan, &mut clerk);
                }
                DrawnLine {
                    plan,
                    truth,
                    lacks,
                    ohmmeter: spread * random.normal(),
                }
            })
            .collect();
        Self {
            recipe: recipe.clone(),
            random,
            meter,
            types,
            lines,
        }
    }

    /// Its lines.
    #[must_use]
    pub fn lines(&self) -> &[DrawnLine] {
        &self.lines
    }

    /// ln(read / true) of the impedance meter.
    #[must_use]
    pub const fn meter(&self) -> f64 {
        self.meter
    }

    /// ln(true / marked impedance) of each type.
    #[must_use]
    pub const fn types(&self) -> &BTreeMap<TypeId, f64> {
        &self.types
    }

    /// What a meter shows of a line; none where the line or the node is not there.
    pub fn read(&mut self, line: usize, ask: Ask) -> Option<Shown> {
        let it = self.lines.get(line)?;
        let there = |at: usize| at < it.truth.plan().nodes.len();
        if let Ask::Near(at) | Ask::Far(at) = ask
            && !there(at)
        {
            return None;
        }
        let bag = Bag {
            impedance: self.meter,
            direct: it.ohmmeter,
        };
        Some(it.truth.shown(ask, &self.recipe, &bag, &mut self.random))
    }

    /// The rack reading of a line as evidence; none where there is no such line.
    pub fn rack_reading(&mut self, line: usize) -> Option<Reading> {
        let shown = self.read(line, Ask::Rack)?;
        let (accuracy, figures) = (self.recipe.accuracy, &self.recipe.figures);
        Some(Reading::at_rack(shown.value, shown.step, accuracy, figures))
    }

    /// What is heard at a loudspeaker with the tone on its line; none where it is not there.
    pub fn listen(&mut self, line: usize, node: &NodeId) -> Option<Heard> {
        let it = self.lines.get(line)?;
        let at = it.truth.plan().node(node)?;
        let heard = || it.truth.heard(at, &self.recipe, &mut self.random);
        it.truth.plan().nodes[at].is_loudspeaker().then(heard)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Value;

    #[test]
    fn a_seed_draws_one_building_and_another_seed_another() {
        let readings = |seed| {
            let mut building = Building::draw(&Recipe::default(), seed);
            (0..60)
                .map(|at| building.rack_reading(at).unwrap().value)
                .collect::<Vec<_>>()
        };
        assert_eq!(readings(11), readings(11));
        assert_ne!(readings(11), readings(12));
    }

    #[test]
    fn every_test_has_its_answer() {
        let mut building = Building::draw(&Recipe::default(), 3);
        let mut answers = 0;
        for line in 0..20 {
            let nodes = building.lines()[line].truth.plan().nodes.clone();
            for (at, node) in nodes.iter().enumerate() {
                for ask in [Ask::Rack, Ask::Dc, Ask::Near(at), Ask::Far(at)] {
                    if let Value::Ohm(ohm) = building.read(line, ask).unwrap().value {
                        assert!(ohm.get().is_finite() && ohm.get() > 0.0);
                        answers += 1;
                    }
                }
                let heard = building.listen(line, &node.id);
                assert_eq!(heard.is_some(), node.is_loudspeaker());
            }
            assert_eq!(building.read(line, Ask::Near(999)), None);
        }
        assert!(answers > 400, "{answers}");
    }
}
