//! Elements: which designs stand for which item, and the one rule that joins copies of a site.
//!
//! A site's design is a set of elements (item, stamp, design). Loading, replay of a journal,
//! recording an edit and merging two copies are all [`Elements::join`] or [`Elements::replace`].

use super::entry::Edit;
use super::id::Stamp;
use super::item::{Design, Item};
use super::item_ref::{Kind, Ref};
use super::standing::{StandingDesigns, lone, lone_items};
use super::tangle::{Tangle, tangles};
use std::collections::BTreeSet;

/// The designs that stand for each item. One: settled. Several that differ: a question. So is an
/// item that is caught in a [`Tangle`], and a line that one side retired while another read on it.
#[derive(Clone, Debug, Default)]
pub struct Elements {
    standing: StandingDesigns,
    /// Retirements of lines that a merge put in doubt: somebody read there who did not know.
    doubted: BTreeSet<(Ref, Stamp)>,
    /// What does not fit together, each on its own sound; kept by [`Elements::look`].
    tangles: Vec<Tangle>,
    tangled: BTreeSet<Ref>,
    /// Something changed since then.
    unlooked: bool,
}

impl PartialEq for Elements {
    fn eq(&self, other: &Self) -> bool {
        // All else follows from these.
        self.standing == other.standing && self.doubted == other.doubted
    }
}

impl Elements {
    /// The elements of a file's rows; none where one id stands twice. Rows that are sorted already, or
    /// in a few sorted parts, cost little.
    #[must_use]
    pub fn of_rows(mut rows: Vec<(Ref, Stamp, Design)>) -> Option<Self> {
        rows.sort_by(|a, b| a.0.cmp(&b.0));
        if rows.windows(2).any(|pair| pair[0].0 == pair[1].0) {
            return None;
        }
        let standing = rows
            .into_iter()
            .map(|(of, stamp, design)| (of, vec![(stamp, design)]));
        Some(Self {
            standing: standing.collect(),
            unlooked: true,
            ..Self::default()
        })
    }

    /// Whether these elements fit together, none of their retirements in doubt.
    #[must_use]
    pub fn fit(&self) -> bool {
        self.doubted.is_empty() && self.find_tangles().is_empty()
    }

    /// Notes that these elements were looked at and [`Elements::fit`].
    pub(super) fn looked_at(mut self) -> Self {
        self.unlooked = false;
        self
    }

    /// An element added; one that is there already is not doubled.
    pub fn add(&mut self, of: Ref, stamp: Stamp, design: Design) {
        self.unlooked = true;
        let standing = self.standing.entry(of).or_default();
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
        if let Some(standing) = self.standing.get_mut(of) {
            standing.retain(|element| !was.contains(element));
        }
        self.add(of.clone(), stamp, now);
    }

    /// An edit taken back, in any order with others: what these made goes, what else it took the place of stands.
    pub(super) fn take_back(&mut self, edit: &Edit, is_made: impl Fn(&Stamp) -> bool) {
        let of = &edit.of;
        if let Some(standing) = self.standing.get_mut(of) {
            standing.retain(|(stamp, _)| !is_made(stamp));
        }
        for (stamp, design) in edit.was.iter().filter(|(stamp, _)| !is_made(stamp)) {
            self.add(of.clone(), stamp.clone(), design.clone());
        }
        if self.standing(of).is_empty() {
            self.standing.remove(of);
        }
        self.unlooked = true;
    }

    /// Puts the retirement of a line in doubt: it is a question until an edit takes its place.
    pub fn doubt(&mut self, of: Ref, stamp: Stamp) {
        self.doubted.insert((of, stamp));
        self.unlooked = true;
    }

    /// The same retirements in doubt as in other elements, as far as they stand here.
    pub fn doubt_as(&mut self, other: &Self) {
        self.doubted.extend(other.doubted.iter().cloned());
        self.unlooked = true;
    }

    /// Looks anew at what does not fit together. To be called when elements have changed, before
    /// anyone asks what is settled; [`super::Site`] does.
    pub fn look(&mut self) {
        if !self.unlooked {
            return;
        }
        self.unlooked = false;
        let standing = &self.standing;
        self.doubted.retain(|(of, stamp)| {
            let elements = standing.get(of).map_or(&[][..], Vec::as_slice);
            elements.iter().any(|(own, _)| own == stamp)
        });
        let tangles = self.find_tangles();
        let items = tangles.iter().flat_map(|tangle| tangle.of.iter().cloned());
        self.tangled = items.collect();
        self.tangles = tangles;
    }

    /// What does not fit together, looked for anew.
    pub(super) fn find_tangles(&self) -> Vec<Tangle> {
        tangles(&self.standing)
    }

    /// What does not fit together, as of the last [`Elements::look`].
    #[must_use]
    pub fn tangles(&self) -> &[Tangle] {
        &self.tangles
    }

