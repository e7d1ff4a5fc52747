//! Hints: one a class of fault, with its places and its sentence.
//!
//! What no reading can tell apart is one hint with places, not many hints. A sentence is never
//! surer than its figure: it names one place only where that place holds nearly all of the class,
//! else it lists the likeliest with their probabilities.
//!
//! Never here: likelihoods.

use super::fault::{FAULTS, FaultType, Form};
use super::kind::FaultKind;
use super::prepared::Prepared;
use super::tally::Tally;
use crate::quantity::{Probability, show};
use crate::site::NodeId;
use std::sync::Arc;

/// One class of fault with its probability.
#[derive(Clone, Debug, PartialEq)]
pub struct Hint {
    /// What is wrong.
    pub fault: FaultKind,
    /// How likely.
    pub probability: Probability,
    /// In words, with the likeliest places.
    pub text: String,
    /// Where a fault of this hint sits: id, label and probability, the likeliest first, equals in
    /// the plan's order.
    pub places: Vec<Place>,
}

/// A node with the probability that a fault sits there: id, label, probability. All that is said of a
/// line shares its ids and labels.
pub type Place = (Arc<NodeId>, Arc<str>, Probability);

/// Hints and places under this are left out.
const LEAST: f64 = 1e-7;
/// A form, or a place, is said alone when it holds so much of its class. \[assumed, as what follows\]
const NEARLY_ALL: f64 = 0.9;
/// The list of places ends when it holds so much of the class.
const MOST: f64 = 0.8;
/// Places are alike when they print the same and none is below so much of the first.
const ALIKE: f64 = 0.5;
/// Groups of places in a sentence, and rows of labels in a group.
const GROUPS: usize = 3;
const ROWS: usize = 4;
/// A sentence names places only from this on: what prints as under one per cent is no lead.
const WORTH_A_PLACE: f64 = 0.005;

/// Said of no fault where nothing that was heard speaks against it.
pub const NOTHING_WRONG: &str = "nothing wrong";

/// The hints of a line, the likeliest first.
pub(super) fn hints(prepared: &Prepared, tally: &Tally) -> Vec<Hint> {
    let mut out: Vec<Hint> = FaultKind::ALL
        .into_iter()
        .filter(|kind| tally.classes[*kind as usize] >= LEAST)
        .map(|kind| hint(prepared, tally, kind))
        .collect();
    out.sort_by(|a, b| b.probability.get().total_cmp(&a.probability.get()));
    out
}

fn hint(prepared: &Prepared, tally: &Tally, kind: FaultKind) -> Hint {
    let total = tally.classes[kind as usize];
    let mut places = vec![0.0; prepared.nodes.len()];
    let mut forms: Vec<(Option<usize>, Form, f64)> = Vec::new();
    for (fault, p) in prepared.faults.iter().zip(&tally.alone) {
        if fault.fault.of.kind == kind {
            forms.push((fault.fault.at, fault.fault.form, *p));
            if let Some(at) = fault.fault.at {
                places[at] += p;
            }
        }
    }
    if kind == FaultKind::TwoFaults {
        places.copy_from_slice(&tally.pairs);
    }
    let mut listed: Vec<(usize, f64)> = places
        .into_iter()
        .enumerate()
        .filter(|(_, p)| *p >= LEAST)
        .collect();
    listed.sort_by(|a, b| b.1.total_cmp(&a.1));
    let text = match FAULTS.iter().find(|of| of.kind == kind) {
        Some(of) => sentence(prepared, of, &forms, &listed, total),
        // "Nothing wrong" of a line that reads short would be read as leave to connect it.
        None if kind == FaultKind::None && tally.sound_slipped > 0.5 * total => {
            "the reading mistaken, the line as drawn".to_owned()
        }
        None if kind == FaultKind::None => NOTHING_WRONG.to_owned(),
        None => two_faults(prepared, &listed, total),
    };
    Hint {
        fault: kind,
        probability: Probability(total),
        text,
        places: listed
            .into_iter()
            .map(|(at, p)| {
                let (id, label) = &prepared.nodes[at];
                (id.clone(), label.clone(), Probability(p))
            })
            .collect(),
    }
}

