//! A drill: a drawn building whose meter and loudspeakers answer a trainee, minutes counted, and at
//! the end what was found held against what is there and against the program's own suggestions.
//!
//! Never here: words of commands, printing.

use super::course::price;
use super::{Ask, Building, Course, Recipe, Shown};
use crate::diagnosis::{Fault, NextKind, Prepared, Reading, Shared, SiteTerm, learn};
use crate::quantity::{Minutes, Ohm};
use crate::site::{Heard, LinePlan, NodeId};
use std::collections::BTreeMap;

/// A test that the trainee makes; places are those of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Makes {
    /// Reads the impedance at the rack.
    Read,
    /// Reads with direct current at the rack.
    Dc,
    /// Listens at a loudspeaker, the tone on the line.
    Listen(usize),
    /// Opens the line on the rack side of a place and reads both sides.
    Split(usize),
}

impl Makes {
    const fn kind(self) -> NextKind {
        match self {
            Self::Read => NextKind::Reread,
            Self::Dc => NextKind::Dc,
            Self::Listen(_) => NextKind::Listen,
            Self::Split(_) => NextKind::Split,
        }
    }

    const fn at(self) -> Option<usize> {
        match self {
            Self::Listen(at) | Self::Split(at) => Some(at),
            Self::Read | Self::Dc => None,
        }
    }
}

/// Where the trainee says that it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// At a node of the line.
    Place(usize),
    /// All taps are set for another line voltage.
    OtherVoltage,
    /// The line is as drawn.
    Nothing,
}

/// What a test showed, and what it took.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// A figure of the meter; of a split the near side, then the far.
    pub figures: Vec<Shown>,
    /// What was heard.
    pub heard: Option<Heard>,
    /// Minutes, the walk from the last place in them.
    pub took: Minutes,
}

/// What was found on one line, beside what is there.
#[derive(Clone, Debug)]
pub struct Found {
    /// Its label.
    pub line: String,
    /// What is there: each fault's word with the label of its place; other voltage has none.
    pub there: Vec<(&'static str, Option<String>)>,
    /// What the trainee said; none where nothing was said.
    pub named: Option<Named>,
    /// What was said is right.
    pub right: bool,
    /// Minutes the trainee spent on it.
    pub minutes: Minutes,
    /// The same line by the program's first suggestions, its rack reading in it: right, and minutes.
    pub suggested: (bool, Minutes),
}

/// A drill at work.
pub struct Drill {
    building: Building,
    recipe: Recipe,
    /// The first reading of each line is the same for whoever makes it.
    first: Vec<(Shown, Reading)>,
    read: Vec<bool>,
    at: Option<(usize, Option<usize>)>,
    spent: Vec<f64>,
    named: BTreeMap<usize, Named>,
}

impl Drill {
    /// Draws a building; the same recipe and seed draw the same.
    #[must_use]
    pub fn draw(recipe: &Recipe, seed: u64) -> Self {
        let mut building = Building::draw(recipe, seed);
        let lines = building.lines().len();
        let first = (0..lines)
            .filter_map(|line| {
                let shown = building.read(line, Ask::Rack)?;
                let (accuracy, figures) = (recipe.accuracy, &recipe.figures);
                let reading = Reading::at_rack(shown.value, shown.step, accuracy, figures);
                Some((shown, reading))
            })
            .collect();
        Self {
            building,
            recipe: recipe.clone(),
            first,
            read: vec![false; lines],
            at: None,
            spent: vec![0.0; lines],
            named: BTreeMap::new(),
        }
    }

    /// The lines as drawn on paper.
    pub fn plans(&self) -> impl Iterator<Item = &LinePlan> {
        self.building.lines().iter().map(|it| &it.plan)
    }

    /// The drawing of one of them, by its place in their order.
    #[must_use]
    pub fn plan(&self, line: usize) -> &LinePlan {
        &self.building.lines()[line].plan
    }

    /// Minutes spent on all lines so far.
    #[must_use]
    pub fn minutes(&self) -> Minutes {
        Minutes(self.spent.iter().sum())
    }

