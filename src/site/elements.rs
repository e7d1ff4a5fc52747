//! Elements: which designs stand for which item, and the one rule that joins copies of a site.
//!
//! A site's design is a set of elements (item, stamp, design). Loading, replay of a journal,
//! recording an edit and merging two copies are all [`Elements::join`] or [`Elements::replace`].

use super::id::Stamp;
use super::item::{Design, Item, Kind, Ref};
use std::collections::BTreeMap;

/// The designs that stand for each item. One: settled. Several that differ: a question.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Elements(BTreeMap<Ref, Vec<(Stamp, Design)>>);

impl Elements {
    /// An element added; one that is there already is not doubled.
    pub fn add(&mut self, of: Ref, stamp: Stamp, design: Design) {
        let standing = self.0.entry(of).or_default();
        if standing.iter().any(|(s, d)| *s == stamp && *d == design) {
            return;
        }
        // Nearly always: nothing to be ordered against.
        if standing.is_empty() {
            standing.push((stamp, design));
            return;
        }
        // One stamp sets one design; where a forged file says otherwise, the text decides, so that
        // the order in which copies are joined cannot show.
        let key = |s: &Stamp, d: &Design| (s.clone(), format!("{d:?}"));
        let own = key(&stamp, &design);
        let at = standing
            .iter()
            .position(|(s, d)| key(s, d) > own)
            .unwrap_or(standing.len());
        standing.insert(at, (stamp, design));
    }

    /// An edit: the designs it names make place for the new one.
    pub fn replace(&mut self, of: &Ref, was: &[(Stamp, Design)], stamp: Stamp, now: Design) {
        if let Some(standing) = self.0.get_mut(of) {
            standing.retain(|element| !was.contains(element));
        }
        self.add(of.clone(), stamp, now);
    }

    /// Three copies into one. An element of the base stays if both sides kept it; one that is not
    /// in the base stays if either side has it. The sides may be named in either order.
    #[must_use]
    pub fn join(base: &Self, ours: &Self, theirs: &Self) -> Self {
        let mut out = Self::default();
        for (side, other) in [(ours, theirs), (theirs, ours)] {
            for (of, stamp, design) in side.iter() {
                if !base.has(of, stamp, design) || other.has(of, stamp, design) {
                    out.add(of.clone(), stamp.clone(), design.clone());
                }
            }
        }
        out
    }

    /// Whether this very element stands.
    #[must_use]
    pub fn has(&self, of: &Ref, stamp: &Stamp, design: &Design) -> bool {
        self.0
            .get(of)
            .is_some_and(|standing| standing.iter().any(|(s, d)| s == stamp && d == design))
    }

    /// Every element.
    pub fn iter(&self) -> impl Iterator<Item = (&Ref, &Stamp, &Design)> {
        self.0
            .iter()
            .flat_map(|(of, standing)| standing.iter().map(move |(s, d)| (of, s, d)))
    }

    /// The designs that stand for an item.
    #[must_use]
    pub fn standing(&self, of: &Ref) -> &[(Stamp, Design)] {
        self.0.get(of).map_or(&[], Vec::as_slice)
    }

    /// The one design of an item; none where it is unknown or in question.
    #[must_use]
    pub fn settled(&self, of: &Ref) -> Option<&Design> {
        settled(self.standing(of))
    }

    /// Every settled item.
    pub fn items(&self) -> impl Iterator<Item = (&Ref, &Design)> {
        self.0
            .iter()
            .filter_map(|(of, standing)| Some((of, settled(standing)?)))
    }

    /// Every item for which two different designs stand.
    pub fn questions(&self) -> impl Iterator<Item = (&Ref, &[(Stamp, Design)])> {
        self.0
            .iter()
            .filter(|(_, standing)| !standing.is_empty() && settled(standing).is_none())
            .map(|(of, standing)| (of, standing.as_slice()))
    }

