//! The designs that stand for each item, and which of them is alone.
//!
//! Never here: whether items fit together.

use super::id::Stamp;
use super::item::Design;
use super::item_ref::Ref;
use std::collections::BTreeMap;

/// The designs that stand for each item, with the stamps that set them; in order.
pub(super) type StandingDesigns = BTreeMap<Ref, Vec<(Stamp, Design)>>;

/// The one design among those that stand for an item; none where two differ, or none stands.
pub(super) fn lone(standing: &[(Stamp, Design)]) -> Option<&Design> {
    let (_, first) = standing.first()?;
    standing[1..]
        .iter()
        .all(|(_, design)| design == first)
        .then_some(first)
}

/// Every item with one design, whether or not it fits with the others; sorted.
pub(super) fn lone_items(all: &StandingDesigns) -> impl Iterator<Item = (&Ref, &Design)> {
    all.iter()
        .filter_map(|(of, standing)| Some((of, lone(standing)?)))
}