    /// Whether the retirement of an item is in doubt.
    #[must_use]
    pub fn is_doubted(&self, of: &Ref) -> bool {
        !self.doubted.is_empty()
            && self
                .standing(of)
                .iter()
                .any(|(stamp, _)| self.doubted.contains(&(of.clone(), stamp.clone())))
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
            for doubt in &side.doubted {
                if !base.doubted.contains(doubt) || other.doubted.contains(doubt) {
                    out.doubted.insert(doubt.clone());
                }
            }
        }
        out.unlooked = true;
        out.look();
        out
    }

    /// Whether this very element stands.
    #[must_use]
    pub fn has(&self, of: &Ref, stamp: &Stamp, design: &Design) -> bool {
        self.standing
            .get(of)
            .is_some_and(|standing| standing.iter().any(|(s, d)| s == stamp && d == design))
    }

    /// How many items of a kind have a design, retired ones among them.
    #[must_use]
    pub fn count(&self, kind: Kind) -> usize {
        let of_kind = |(of, standing): &(&Ref, &Vec<_>)| of.kind() == kind && !standing.is_empty();
        self.standing.iter().filter(of_kind).count()
    }

    /// Every element.
    pub fn iter(&self) -> impl Iterator<Item = (&Ref, &Stamp, &Design)> {
        self.standing
            .iter()
            .flat_map(|(of, standing)| standing.iter().map(move |(s, d)| (of, s, d)))
    }

    /// The designs that stand for an item.
    #[must_use]
    pub fn standing(&self, of: &Ref) -> &[(Stamp, Design)] {
        self.standing.get(of).map_or(&[], Vec::as_slice)
    }

    /// What people call an item: the label of its first design, its id where it has none.
    #[must_use]
    pub fn label<'a>(&'a self, of: &'a Ref) -> &'a str {
        let first = self.standing(of).first();
        let label = first.and_then(|(_, design)| design.label());
        label.unwrap_or_else(|| of.id())
    }

    /// The one design of an item; none where it is unknown or in question.
    #[must_use]
    pub fn settled(&self, of: &Ref) -> Option<&Design> {
        lone(self.standing(of)).filter(|_| !self.is_caught(of))
    }

    /// Every settled item.
    pub fn items(&self) -> impl Iterator<Item = (&Ref, &Design)> {
        lone_items(&self.standing).filter(|(of, _)| !self.is_caught(of))
    }

    /// Every settled item of a kind.
    pub(super) fn items_of(&self, kind: Kind) -> impl Iterator<Item = (&Ref, &Design)> {
        self.standing
            .range(Ref::new(kind, "")..)
            .take_while(move |(of, _)| of.kind() == kind)
            .filter_map(|(of, standing)| Some((of, lone(standing)?)))
            .filter(|(of, _)| !self.is_caught(of))
    }

    /// Every item in question, with the designs that stand for it: two or more that differ, or one
    /// that does not fit with others.
    pub fn questions(&self) -> impl Iterator<Item = (&Ref, &[(Stamp, Design)])> {
        self.standing
            .iter()
            .filter(|(of, standing)| {
                !standing.is_empty() && (lone(standing).is_none() || self.is_caught(of))
            })
            .map(|(of, standing)| (of, standing.as_slice()))
    }

    /// Every item for which two different designs stand.
    pub fn contested(&self) -> impl Iterator<Item = (&Ref, &[(Stamp, Design)])> {
        self.questions()
            .filter(|(_, standing)| lone(standing).is_none())
    }

    /// Every line whose retirement is in doubt and for which nothing else stands.
    pub fn doubts(&self) -> impl Iterator<Item = &Ref> {
        let mut all: Vec<&Ref> = self.doubted.iter().map(|(of, _)| of).collect();
        all.dedup();
        all.into_iter()
            .filter(|of| lone(self.standing(of)).is_some() && self.is_doubted(of))
    }

    /// How many questions stand: one for each item with two designs, one for each tangle whatever
    /// the number of its items, one for each retirement in doubt.
    #[must_use]
    pub fn question_count(&self) -> usize {
        self.contested().count() + self.tangles.len() + self.doubts().count()
    }

    fn is_caught(&self, of: &Ref) -> bool {
        self.tangled.contains(of) || self.is_doubted(of)
    }

    /// The settled items as rows of the file: by kind, parent, order, id.
    #[must_use]
    pub fn rows(&self) -> Vec<Item> {
        let mut rows: Vec<(Kind, Item)> = self
            .standing
            .iter()
            .filter(|(of, standing)| lone(standing).is_some() && !self.is_caught(of))
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

impl FromIterator<Item> for Elements {
    fn from_iter<T: IntoIterator<Item = Item>>(items: T) -> Self {
        let mut out = Self::default();
        for item in items {
            out.add(Ref::new(item.is.kind(), &item.id), item.stamp, item.is);
        }
        out.look();
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::example::zone;

    use proptest::prelude::*;

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
