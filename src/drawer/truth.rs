//! What is really there on a line: which faults, every tolerance, the true network.
//!
//! Faults are drawn as the program weighs them: none, one or two, by the product of their odds,
//! never two that exclude each other. A short lies anywhere along its run.
//!
//! Never here: readings.

use super::random::Random;
use super::recipe::Recipe;
use crate::circuit::{Change, Conditions, Load, Network};
use crate::diagnosis::{Fault, FaultKind, Form, WeightedFault, possible_faults};
use crate::quantity::{Admittance, Fraction, Hertz, Metre};
use crate::site::{Figure, LinePlan, NodeId, NodeIs, TypeId};
use std::collections::BTreeMap;

/// What is really there on a line, which no test shows in full.
#[derive(Clone, Debug)]
pub struct Truth {
    /// The faults: none, one or two.
    pub faults: Vec<Fault>,
    /// How much rarer (under 1) or more common such a line is by the rates than among those drawn.
    pub weight: f64,
    /// The plan that is true: with every loudspeaker and true lengths.
    plan: LinePlan,
    /// By node: true over marked impedance, and of a bare coil.
    loads: Vec<Admittance>,
    coils: Vec<f64>,
    /// Of an added load.
    added: f64,
    /// True over assumed winding ratio.
    windings: f64,
    conditions: Conditions,
}

impl Truth {
    pub(super) fn draw(
        recipe: &Recipe,
        random: &mut Random,
        types: &BTreeMap<TypeId, f64>,
        drawn: &LinePlan,
    ) -> Self {
        let figures = &recipe.figures;
        let times = recipe.unlike.tolerances;
        let hz = Hertz(figures.get(Figure::TestHz));
        let conditions = Conditions::of(figures, hz);
        let possible = possible_faults(drawn, &Network::of(drawn, &conditions), figures, false);
        let (faults, weight) = pick(recipe, random, &possible);
        let mut plan = drawn.clone();
        let (mut loads, mut coils) = (Vec::new(), Vec::new());
        for node in &mut plan.nodes {
            if let Some(run) = &mut node.run {
                *run =
                    Metre(run.get() * drawn_factor(random, times * figures.get(Figure::SpreadRun)));
            }
            let own = drawn_factor(random, times * figures.get(Figure::SpreadLoudspeaker));
            let of_type = match &node.is {
                NodeIs::Loudspeaker { of, .. } => types.get(of).copied().unwrap_or(0.0),
                _ => 0.0,
            };
            let phase = random.between(-recipe.unlike.phase, recipe.unlike.phase);
            loads.push(Admittance::from_polar(own * of_type.exp(), phase));
            coils.push(own);
        }
        Self {
            faults,
            weight,
            plan,
            loads,
            coils,
            added: drawn_factor(random, figures.get(Figure::SpreadUnlisted)),
            windings: drawn_factor(random, figures.get(Figure::SpreadWinding)),
            conditions,
        }
    }

    /// The class that is right.
    #[must_use]
    pub fn kind(&self) -> FaultKind {
        match self.faults.as_slice() {
            [] => FaultKind::None,
            [one] => one.of.kind,
            _ => FaultKind::TwoFaults,
        }
    }

    /// Where the faults sit; other voltage sits nowhere.
    #[must_use]
    pub fn places(&self) -> Vec<NodeId> {
        let at = self.faults.iter().filter_map(|fault| fault.at);
        at.map(|at| self.plan.nodes[at].id.clone()).collect()
    }

    /// The plan that is true, with lengths as laid.
    #[must_use]
    pub const fn plan(&self) -> &LinePlan {
        &self.plan
    }

    /// The line as it really is at a frequency (0 is direct current), with its faults or without.
    #[must_use]
    pub fn network(&self, hz: Hertz, faulty: bool) -> Network {
        let conditions = Conditions {
            hz,
            ..self.conditions
        };
        let marked = Network::of(&self.plan, &conditions);
        let mut changes: Vec<Change> = (0..marked.len())
            .filter(|at| marked.is_loudspeaker(*at))
            .map(|at| {
                let load = Load {
                    y: marked.own(at),
                    silent: false,
                    transformer: true,
                };
                Change::Load {
                    at,
                    is: self.really(at, load, &conditions),
                }
            })
            .collect();
        if faulty {
            let laid = self.faults.iter().filter_map(|it| it.change(&marked));
            changes.extend(laid.map(|change| match change {
                Change::Load { at, is } => Change::Load {
                    at,
                    is: self.really(at, is, &conditions),
                },
                other => other,
            }));
            let added = self.faults.iter().filter_map(|it| it.added_load(&marked));
            for (at, y) in added {
                // What the marked load lacks to the true one.
                let windings = self.windings(&conditions);
                let true_y = y / (self.added * windings);
                changes.push(Change::Shunt { at, y: true_y - y });
            }
        }
        marked.with(&changes)
    }

    fn windings(&self, conditions: &Conditions) -> f64 {
        if conditions.is_dc() {
            self.windings
        } else {
            1.0
        }
    }

    fn really(&self, at: usize, marked: Load, conditions: &Conditions) -> Load {
        let factor = if !marked.transformer {
            Admittance::new(self.coils[at], 0.0)
        } else if conditions.is_dc() {
            Admittance::new(self.loads[at].norm() * self.windings, 0.0)
        } else {
            self.loads[at]
        };
        Load {
            y: marked.y / factor,
            ..marked
        }
    }
}

fn drawn_factor(random: &mut Random, spread: f64) -> f64 {
    (spread * random.normal()).exp()
}

