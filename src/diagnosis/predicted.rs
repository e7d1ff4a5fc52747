//! What a test may show, in words and numbers: what each suspect makes it say, and what each
//! answer would mean.
//!
//! Never here: what a test is worth.

use super::answer::ANSWERS;
use super::candidates::{Candidate, NextKind};
use super::hints::NOTHING_WRONG;
use super::kept::Places;
use super::mixture::Mixture;
use super::part::Part;
use super::prepared::Prepared;
use super::shows::Shows;
use crate::quantity::{Ohm, Probability, show};
use crate::site::Heard;

/// One answer that a test may give.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// What would be heard or read.
    pub words: String,
    /// How likely that is.
    pub probability: Probability,
    /// What it would say.
    pub then: String,
}

/// Suspects of a test that shows figures, and places named after an answer.
const SUSPECTS: usize = 4;
const NAMED: usize = 3;
/// Answers, suspects and places of less are not worth a line.
const WORTH: f64 = 0.01;
/// Half the width of what a suspect makes a reading show, in standard deviations: nine in ten.
const WIDTH: f64 = 1.645;

pub(super) fn answers(
    prepared: &Prepared,
    places: &Places,
    test: NextKind,
    shows: &Shows,
) -> Vec<Predicted> {
    match shows {
        Shows::Answers(rows) => heard(prepared, places, rows),
        Shows::Figures(mixture) => figures(prepared, places, test, mixture),
    }
}

/// One for every answer, the likeliest first, with the places that it would leave.
fn heard(prepared: &Prepared, places: &Places, rows: &[Vec<f64>]) -> Vec<Predicted> {
    let total: f64 = rows.iter().flatten().sum();
    let mut out: Vec<Predicted> = rows
        .iter()
        .zip(ANSWERS)
        .map(|(row, heard)| {
            let p: f64 = row.iter().sum();
            Predicted {
                words: word(heard).to_owned(),
                probability: Probability(p / total),
                then: suspects(prepared, places, row, p),
            }
        })
        .filter(|it| it.probability.get() >= WORTH)
        .collect();
    out.sort_by(|a, b| b.probability.get().total_cmp(&a.probability.get()));
    out
}

const fn word(heard: Heard) -> &'static str {
    match heard {
        Heard::Heard => "heard as expected",
        other => other.word(),
    }
}

/// `LS-7, 64 %; LS-8, 20 %; nothing wrong, 10 %`: where a fault would sit, pairs at both places.
fn suspects(prepared: &Prepared, places: &Places, shares: &[f64], total: f64) -> String {
    let mut held = vec![0.0; prepared.nodes.len() + 2];
    let none = held.len() - 1;
    for (set, share) in places.sets.iter().zip(shares) {
        let [one, other] = set.map(|at| at.min(none));
        held[one] += share;
        if other != one {
            held[other] += share;
        }
    }
    let mut order: Vec<usize> = (0..held.len()).collect();
    order.sort_by(|a, b| held[*b].total_cmp(&held[*a]));
    let named: Vec<String> = order
        .into_iter()
        .take(NAMED)
        .filter(|at| held[*at] >= WORTH * total)
        .map(|at| {
            let p = show::probability(Probability((held[at] / total).min(1.0)));
            format!("{}, {p}", name(prepared, at))
        })
        .collect();
    named.join("; ")
}

/// A node, or other voltage, or nothing wrong.
fn name(prepared: &Prepared, at: usize) -> String {
    match at.checked_sub(prepared.nodes.len()) {
        None => prepared.nodes[at].1.to_string(),
        Some(0) => "another line voltage".to_owned(),
        Some(_) => NOTHING_WRONG.to_owned(),
    }
}

/// What each of the likeliest sets of places makes a reading show.
fn figures(
    prepared: &Prepared,
    places: &Places,
    test: NextKind,
    mixture: &Mixture,
) -> Vec<Predicted> {
    let parts = mixture.parts();
    let total: f64 = parts.iter().map(|it| it.weight).sum();
    let mut by_cause: Vec<(&[Part], f64)> = parts
        .chunk_by(|a, b| a.cause == b.cause)
        .map(|of| (of, of.iter().map(|it| it.weight).sum::<f64>() / total))
        .collect();
    by_cause.sort_by(|a, b| b.1.total_cmp(&a.1));
    by_cause
        .into_iter()
        .take(SUSPECTS)
        .filter(|(_, p)| *p >= WORTH)
        .map(|(of, p)| {
            let words = if test == NextKind::Split {
                format!(
                    "from the rack {}, from there on {}",
                    range(of, 0),
                    range(of, 1)
                )
            } else {
                range(of, 0)
            };
            let [one, other] = places.sets[of[0].cause as usize];
            let one = one.min(prepared.nodes.len() + 1);
            let mut then = name(prepared, one);
            if other != one && other <= prepared.nodes.len() {
                then = format!("{then} and {}", name(prepared, other));
            }
            Predicted {
                words,
                probability: Probability(p),
                then,
            }
        })
        .collect()
}

/// `11 to 13 ohm`, or `open`: nine in ten of what a suspect makes a side show.
fn range(of: &[Part], side: usize) -> String {
    let open: f64 = of
        .iter()
        .filter(|it| !it.mean[side].is_finite())
        .map(|it| it.weight)
        .sum();
    let total: f64 = of.iter().map(|it| it.weight).sum();
    if open >= 0.5 * total {
        return "open".to_owned();
    }
    let mut ends: Vec<(f64, f64, f64)> = of
        .iter()
        .filter(|it| it.mean[side].is_finite())
        .map(|it| {
            let half = WIDTH * it.variance[side].sqrt();
            (it.mean[side] - half, it.mean[side] + half, it.weight)
        })
        .collect();
    let figure = |ln: f64| show::ohm_figure(Ohm(ln.exp()));
    // The middle nine tenths of the parts, widened by their own spread.
    let cut = 0.05 * (total - open);
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let low = quantile(ends.iter().map(|it| (it.0, it.2)), cut);
    ends.sort_by(|a, b| b.1.total_cmp(&a.1));
    let high = quantile(ends.iter().map(|it| (it.1, it.2)), cut);
    let (low, high) = (figure(low), figure(high));
    if low == high {
        format!("{low} ohm")
    } else {
        format!("{low} to {high} ohm")
    }
}

/// The first value by which so much weight has gone.
fn quantile(values: impl Iterator<Item = (f64, f64)>, cut: f64) -> f64 {
    let (mut gone, mut last) = (0.0, 0.0);
    for (value, weight) in values {
        last = value;
        gone += weight;
        if gone >= cut {
            break;
        }
    }
    last
}

/// What to do, in words.
pub(super) fn text(prepared: &Prepared, it: &Candidate) -> String {
    let label = |at: usize| &*prepared.nodes[at].1;
    match (it.test, it.at) {
        (NextKind::Listen, Some(at)) => format!("listen at {}", label(at)),
        (NextKind::Split, Some(at)) => {
            format!(
                "lift the incoming cores at {}, read from the rack and from there on",
                label(at)
            )
        }
        (NextKind::Dc, _) => "read the line with an ohmmeter at the rack".to_owned(),
        _ => "read it again at the rack".to_owned(),
    }
}
