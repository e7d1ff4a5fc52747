//! What a signature is for: the whole site, an amplifier, an output, a zone, a line.
//!
//! Never here: what stands in the way of it.

use crate::site::{Design, Ref, Site};

/// Places in the plan of the lines that belong to a scope, in rack order.
#[must_use]
pub fn lines_in(site: &Site, scope: &Ref) -> Vec<usize> {
    (0..site.plan().lines.len())
        .filter(|at| has_line(site, scope, *at))
        .collect()
}

/// Whether a line, by its place in the plan, belongs to a scope.
#[must_use]
pub fn has_line(site: &Site, scope: &Ref, at: usize) -> bool {
    let plan = site.plan();
    let line = &plan.lines[at];
    match scope {
        Ref::Site => true,
        Ref::Zone(id) => line.zone == *id,
        Ref::Output(id) => plan.outputs[line.output].id == *id,
        Ref::Amplifier(id) => plan
            .amplifiers
            .iter()
            .any(|it| it.id == *id && it.outputs.contains(&line.output)),
        Ref::Line(id) => line.id == *id,
        _ => false,
    }
}

/// Places in the plan of the outputs that feed a scope.
#[must_use]
pub fn outputs_in(site: &Site, scope: &Ref) -> Vec<usize> {
    let plan = site.plan();
    let mut out: Vec<usize> = match scope {
        Ref::Site => (0..plan.outputs.len()).collect(),
        Ref::Amplifier(id) => plan
            .amplifiers
            .iter()
            .filter(|it| it.id == *id)
            .flat_map(|it| it.outputs.clone())
            .collect(),
        _ => lines_in(site, scope)
            .into_iter()
            .map(|at| plan.lines[at].output)
            .collect(),
    };
    out.sort_unstable();
    out.dedup();
    out
}

/// Places in the plan of the amplifiers that feed a scope.
#[must_use]
pub fn amplifiers_in(site: &Site, scope: &Ref) -> Vec<usize> {
    let outputs = outputs_in(site, scope);
    let plan = site.plan();
    (0..plan.amplifiers.len())
        .filter(|at| {
            outputs
                .iter()
                .any(|output| plan.amplifiers[*at].outputs.contains(output))
        })
        .collect()
}

/// The scope of all in words.
pub const WHOLE_SITE: &str = "the whole site";

/// A scope in words: `the whole site`, `amplifier A1`, `zone Palm house`.
#[must_use]
pub fn scope_words(site: &Site, scope: &Ref) -> String {
    let label = label_of(site, scope);
    match scope {
        Ref::Site => WHOLE_SITE.to_owned(),
        Ref::Amplifier(_) => format!("amplifier {label}"),
        Ref::Output(_) => format!("output {label}"),
        Ref::Zone(_) => format!("zone {label}"),
        Ref::Line(_) => format!("line {label}"),
        _ => label,
    }
}

/// The label of an item alone, for where its line or amplifier is named already.
#[must_use]
pub fn own_label_of(site: &Site, of: &Ref) -> String {
    site.elements().label(of).to_owned()
}

/// What people call an item: its label, with its line or amplifier before it where the label alone
/// is not unique on the site.
#[must_use]
pub fn label_of(site: &Site, of: &Ref) -> String {
    let elements = site.elements();
    let own = elements.label(of);
    let design = elements.standing(of).first().map(|(_, it)| it.drawn());
    let (within, joint) = match design {
        Some(Design::Output(it)) => (Ref::Amplifier(it.amplifier.clone()), " out "),
        Some(design) => match design.node() {
            Some(node) => (Ref::Line(node.line.clone()), " "),
            None => return own.to_owned(),
        },
        None => return own.to_owned(),
    };
    format!("{}{joint}{own}", label_of(site, &within))
}