/// Two faults are named only by the one place that most of them share.
fn two_faults(prepared: &Prepared, places: &[(usize, f64)], total: f64) -> String {
    match places.first() {
        Some((at, p)) if *p >= MOST * total => {
            let figure = show::probability(Probability(*p));
            // All of it there: the figure before the sentence says so already.
            if figure == show::probability(Probability(total)) {
                return format!("two faults, one of them at {}", prepared.nodes[*at].1);
            }
            format!(
                "two faults, one of them at {}, {figure}",
                prepared.nodes[*at].1
            )
        }
        _ => "two faults".to_owned(),
    }
}

fn sentence(
    prepared: &Prepared,
    of: &FaultType,
    forms: &[(Option<usize>, Form, f64)],
    places: &[(usize, f64)],
    total: f64,
) -> String {
    let label = |at: usize| format!("{}{}", of.before_place, prepared.nodes[at].1);
    let Some((first, p)) = places.first().copied() else {
        return (of.somewhere)(leading_form(of, forms, None, total));
    };
    if p >= NEARLY_ALL * total {
        return (of.at)(&label(first), leading_form(of, forms, Some(first), p));
    }
    let what = (of.somewhere)(leading_form(of, forms, None, total));
    let anywhere = of.kind == FaultKind::UnlistedLoad && p < 0.5 * total;
    if anywhere || p < WORTH_A_PLACE {
        // Where it is is anybody's guess.
        return what;
    }
    format!(
        "{what}: {}{}",
        of.before_place,
        listing(prepared, places, total)
    )
}

/// The form that holds nearly all, at a place or anywhere; none where several share it.
fn leading_form(
    of: &FaultType,
    forms: &[(Option<usize>, Form, f64)],
    at: Option<usize>,
    total: f64,
) -> Option<Form> {
    // Forms that are said the same count together: a short anywhere along a run is one.
    let mut said: Vec<(String, Form, f64)> = Vec::new();
    for (place, form, p) in forms {
        if at.is_some() && *place != at {
            continue;
        }
        let words = (of.somewhere)(Some(*form));
        match said.iter_mut().find(|(own, ..)| *own == words) {
            Some((.., sum)) => *sum += p,
            None => said.push((words, *form, *p)),
        }
    }
    said.into_iter()
        .find(|(.., sum)| *sum >= NEARLY_ALL * total)
        .map(|(_, form, _)| form)
}

/// `LS-1 to LS-7 alike, 13 % each`; `LS-7, 64 %; LS-8 and LS-9 alike, 10 % each; 4 more`.
fn listing(prepared: &Prepared, places: &[(usize, f64)], total: f64) -> String {
    let mut parts = Vec::new();
    let (mut said, mut held, mut from) = (0, 0.0, 0);
    while from < places.len() && parts.len() < GROUPS && held < MOST * total {
        let first = places[from].1;
        let figure = show::probability(Probability(first));
        let alike = places[from..]
            .iter()
            .take_while(|(_, p)| {
                show::probability(Probability(*p)) == figure && *p >= ALIKE * first
            })
            .count();
        let mut group: Vec<usize> = places[from..from + alike].iter().map(|it| it.0).collect();
        group.sort_unstable();
        let labels = ranges(prepared, &group);
        parts.push(if alike == 1 {
            format!("{labels}, {figure}")
        } else {
            format!("{labels} alike, {figure} each")
        });
        held += places[from..from + alike]
            .iter()
            .map(|it| it.1)
            .sum::<f64>();
        said += alike;
        from += alike;
    }
    if said < places.len() {
        parts.push(format!("{} more", places.len() - said));
    }
    parts.join("; ")
}

