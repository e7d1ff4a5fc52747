//! Hypotheses: sets of faults, each with its weight.
//!
//! A loudspeaker is in one state, a run in one, a control in one; a line has at most one unlisted
//! load and one other voltage. Faults of one such list exclude each other, those of different
//! lists are independent. The weight of a set is the product over its faults of
//! rate / (1 - sum of the rates of that fault's list), so that no fault weighs 1.
//!
//! Never here: readings.

use super::fault::{FAULTS, Fault, FaultType, Form, List, Place, cell};
use crate::circuit::{Conditions, Network, PerMetre};
use crate::quantity::{Hertz, Ohm};
use crate::site::{Figure, Figures, LinePlan};

/// A fault that may be there, with the factor it puts on a hypothesis.
#[derive(Clone, Copy, Debug)]
pub struct WeightedFault {
    /// The fault.
    pub fault: Fault,
    /// ln of rate / (1 - sum of its list's rates), its share of the forms and places in it.
    pub ln_weight: f64,
}

/// A set of faults, by their places in the list of a line's possible faults.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hypothesis {
    /// Nothing wrong.
    None,
    /// One fault.
    One(u32),
    /// Two faults that do not exclude each other.
    Two(u32, u32),
}

impl Hypothesis {
    /// Two faults that do not exclude each other.
    pub(super) fn two(faults: [usize; 2]) -> Self {
        let [one, other] = faults.map(|at| u32::try_from(at).unwrap_or(u32::MAX));
        Self::Two(one, other)
    }

    /// The faults in the set.
    pub fn faults(self) -> impl Iterator<Item = usize> {
        let (one, other) = match self {
            Self::None => (None, None),
            Self::One(one) => (Some(one), None),
            Self::Two(one, other) => (Some(one), Some(other)),
        };
        one.into_iter().chain(other).map(|at| at as usize)
    }
}

/// A sum of rates is kept under this, so that a list always leaves room for nothing wrong.
const MOST_OF_A_LIST: f64 = 0.99;

/// Every fault that may be on a line, with its weight. `healthy` is the line's network as
/// designed; on a return visit all rates are a part of those of a new line.
#[must_use]
pub fn possible_faults(
    line: &LinePlan,
    healthy: &Network,
    figures: &Figures,
    returning: bool,
) -> Vec<WeightedFault> {
    let part = if returning {
        figures.get(Figure::ReturnVisit)
    } else {
        1.0
    };
    let rate = |of: &FaultType| figures.get(of.rate) * part;
    let loops = loop_resistances(line, healthy);
    let cell = cell(Ohm(loops.iter().sum()));
    let place = |at: usize| Place {
        node: &line.nodes[at],
        loop_resistance: Ohm(loops[at]),
        cell,
    };
    let mut out: Vec<WeightedFault> = Vec::new();
    for at in 0..line.nodes.len() {
        for list in [List::Loudspeaker, List::Run, List::Control] {
            let here: Vec<(&'static FaultType, Vec<Form>)> = of_list(list)
                .map(|of| (of, (of.forms)(&place(at))))
                .filter(|(_, forms)| !forms.is_empty())
                .collect();
            let sum: f64 = here.iter().map(|(of, _)| rate(of)).sum();
            for (of, forms) in here {
                let each = odds(rate(of), sum) / count(forms.len());
                out.extend(
                    forms
                        .into_iter()
                        .map(|form| weighted(of, Some(at), form, each)),
                );
            }
        }
    }
    let loudspeakers: Vec<usize> = (0..line.nodes.len())
        .filter(|at| line.nodes[*at].is_loudspeaker())
        .collect();
    for of in of_list(List::Unlisted) {
        for at in &loudspeakers {
            let forms = (of.forms)(&place(*at));
            let each = odds(rate(of), rate(of)) / count(forms.len()) / count(loudspeakers.len());
            out.extend(
                forms
                    .into_iter()
                    .map(|form| weighted(of, Some(*at), form, each)),
            );
        }
    }
    for of in of_list(List::Voltage) {
        let Some(first) = loudspeakers.first() else {
            continue;
        };
        let forms = (of.forms)(&place(*first));
        let each = odds(rate(of), rate(of)) / count(forms.len());
        out.extend(forms.into_iter().map(|form| weighted(of, None, form, each)));
    }
    // A rate of nothing is a fault that cannot be.
    out.retain(|it| it.ln_weight > f64::NEG_INFINITY);
    out
}

fn of_list(list: List) -> impl Iterator<Item = &'static FaultType> {
    FAULTS.into_iter().filter(move |of| of.list == list)
}

fn odds(rate: f64, sum: f64) -> f64 {
    rate / (1.0 - sum.min(MOST_OF_A_LIST))
}

#[allow(clippy::cast_precision_loss)]
fn count(n: usize) -> f64 {
    n.max(1) as f64
}

fn weighted(of: &'static FaultType, at: Option<usize>, form: Form, weight: f64) -> WeightedFault {
    WeightedFault {
        fault: Fault { of, at, form },
        ln_weight: weight.ln(),
    }
}

