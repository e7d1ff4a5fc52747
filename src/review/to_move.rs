//! Words for cores that are not where they are drawn: of a line, and of an output whose load they are in.
//!
//! Never here: which those are (`analysis`).

use super::scope::label_of;
use crate::analysis::{Analyst, ToMove};
use crate::quantity::{Fraction, show};
use crate::site::{LineId, OutputId, Ref, Site};
use crate::verdict::OutputWord;

/// What is still to be done of a line, in words: `cores still on A1 out 2, drawn on A2 out 1`.
#[must_use]
pub fn to_move_words(site: &Site, to_move: &ToMove, line: &LineId) -> Option<String> {
    let on = to_move.on(line)?;
    let plan = site.plan();
    let drawn = &plan.outputs[plan.lines[plan.line(line)?].output].id;
    let label = |id: &OutputId| label_of(site, &Ref::Output(id.clone()));
    Some(match site.history(line).is_off() {
        true => format!(
            "its cores go back on {}, not on {}",
            label(drawn),
            label(on)
        ),
        false => format!("cores still on {}, drawn on {}", label(on), label(drawn)),
    })
}

/// Which lines the load of an output counts where their cores are and not where they are drawn, and what
/// it will be then: `; LH-3 not counted: its cores are still on A2 out 1; once moved 192.5 W, 80.2 %`.
/// Nothing where all cores are where they are drawn.
#[must_use]
pub fn cores_beside(site: &Site, analyst: &Analyst, output: usize) -> String {
    let plan = site.plan();
    let label = |at: usize| label_of(site, &Ref::Output(plan.outputs[at].id.clone()));
    let mut words = String::new();
    for at in analyst
        .to_move()
        .all()
        .filter_map(|(line, _)| plan.line(line))
    {
        let (drawn, on) = (plan.lines[at].output, analyst.output_of(site, at));
        let name = &plan.lines[at].label;
        if drawn == on {
            continue;
        } else if drawn == output {
            words.push_str(&format!(
                "; {name} not counted: its cores are still on {}",
                label(on)
            ));
        } else if on == output {
            words.push_str(&format!(
                "; {name} counted: its cores are still here, drawn on {}",
                label(drawn)
            ));
        }
    }
    let result = analyst.output(site, output, None);
    if let Some(moved) = &result.once_moved {
        match (moved.load, moved.left) {
            (Some(load), Some(left)) => words.push_str(&format!(
                "; once moved {}, {}",
                show::watt(load),
                show::percent(Fraction(1.0 - left.get()))
            )),
            (Some(load), None) => words.push_str(&format!("; once moved {}", show::watt(load))),
            (None, _) => words.push_str("; once moved it must not be connected"),
        }
        if matches!(moved.word, OutputWord::Over | OutputWord::Tight) {
            words.push_str(&format!(", {}", moved.word.short()));
        }
    }
    words
}