    /// The settled items as rows of the file: by kind, parent, order, id.
    #[must_use]
    pub fn rows(&self) -> Vec<Item> {
        let mut rows: Vec<(Kind, Item)> = self
            .0
            .iter()
            .filter(|(_, standing)| settled(standing).is_some())
            .flat_map(|(of, standing)| {
                standing.iter().map(move |(stamp, design)| {
                    let item = Item {
                        id: of.id().to_owned(),
                        stamp: stamp.clone(),
                        is: design.clone(),
                    };
                    (of.kind(), item)
                })
            })
            .collect();
        rows.sort_by(|(a_kind, a), (b_kind, b)| {
            a_kind
                .cmp(b_kind)
                .then_with(|| a.is.parent().cmp(b.is.parent()))
                .then_with(|| a.is.order().total_cmp(&b.is.order()))
                .then_with(|| a.id.cmp(&b.id))
                .then_with(|| a.stamp.cmp(&b.stamp))
        });
        rows.into_iter().map(|(_, item)| item).collect()
    }
}

fn settled(standing: &[(Stamp, Design)]) -> Option<&Design> {
    let (_, first) = standing.first()?;
    standing
        .iter()
        .all(|(_, design)| design == first)
        .then_some(first)
}

impl FromIterator<Item> for Elements {
    fn from_iter<T: IntoIterator<Item = Item>>(items: T) -> Self {
        let mut out = Self::default();
        for item in items {
            out.add(Ref::new(item.is.kind(), &item.id), item.stamp, item.is);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::item::Zone;
    use proptest::prelude::*;

    fn zone(label: &str) -> Design {
        Design::Zone(Zone {
            label: label.into(),
            order: 1.0,
        })
    }

    fn set(rows: &[(u8, u8, u8)]) -> Elements {
        let mut out = Elements::default();
        for (item, stamp, design) in rows {
            out.add(
                Ref::Zone(format!("Z{item}").as_str().into()),
                Stamp(format!("w-{stamp}")),
                zone(&format!("name {design}")),
            );
        }
        out
    }

    fn rows() -> impl Strategy<Value = Vec<(u8, u8, u8)>> {
        prop::collection::vec((0u8..3, 0u8..3, 0u8..3), 0..8)
    }

    #[test]
    fn one_stamp_with_two_designs_joins_alike_from_either_side() {
        let (ours, theirs) = (set(&[(2, 0, 1)]), set(&[(2, 0, 0)]));
        let base = Elements::default();
        let joined = Elements::join(&base, &ours, &theirs);
        assert_eq!(joined, Elements::join(&base, &theirs, &ours));
        assert_eq!(joined, Elements::join(&base, &joined, &joined));
        assert_eq!(joined.questions().count(), 1);
    }

    proptest! {
        #[test]
        fn joining_knows_no_order_and_joining_again_changes_nothing(
            base in rows(), ours in rows(), theirs in rows()
        ) {
            let (base, ours, theirs) = (set(&base), set(&ours), set(&theirs));
            let joined = Elements::join(&base, &ours, &theirs);
            prop_assert_eq!(&joined, &Elements::join(&base, &theirs, &ours));
            prop_assert_eq!(&joined, &Elements::join(&base, &joined, &joined));
            for (of, stamp, design) in ours.iter().chain(theirs.iter()) {
                prop_assert!(base.has(of, stamp, design) || joined.has(of, stamp, design));
            }
        }
    }

    #[test]
    fn an_edit_on_one_side_wins_over_the_base_and_two_edits_are_a_question() {
        let of = Ref::Zone("Z1".into());
        let mut base = Elements::default();
        base.add(of.clone(), "i-1".into(), zone("Hall"));
        let was = base.standing(&of).to_vec();
        let (mut ours, mut theirs) = (base.clone(), base.clone());
        ours.replace(&of, &was, "a-1".into(), zone("Great hall"));
        assert_eq!(Elements::join(&base, &ours, &theirs), ours);
        theirs.replace(&of, &was, "b-1".into(), zone("Old hall"));
        let joined = Elements::join(&base, &ours, &theirs);
        assert_eq!(joined.settled(&of), None);
        assert_eq!(joined.questions().count(), 1);
        assert_eq!(joined.standing(&of).len(), 2);
    }

    #[test]
    fn equal_designs_under_two_stamps_are_no_question() {
        let of = Ref::Zone("Z1".into());
        let mut elements = Elements::default();
        elements.add(of.clone(), "a-1".into(), zone("Hall"));
        elements.add(of.clone(), "b-1".into(), zone("Hall"));
        assert_eq!(elements.settled(&of), Some(&zone("Hall")));
        assert_eq!(elements.rows().len(), 2);
    }
}