/// Faults of a line, and how much rarer they are by the rates than as drawn.
fn pick(recipe: &Recipe, random: &mut Random, possible: &[WeightedFault]) -> (Vec<Fault>, f64) {
    let weights: Vec<f64> = possible.iter().map(|it| it.ln_weight.exp()).collect();
    let natural = natural(possible, &weights);
    let mut drawn = recipe.faults.unwrap_or(natural);
    for (drawn, natural) in drawn.iter_mut().zip(natural) {
        if natural == 0.0 {
            // No such set exists on this line.
            *drawn = 0.0;
        }
    }
    let count = random.weighted(drawn.into_iter());
    let mut at: Vec<usize> = Vec::new();
    loop {
        at.truncate(0);
        at.extend((0..count).map(|_| random.weighted(weights.iter().copied())));
        match at.as_slice() {
            // Drawn one by one and drawn again where they exclude each other: as often as the
            // product of their odds.
            [one, other] if possible[*one].fault.excludes(&possible[*other].fault) => {}
            _ => break,
        }
    }
    let whole: f64 = drawn.iter().sum();
    let faults = at
        .into_iter()
        .map(|at| along(random, possible[at].fault))
        .collect();
    (faults, natural[count] / (drawn[count] / whole))
}

/// Probabilities of no, one and two faults by their odds.
fn natural(possible: &[WeightedFault], weights: &[f64]) -> [f64; 3] {
    let one: f64 = weights.iter().sum();
    let mut lists: BTreeMap<_, f64> = BTreeMap::new();
    for (it, weight) in possible.iter().zip(weights) {
        let list = it.fault.of.list;
        let at = (!list.is_of_the_line()).then_some(it.fault.at).flatten();
        *lists.entry((list, at)).or_default() += weight;
    }
    let excluded: f64 = lists.values().map(|sum| sum * sum).sum();
    let two = 0.5 * (one * one - excluded).max(0.0);
    let whole = 1.0 + one + two;
    [1.0 / whole, one / whole, two / whole]
}

/// A short lies anywhere along its run.
fn along(random: &mut Random, fault: Fault) -> Fault {
    match fault.form {
        Form::Along(_) => Fault {
            form: Form::Along(Fraction(random.unit())),
            ..fault
        },
        _ => fault,
    }
}

#[cfg(test)]
mod tests {
    use super::super::schedule;
    use super::*;
    use crate::diagnosis::Prepared;

    #[test]
    fn no_one_and_two_faults_are_as_likely_as_the_program_weighs_them() {
        let recipe = Recipe {
            loudspeakers: (4, 4),
            ..Recipe::default()
        };
        let plan = schedule::line(&recipe, &mut Random::new(2), 0);
        let figures = &recipe.figures;
        let conditions = Conditions::of(figures, Hertz(1000.0));
        let possible = possible_faults(&plan, &Network::of(&plan, &conditions), figures, false);
        let weights: Vec<f64> = possible.iter().map(|it| it.ln_weight.exp()).collect();
        let got = natural(&possible, &weights);
        let mut want = [0.0; 3];
        Prepared::new(&plan, figures, false).each(|hypothesis, ln_weight, _, _| {
            want[hypothesis.faults().count()] += ln_weight.exp();
        });
        let whole: f64 = want.iter().sum();
        for (got, want) in got.into_iter().zip(want) {
            assert!((got - want / whole).abs() < 1e-12);
        }
    }

    #[test]
    fn weights_make_up_for_how_often_faults_are_drawn() {
        let recipe = Recipe {
            faults: Some([0.4, 0.4, 0.2]),
            loudspeakers: (4, 4),
            ..Recipe::default()
        };
        let mut random = Random::new(9);
        let plan = schedule::line(&recipe, &mut random, 0);
        let n = 4000;
        let mut sum = 0.0;
        let mut faulty = 0.0;
        for _ in 0..n {
            let truth = Truth::draw(&recipe, &mut random, &BTreeMap::new(), &plan);
            sum += truth.weight;
            faulty += f64::from(u8::from(!truth.faults.is_empty()));
        }
        // Weights average one, whatever was drawn.
        assert!((sum / f64::from(n) - 1.0).abs() < 0.06, "{sum}");
        assert!((faulty / f64::from(n) - 0.6).abs() < 0.03, "{faulty}");
    }

    #[test]
    fn without_tolerances_the_truth_is_the_drawing() {
        let mut recipe = Recipe::default();
        for figure in [
            Figure::SpreadRun,
            Figure::SpreadLoudspeaker,
            Figure::SpreadUnlisted,
            Figure::SpreadWinding,
        ] {
            let own: Vec<_> = recipe.figures.own().chain([(figure, 0.0)]).collect();
            recipe.figures = crate::site::Figures::with(own);
        }
        recipe.faults = Some([0.0, 1.0, 0.0]);
        let mut random = Random::new(4);
        for at in 0..60 {
            let plan = schedule::line(&recipe, &mut random, at);
            let truth = Truth::draw(&recipe, &mut random, &BTreeMap::new(), &plan);
            for hz in [0.0, 1000.0] {
                let conditions = Conditions::of(&recipe.figures, Hertz(hz));
                let healthy = Network::of(&plan, &conditions);
                let changes: Vec<_> = truth
                    .faults
                    .iter()
                    .filter_map(|it| it.change(&healthy))
                    .collect();
                let want = healthy.with(&changes).solve().y_in();
                let got = truth.network(Hertz(hz), true).solve().y_in();
                assert!(
                    (got - want).norm() <= 1e-9 * want.norm(),
                    "{:?}",
                    truth.faults
                );
            }
        }
    }
}
