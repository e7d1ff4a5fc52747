//! What a file asks besides items with two designs: items that do not fit together, lines retired
//! while they were read.

use super::Question;
use crate::site::{Design, Elements, Kind, Problem, Ref, Stamp, Tangle, TangleIs};
use std::collections::HashSet;

/// Takes over what a file asks; returns what it ought to ask and does not: after a merge the file
/// asks what is to become of items in a ring or of one label, in a file that nobody joined they are
/// a slip of its writer.
pub(super) fn ask(elements: &mut Elements, questions: &[Question]) -> Vec<Problem> {
    elements.look();
    let asked: HashSet<&Ref> = questions.iter().map(|it| &it.of).collect();
    let slips = elements
        .tangles()
        .iter()
        .filter(|tangle| !matches!(tangle.why, TangleIs::Retired { .. }))
        .filter(|tangle| !tangle.of.iter().all(|of| asked.contains(of)))
        .flat_map(Tangle::problems)
        .collect();
    doubts(elements, questions);
    slips
}

/// Lines that stand among the questions though one design stands for them, their retirement: they
/// were read meanwhile by somebody who did not know.
fn doubts(elements: &mut Elements, questions: &[Question]) {
    let mut doubted: Vec<(Ref, Stamp)> = Vec::new();
    for question in questions {
        let of = &question.of;
        if of.kind() != Kind::Line {
            continue;
        }
        for (stamp, _, _, design) in &question.designs {
            if matches!(design, Design::Retired(_)) {
                doubted.push((of.clone(), stamp.clone()));
            }
        }
    }
    for (of, stamp) in doubted {
        elements.doubt(of, stamp);
    }
}