    /// Makes a test; none where the line or the place is not there, or nothing can be heard at it.
    pub fn make(&mut self, line: usize, makes: Makes) -> Option<Told> {
        let plan = &self.building.lines().get(line)?.plan;
        let node = match makes.at() {
            Some(at) => Some(plan.nodes.get(at)?.id.clone()),
            None => None,
        };
        let took = self.way(line, makes);
        let (mut figures, mut heard) = (Vec::new(), None);
        match (makes, node) {
            (Makes::Listen(_), Some(node)) => heard = Some(self.building.listen(line, &node)?),
            (Makes::Split(_), Some(node)) => {
                // Places are those of what is there, which a wrong drawing may not have.
                let at = self.building.lines()[line].truth.plan().node(&node)?;
                for ask in [Ask::Near(at), Ask::Far(at)] {
                    figures.push(self.building.read(line, ask)?);
                }
            }
            (Makes::Dc, _) => figures.push(self.building.read(line, Ask::Dc)?),
            _ if self.read[line] => figures.push(self.building.read(line, Ask::Rack)?),
            _ => {
                self.read[line] = true;
                figures.push(self.first[line].0);
            }
        }
        self.spent[line] += took.get();
        self.at = Some((line, makes.at()));
        Some(Told {
            figures,
            heard,
            took,
        })
    }

    /// Minutes of a test from where the trainee stands; another line begins at the rack.
    fn way(&self, line: usize, makes: Makes) -> Minutes {
        let (test, at) = (makes.kind(), makes.at());
        let figures = &self.recipe.figures;
        let plan = |line: usize| &self.building.lines()[line].plan;
        match self.at {
            Some((same, from)) if same == line => price(plan(line), from, test, at, figures),
            Some((other, from)) => {
                // Back along the cable of the other one; no test is made there.
                let back = price(plan(other), from, NextKind::Reread, None, figures);
                let test_alone = price(plan(other), None, NextKind::Reread, None, figures);
                let out = price(plan(line), None, test, at, figures);
                Minutes(back.get() - test_alone.get() + out.get())
            }
            None => price(plan(line), None, test, at, figures),
        }
    }

    /// Says where it is; said again, the last counts.
    pub fn name(&mut self, line: usize, named: Named) {
        self.named.insert(line, named);
    }

    /// What was said of a line.
    #[must_use]
    pub fn named(&self, line: usize) -> Option<&Named> {
        self.named.get(&line)
    }

    /// The end of the drill: what was found and what is there, line by line.
    #[must_use]
    pub fn end(&self) -> Vec<Found> {
        let figures = &self.recipe.figures;
        let prepared: Vec<Prepared> = self
            .plans()
            .map(|plan| Prepared::new(plan, figures, false))
            .collect();
        let terms: Vec<Option<SiteTerm>> = prepared
            .iter()
            .zip(&self.first)
            .map(|(prepared, (_, reading))| SiteTerm::of(prepared, reading))
            .collect();
        let terms: Vec<Option<&SiteTerm>> = terms.iter().map(Option::as_ref).collect();
        let learned = learn(&terms, &[], figures);
        let at_rack = figures.get(crate::site::Figure::MinutesReread);
        (0..prepared.len())
            .map(|line| {
                let shared: Shared = learned.without(line);
                let reading = self.first[line].1.clone();
                let mut course = Course::new(
                    &self.building,
                    line,
                    &prepared[line],
                    shared,
                    &self.recipe,
                    reading,
                );
                let posterior = course.follow();
                Found {
                    line: course.plan().label.clone(),
                    there: self.there(line),
                    named: self.named.get(&line).cloned(),
                    right: self.is_right(line),
                    minutes: Minutes(self.spent[line]),
                    suggested: (
                        course.names(&posterior),
                        Minutes(at_rack + course.minutes().get()),
                    ),
                }
            })
            .collect()
    }

    fn there(&self, line: usize) -> Vec<(&'static str, Option<String>)> {
        let truth = &self.building.lines()[line].truth;
        let label = |fault: &Fault| Some(truth.plan().nodes.get(fault.at?)?.label.clone());
        let faults = truth.faults.iter();
        faults.map(|it| (it.of.kind.as_str(), label(it))).collect()
    }