/// Loop resistance of every run, ohm.
fn loop_resistances(line: &LinePlan, healthy: &Network) -> Vec<f64> {
    let direct = Conditions {
        hz: Hertz(0.0),
        ..*healthy.conditions()
    };
    line.nodes
        .iter()
        .enumerate()
        .map(|(run, node)| PerMetre::of(&node.make, &direct).z.re * healthy.length(run).get())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::FaultKind;
    use super::super::example;
    use super::*;

    fn weights(returning: bool) -> Vec<(FaultKind, Option<usize>, f64)> {
        let line = example::line();
        possible_faults(
            &line,
            &example::network(1000.0),
            &Figures::default(),
            returning,
        )
        .into_iter()
        .map(|it| (it.fault.of.kind, it.fault.at, it.ln_weight.exp()))
        .collect()
    }

    fn sum(of: &[(FaultKind, Option<usize>, f64)], kind: FaultKind, at: Option<usize>) -> f64 {
        of.iter()
            .filter(|(its, place, _)| *its == kind && *place == at)
            .map(|(_, _, weight)| weight)
            .sum()
    }

    #[test]
    fn a_weight_is_the_rate_over_what_its_list_leaves_for_nothing_wrong() {
        let all = weights(false);
        // Loudspeaker: 0.010 + 0.015 + 3 x 0.002 = 0.031; run: 0.004 + 0.003 + 0.002 = 0.009.
        let cases = [
            (FaultKind::LoudspeakerOpen, Some(0), 0.010 / 0.969),
            (FaultKind::WrongTap, Some(0), 0.015 / 0.969),
            (FaultKind::WrongTap, Some(1), 0.015 / 0.969),
            (FaultKind::NoTransformer, Some(1), 0.002 / 0.969),
            (FaultKind::LineOpen, Some(2), 0.004 / 0.991),
            (FaultKind::LineShort, Some(0), 0.003 / 0.991),
            (FaultKind::BadJoint, Some(2), 0.002 / 0.991),
            (FaultKind::ControlDown, Some(1), 0.050 / 0.950),
            (FaultKind::UnlistedLoad, Some(0), 0.010 / 0.990 / 2.0),
            (FaultKind::OtherVoltage, None, 0.005 / 0.995),
        ];
        for (kind, at, weight) in cases {
            assert!(
                (sum(&all, kind, at) - weight).abs() < 1e-15,
                "{kind} {at:?}"
            );
        }
        assert_eq!(sum(&all, FaultKind::ControlDown, Some(0)), 0.0);
        assert_eq!(sum(&all, FaultKind::LoudspeakerOpen, Some(2)), 0.0);
    }

    #[test]
    fn a_fixed_tap_leaves_its_lists_sum_without_the_wrong_tap() {
        let mut line = example::line();
        if let crate::site::NodeIs::Loudspeaker { tap, taps, .. } = &mut line.nodes[0].is {
            *taps = Some(vec![*tap]);
        }
        let healthy = example::network(1000.0);
        let all: Vec<_> = possible_faults(&line, &healthy, &Figures::default(), false)
            .into_iter()
            .map(|it| (it.fault.of.kind, it.fault.at, it.ln_weight.exp()))
            .collect();
        assert_eq!(sum(&all, FaultKind::WrongTap, Some(0)), 0.0);
        // The rates as they come: open 0.010, and shorted, secondary shorted and no transformer 0.002
        // each, so that 1 - 0.016 is left for nothing wrong.
        let open = sum(&all, FaultKind::LoudspeakerOpen, Some(0));
        assert!((open - 0.010 / 0.984).abs() < 1e-15);
    }

    #[test]
    fn on_a_return_visit_rates_are_a_fifth() {
        // 0.010 of the list's 0.031, all of them a fifth.
        let open = sum(&weights(true), FaultKind::LoudspeakerOpen, Some(0));
        assert!((open - 0.002 / (1.0 - 0.031 / 5.0)).abs() < 1e-15);
    }

    #[test]
    fn faults_of_one_list_exclude_each_other_and_others_do_not() {
        let line = example::line();
        let all = possible_faults(&line, &example::network(1000.0), &Figures::default(), false);
        let find = |kind, at| {
            all.iter()
                .find(|it| it.fault.of.kind == kind && it.fault.at == at)
                .map(|it| it.fault)
                .unwrap()
        };
        let open = find(FaultKind::LoudspeakerOpen, Some(0));
        assert!(open.excludes(&find(FaultKind::WrongTap, Some(0))));
        assert!(!open.excludes(&find(FaultKind::WrongTap, Some(1))));
        assert!(!open.excludes(&find(FaultKind::LineOpen, Some(0))));
        let unlisted = find(FaultKind::UnlistedLoad, Some(0));
        assert!(unlisted.excludes(&find(FaultKind::UnlistedLoad, Some(1))));
        assert!(!unlisted.excludes(&find(FaultKind::OtherVoltage, None)));
    }

    #[test]
    fn rates_that_add_up_to_more_than_one_still_leave_room() {
        let figures = Figures::with([
            (Figure::RateLoudspeakerOpen, 0.3),
            (Figure::RateWrongTap, 0.3),
            (Figure::RateLoudspeakerShort, 0.3),
            (Figure::RateSecondaryShort, 0.3),
            (Figure::RateNoTransformer, 0.0),
        ]);
        let healthy = example::network(1000.0);
        for it in possible_faults(&example::line(), &healthy, &figures, false) {
            assert!(it.ln_weight < f64::INFINITY && !it.ln_weight.is_nan());
        }
    }
}
