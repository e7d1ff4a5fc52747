//! What typed words come to: items and their new designs, one act.

use crate::site::{Design, Elements, Ref, Stamp};

/// Items that change in one act.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::session) struct Built {
    /// Item and new design, parents first.
    pub changes: Vec<(Ref, Design)>,
    /// What it is about: where the cursor goes.
    pub main: Option<Ref>,
}

impl Built {
    /// The design with these changes.
    pub fn onto(&self, elements: &Elements) -> Elements {
        let mut out = elements.clone();
        for (of, now) in &self.changes {
            let was = out.standing(of).to_vec();
            out.replace(of, &was, Stamp::of_import(now), now.clone());
        }
        out.look();
        out
    }

    /// Puts a design among the changes; the last one of an item counts.
    pub fn set(&mut self, of: Ref, now: Design) {
        match self.changes.iter_mut().find(|(other, _)| *other == of) {
            Some(place) => place.1 = now,
            None => self.changes.push((of, now)),
        }
    }
}
