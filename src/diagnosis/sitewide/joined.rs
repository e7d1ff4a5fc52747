//! Two lines are joined: both read the parallel of the two, and so read equal.
//!
//! The two readings are jointly Normal: they share the tolerances of both lines and every factor,
//! their meter's too where it is one; digits and contacts are each one's own.
//!
//! Never here: words.

use super::survey::{Odds, Read, Solved, Survey, What};
use super::swapped::ln_rate;
use super::weigh::shared_part;
use crate::circuit::AtRack;
use crate::quantity::normal;
use crate::site::{Figure, TypeId};

/// Beyond so many spreads nothing is worth a sum.
const REACH: f64 = 8.0;
/// Variance of what two readings of two meters may differ by.
const METERS_APART: f64 = 0.01;
/// More than the shared factors ever make of the variance of one reading.
const SHARED: f64 = 0.1;

pub(super) fn enter(survey: &Survey<'_>, odds: &mut Odds) {
    let Some(ln_rate) = ln_rate(survey, Figure::RateJoinedLines) else {
        return;
    };
    let read = &survey.read;
    let racks: Vec<AtRack> = read
        .iter()
        .map(|it| {
            let solved = Solved::sound(it.plan, survey.common.figures);
            AtRack::of(&solved.solution.spread(&solved.tolerances, &[]))
        })
        .collect();
    // Readings that may be equal stand near each other.
    let mut order: Vec<usize> = (0..read.len()).collect();
    order.sort_by(|a, b| {
        let ln_m = |at: &usize| read[*at].weigher.own.ln_m;
        ln_m(a).total_cmp(&ln_m(b))
    });
    let own = |at: usize| {
        let it = &read[at].weigher.own;
        it.digit + survey.common.contacts((-it.ln_m).exp())
    };
    let widest = (0..read.len()).map(own).fold(0.0, f64::max);
    let apart = if survey.common.meters.len() > 1 {
        METERS_APART
    } else {
        0.0
    };
    let mut room = Room::default();
    for (place, one) in order.iter().enumerate() {
        for other in &order[place + 1..] {
            let d = read[*other].weigher.own.ln_m - read[*one].weigher.own.ln_m;
            if d * d > REACH * REACH * (own(*one) + widest + apart) {
                break;
            }
            if d * d > REACH * REACH * (own(*one) + own(*other) + apart) {
                continue;
            }
            let (a, b) = ((*one).min(*other), (*one).max(*other));
            let lines = (&read[a], &read[b]);
            if let Some(ln) = ln_joined(survey, lines, (&racks[a], &racks[b]), &mut room) {
                let ln_odds = ln_rate + ln - read[a].weigher.ln_own - read[b].weigher.ln_own;
                odds.enter(&[a, b], ln_odds, || What::Joined);
            }
        }
    }
}

/// Weights of the types of one line and of the other: a large site has millions of pairs.
#[derive(Default)]
struct Room {
    weights: Vec<f64>,
    more: Vec<f64>,
}

/// ln of the joint density of both readings; none where it is next to nothing.
fn ln_joined(
    survey: &Survey<'_>,
    (a, b): (&Read<'_>, &Read<'_>),
    (at_a, at_b): (&AtRack, &AtRack),
    Room { weights, more }: &mut Room,
) -> Option<f64> {
    let common = &survey.common;
    let total = at_a.admittance() + at_b.admittance();
    let siemens = total.norm();
    let ln_z = -siemens.ln();
    let contacts = common.contacts(siemens);
    let (first, second) = (&a.weigher, &b.weigher);
    weights.clear();
    weights.resize(first.line.types.len(), 0.0);
    more.clear();
    more.resize(second.line.types.len(), 0.0);
    let own = at_a.part_of(total, weights) + at_b.part_of(total, more);
    let off = first.own.ln_m - ln_z;
    if !off.is_finite() || off * off > REACH * REACH * (own + contacts + first.own.digit + SHARED) {
        return None;
    }
    // Most lines have the same types as the next: what is ready for them is not made again.
    let other_types;
    let joint = if first.line.types == second.line.types {
        for (weight, more) in weights.iter_mut().zip(&*more) {
            *weight += more;
        }
        &first.joint
    } else {
        let mut types: Vec<TypeId> = first.line.types.clone();
        for (of, weight) in second.line.types.iter().zip(&*more) {
            match types.iter().position(|it| it == of) {
                Some(at) => weights[at] += weight,
                None => {
                    types.push(of.clone());
                    weights.push(*weight);
                }
            }
        }
        other_types = common.joint(&types);
        &other_types
    };
    let from = common.meters.len();
    let (g, h) = (first.own.meter, second.own.meter);
    let seen = |one, other| shared_part(joint, (one, other), from, weights);
    let (mean, variance) = seen(g, g);
    let first_variance = own + variance + contacts + first.own.digit;
    let first_off = first.own.ln_m - ln_z - mean;
    if first_off * first_off > REACH * REACH * first_variance {
        return None;
    }
    let (mean, variance) = seen(h, h);
    let second_variance = own + variance + contacts + second.own.digit;
    let second_off = second.own.ln_m - ln_z - mean;
    let shared = own + seen(g, h).1;
    // The second given the first; what is its own alone is the least that is left.
    let slope = shared / first_variance;
    let left = (second_variance - slope * shared).max(contacts + second.own.digit);
    Some(
        normal::ln_pdf(first_off, 0.0, first_variance)
            + normal::ln_pdf(second_off, slope * first_off, left),
    )
}