    /// The drawing as a schedule in CSV, each output rated to leave a fifth free.
    #[must_use]
    pub fn schedule(&self) -> String {
        let plans: Vec<&LinePlan> = self.plans().collect();
        super::schedule::csv(&plans)
    }

    fn is_right(&self, line: usize) -> bool {
        let it = &self.building.lines()[line];
        let there: Vec<NodeId> = it.truth.places();
        match self.named.get(&line) {
            None => false,
            Some(Named::Nothing) => it.truth.faults.is_empty(),
            Some(Named::OtherVoltage) => it.truth.faults.iter().any(|fault| fault.at.is_none()),
            Some(Named::Place(at)) => {
                let node = it.plan.nodes.get(*at);
                node.is_some_and(|node| there.contains(&node.id))
            }
        }
    }

    /// What the known resistor reads: the meter's own factor, and nothing else.
    #[must_use]
    pub fn resistor(&self, known: Ohm) -> Ohm {
        Ohm((known.get() * self.building.meter().exp()).round())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Value;
    use crate::site::NodeIs;

    fn drill() -> Drill {
        let recipe = Recipe {
            lines: 4,
            loudspeakers: (2, 4),
            faults: Some([0.3, 0.7, 0.0]),
            ..Recipe::default()
        };
        Drill::draw(&recipe, 4)
    }

    #[test]
    fn the_same_seed_tells_the_same_and_the_walk_costs_minutes() {
        let (mut one, mut other) = (drill(), drill());
        let told = one.make(0, Makes::Read).unwrap();
        assert_eq!(Some(told.clone()), other.make(0, Makes::Read));
        assert!(
            (told.took.get() - 0.5).abs() < 1e-12,
            "at the rack nobody walks"
        );
        let plan = one.plans().next().unwrap().clone();
        let last = plan.nodes.len() - 1;
        assert!(matches!(plan.nodes[last].is, NodeIs::Loudspeaker { .. }));
        let there = one.make(0, Makes::Listen(last)).unwrap();
        assert!(there.heard.is_some() && there.took.get() > 1.0);
        let again = one.make(0, Makes::Listen(last)).unwrap();
        assert!(
            (again.took.get() - 1.0).abs() < 1e-12,
            "one stands there already"
        );
        let other = one.make(1, Makes::Read).unwrap();
        let back = there.took.get() - 1.0;
        assert!(
            (other.took.get() - 0.5 - back).abs() < 1e-9,
            "the way back to the rack"
        );
        let sum = 0.5 + there.took.get() + 1.0 + other.took.get();
        assert!((one.minutes().get() - sum).abs() < 1e-9);
    }

    #[test]
    fn a_test_at_a_place_that_is_not_there_shows_nothing_and_costs_nothing() {
        let mut drill = drill();
        assert_eq!(drill.make(0, Makes::Listen(999)), None);
        assert_eq!(drill.make(0, Makes::Split(999)), None);
        assert_eq!(drill.make(99, Makes::Read), None);
        assert_eq!(drill.minutes(), Minutes(0.0));
    }

    #[test]
    fn whoever_names_every_fault_is_right_and_whoever_says_nothing_is_not() {
        let mut drill = drill();
        let truths: Vec<_> = drill.end();
        assert!(truths.iter().all(|it| !it.right && it.named.is_none()));
        let plans: Vec<LinePlan> = drill.plans().cloned().collect();
        for (line, it) in truths.iter().enumerate() {
            drill.name(
                line,
                match it.there.first() {
                    None => Named::Nothing,
                    Some((_, None)) => Named::OtherVoltage,
                    Some((_, Some(label))) => {
                        let nodes = &plans[line].nodes;
                        Named::Place(nodes.iter().position(|it| it.label == *label).unwrap())
                    }
                },
            );
        }
        assert!(drill.end().iter().all(|it| it.right));
        drill.name(0, Named::OtherVoltage);
        assert!(!drill.end()[0].right);
    }

    #[test]
    fn a_split_is_read_from_both_sides() {
        let mut drill = drill();
        let told = drill.make(2, Makes::Split(1)).unwrap();
        assert_eq!(told.figures.len(), 2);
        assert!(
            told.figures
                .iter()
                .all(|it| it.value != Value::Ohm(Ohm(0.0)))
        );
    }
}
