//! The answer to a question that joined copies left: one of the things that two engineers said differently
//! is chosen, as an entry like any other.
//!
//! Never here: which is right.

use crate::site::{Do, Edit, Entry, Ref, Site, Void};

/// Why of an answer.
pub const ANSWERED: &str = "question answered";

/// Why something cannot be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoChoice {
    /// Nothing else stands for this item: it does not fit with another one.
    Alone(Ref),
    /// No question has it.
    Unknown,
}

/// The entry that answers the question in which this may be chosen, by the stamp of a design or the id of an
/// entry: a design that takes the place of all that stand, a strike of the other corrections.
///
/// # Errors
/// When no question has it, or there is nothing to choose between.
pub fn answer(site: &Site, choice: &str) -> Result<Do, NoChoice> {
    let elements = site.elements();
    let asked = elements.questions().find_map(|(of, standing)| {
        let found = standing.iter().find(|(stamp, _)| stamp.as_str() == choice);
        found.map(|(_, design)| (of, standing, design))
    });
    if let Some((of, standing, design)) = asked {
        let alone = elements.contested().all(|(other, _)| other != of) && !elements.is_doubted(of);
        if alone {
            return Err(NoChoice::Alone(of.clone()));
        }
        return Ok(Do::Edit(Edit {
            of: of.clone(),
            was: standing.to_vec(),
            now: design.clone(),
            undoes: None,
        }));
    }
    let rivals = site.log().rivals();
    let mut corrections = rivals.iter().flat_map(|(_, entries)| entries);
    let chosen = corrections.find(|entry| entry.id.as_str() == choice);
    chosen.map_or(Err(NoChoice::Unknown), |chosen| {
        let of = site.log().beside(chosen);
        Ok(Do::Void(Void { of }))
    })
}

/// What corrections that differ are a question on: their line, else the visit.
#[must_use]
pub fn asked_on(site: &Site, corrections: &[&Entry]) -> Ref {
    let line = corrections.iter().find_map(|entry| entry.what.line());
    line.map_or_else(|| Ref::Visit(site.visit()), |id| Ref::Line(id.clone()))
}
