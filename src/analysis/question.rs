//! Lines whose drawing is in question: some item they are made of has two designs or does not fit
//! with another.

use crate::site::{Design, LineId, Ref, Site};
use std::collections::HashSet;

/// Every line that an open question touches: the line itself, a node on it, its output or
/// amplifier, a cable it is wired with. What is drawn of such a line is not all there is.
#[must_use]
pub fn lines_in_question(site: &Site) -> HashSet<LineId> {
    let elements = site.elements();
    let mut out = HashSet::new();
    let (mut outputs, mut amplifiers, mut cables) =
        (HashSet::new(), HashSet::new(), HashSet::new());
    for (of, standing) in elements.questions() {
        match of {
            Ref::Line(id) => {
                out.insert(id.clone());
            }
            Ref::Node(_) => {
                let parents = standing.iter().map(|(_, design)| design.parent());
                out.extend(parents.map(LineId::from));
            }
            Ref::Output(id) => {
                outputs.insert(id.as_str());
            }
            Ref::Amplifier(id) => {
                amplifiers.insert(id.as_str());
            }
            Ref::Cable(id) => {
                cables.insert(id.as_str());
            }
            _ => {}
        }
    }
    if outputs.is_empty() && amplifiers.is_empty() && cables.is_empty() {
        return out;
    }
    for (of, _, design) in elements.iter() {
        if let (Ref::Output(id), Design::Output(it)) = (of, design)
            && amplifiers.contains(it.amplifier.as_str())
        {
            outputs.insert(id.as_str());
        }
    }
    for (of, _, design) in elements.iter() {
        let (line, touched) = match (of, design) {
            (Ref::Line(id), Design::Line(it)) => (id.clone(), outputs.contains(it.output.as_str())),
            _ => match design.node() {
                Some(it) => (it.line.clone(), cables.contains(it.cable.as_str())),
                None => continue,
            },
        };
        if touched {
            out.insert(line);
        }
    }
    out
}