/// Labels of nodes in the plan's order, three or more in a row as `LS-1 to LS-7`. Places without a
/// part in the class (a joint box among loudspeakers) do not break a row: only a loudspeaker that
/// is not in the group does. What makes too many rows is only counted.
fn ranges(prepared: &Prepared, group: &[usize]) -> String {
    let network = prepared.sound().network();
    let joined =
        |one: usize, other: usize| (one + 1..other).all(|between| !network.is_loudspeaker(between));
    let mut rows: Vec<(usize, usize, usize)> = Vec::new();
    for at in group {
        match rows.last_mut() {
            Some((_, last, count)) if joined(*last, *at) => {
                *last = *at;
                *count += 1;
            }
            _ => rows.push((*at, *at, 1)),
        }
    }
    let label = |at: usize| prepared.nodes[at].1.to_string();
    let mut words: Vec<String> = Vec::new();
    for (first, last, count) in rows {
        match count {
            1 => words.push(label(first)),
            2 => words.extend([label(first), label(last)]),
            _ => words.push(format!("{} to {}", label(first), label(last))),
        }
    }
    match words.split_last() {
        _ if words.len() > ROWS => format!("{} places", group.len()),
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::super::example;
    use super::*;
    use crate::site::{Figures, LinePlan};

    /// Nine loudspeakers of the example in a row, a joint box after the third.
    fn prepared() -> Prepared {
        let (example, mut nodes) = (example::line(), Vec::new());
        for place in 0..10usize {
            let box_here = place == 3;
            let mut node = example.nodes[if box_here { 2 } else { 0 }].clone();
            node.from = place.checked_sub(1);
            node.label = if box_here {
                "J-1".to_owned()
            } else {
                format!("LS-{}", if place < 3 { place + 1 } else { place })
            };
            nodes.push(node);
        }
        let line = LinePlan { nodes, ..example };
        Prepared::new(&line, &Figures::default(), false)
    }

    #[track_caller]
    fn lists(places: &[(usize, f64)], words: &str) {
        let total = places.iter().map(|it| it.1).sum();
        assert_eq!(listing(&prepared(), places, total), words);
    }

    #[test]
    fn places_alike_are_one_group_and_three_in_a_row_are_a_range() {
        lists(
            &[(0, 0.13), (1, 0.13), (2, 0.13)],
            "LS-1 to LS-3 alike, 13 % each",
        );
        lists(&[(6, 0.2), (7, 0.2)], "LS-6 and LS-7 alike, 20 % each");
        // A joint box between loudspeakers does not break a row.
        lists(
            &[(1, 0.2), (2, 0.2), (4, 0.2)],
            "LS-2 to LS-4 alike, 20 % each",
        );
    }

    #[test]
    fn the_list_ends_when_most_is_said_and_counts_the_rest() {
        lists(
            &[(6, 0.64), (7, 0.16), (2, 0.1), (1, 0.05)],
            "LS-6, 64 %; LS-7, 16 %; 2 more",
        );
    }

    #[test]
    fn a_scattered_group_is_counted_not_listed() {
        let scattered: Vec<_> = [0, 2, 5, 7, 9].map(|at| (at, 0.1)).to_vec();
        lists(&scattered, "5 places alike, 10 % each");
    }

    #[test]
    fn two_faults_name_a_place_only_when_most_pairs_share_it() {
        let prepared = prepared();
        assert_eq!(
            two_faults(&prepared, &[(0, 0.1), (1, 0.1)], 0.3),
            "two faults"
        );
        assert_eq!(
            two_faults(&prepared, &[(0, 0.28), (1, 0.1)], 0.3),
            "two faults, one of them at LS-1, 28 %"
        );
        assert_eq!(
            two_faults(&prepared, &[(0, 0.299)], 0.3),
            "two faults, one of them at LS-1",
            "30 % stands before the sentence already"
        );
    }
}
