//! What is not ticked, of the amplifiers and lines that were worked on.
//!
//! Never here: what a tick means.

use super::scope::{amplifiers_in, lines_in};
use super::ticks::{is_asked, is_done, line_ticked, ticked, ticked_once};
use crate::site::{CORES_OFF, CORES_ON, Do, LISTS, ListItem, ListOf, Ref, Site};

/// Whether something was read on a line, or it was taken off, on the latest visit.
#[must_use]
pub fn worked_on(site: &Site, line: usize) -> bool {
    let visit = site.visit();
    let history = site.history(&site.plan().lines[line].id);
    let states = history.states(&visit);
    states
        .iter()
        .any(|state| history.in_state(site, state).next().is_some())
        || history.entries().iter().any(|entry| {
            matches!(&entry.what, Do::Tick(tick) if tick.item == CORES_OFF && tick.visit == visit)
        })
}

/// Whether insulation was read on a line in its latest state.
fn insulated(site: &Site, line: usize) -> bool {
    let history = site.history(&site.plan().lines[line].id);
    let state = history.state();
    !history.insulation(site, &state).is_empty()
}

/// Lines of an amplifier that an item is asked of: those that were worked on.
fn asked_of(site: &Site, item: &ListItem, lines: &[usize]) -> Vec<usize> {
    // That a line is back on is another matter: it is OFF until then.
    if item.item == CORES_ON {
        return Vec::new();
    }
    lines
        .iter()
        .copied()
        .filter(|at| item.of != ListOf::InsulationLine || insulated(site, *at))
        .collect()
}

/// Items that wait, by their place in [`LISTS`], with what they are of and in words.
pub(super) fn unticked(site: &Site, scope: &Ref) -> Vec<(usize, Ref, String)> {
    let plan = site.plan();
    let mut out = Vec::new();
    let mut any = false;
    for at in amplifiers_in(site, scope) {
        let amplifier = &plan.amplifiers[at];
        let outputs = amplifier.outputs.clone();
        let lines: Vec<usize> = outputs
            .flat_map(|output| plan.outputs[output].lines.clone())
            .filter(|line| worked_on(site, *line))
            .collect();
        if lines.is_empty() {
            continue;
        }
        any = true;
        let of = || Ref::Amplifier(amplifier.id.clone());
        let in_scope = lines_in(site, scope);
        for (place, item) in LISTS.iter().enumerate() {
            match item.of {
                ListOf::Visit => {}
                ListOf::Amplifier | ListOf::VoiceAlarm => {
                    let done = ticked(site, item.item, amplifier).is_some_and(is_done);
                    if is_asked(item, amplifier) && !done {
                        out.push((place, of(), format!("not ticked: {}", item.words)));
                    }
                }
                ListOf::Line | ListOf::InsulationLine => {
                    let waiting: Vec<&str> = asked_of(site, item, &lines)
                        .into_iter()
                        .filter(|line| in_scope.contains(line))
                        .map(|line| &plan.lines[line])
                        .filter(|line| !line_ticked(site, item.item, &line.id).is_some_and(is_done))
                        .map(|line| line.label.as_str())
                        .collect();
                    if !waiting.is_empty() {
                        let words = format!("not ticked: {}, {}", item.words, waiting.join(", "));
                        out.push((place, of(), words));
                    }
                }
            }
        }
    }
    if any {
        for (place, item) in LISTS.iter().enumerate() {
            let once = item.of == ListOf::Visit;
            if once && !ticked_once(site, item.item).is_some_and(is_done) {
                let words = format!("not ticked: {}", item.words);
                out.push((place, Ref::Visit(site.visit()), words));
            }
        }
    }
    out
}
