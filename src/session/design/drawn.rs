//! Questions about what is drawn: what belongs to an item, which label is next, which id is free.

use crate::site::{Design, Elements, Kind, Ref};

/// The design as it stands, entries on their way to the disk counted in.
#[derive(Clone, Copy, Debug)]
pub(in crate::session) struct Drawn<'a>(pub &'a Elements);

impl<'a> Drawn<'a> {
    /// What stands for an item; none where nothing does, or a question.
    pub fn standing(&self, of: &Ref) -> Option<&'a Design> {
        self.0
            .settled(of)
            .filter(|design| !matches!(design, Design::Retired(_)))
    }

    /// The label of an item, its id where it has none.
    pub fn label(&self, of: &Ref) -> String {
        self.0.label(of).to_owned()
    }

    /// What stands below a parent, in order. Amplifiers, zones, cables and types have none.
    pub fn below(&self, kind: Kind, parent: &str) -> Vec<(Ref, &'a Design)> {
        let mut out: Vec<(Ref, &Design)> = self
            .0
            .items()
            .filter(|(of, design)| {
                of.kind() == kind
                    && design.parent() == parent
                    && !matches!(design, Design::Retired(_))
            })
            .map(|(of, design)| (of.clone(), design))
            .collect();
        out.sort_by(|a, b| {
            let order = a.1.order().total_cmp(&b.1.order());
            order.then_with(|| a.0.cmp(&b.0))
        });
        out
    }

    /// Whether something of that kind has this label where labels must differ.
    pub fn has_label(&self, kind: Kind, parent: &str, label: &str) -> bool {
        self.labelled(kind, parent, label).is_some()
    }

    /// The item of that kind with this label; a line's is unique on the site.
    pub fn labelled(&self, kind: Kind, parent: &str, label: &str) -> Option<Ref> {
        let there = |of: &Ref, design: &Design| {
            of.kind() == kind
                && design.label() == Some(label)
                && (kind == Kind::Line || design.parent() == parent)
                && !matches!(design, Design::Retired(_))
        };
        let mut items = self.0.items();
        items
            .find(|(of, design)| there(of, design))
            .map(|(of, _)| of.clone())
    }

    /// The id for a new item: its label at birth, that of a retired one of the same name where there
    /// is one, else with a number behind.
    pub fn free(&self, kind: Kind, base: &str, parent: &str, label: &str) -> Ref {
        let back = self.0.items().find(|(of, design)| {
            of.kind() == kind
                && matches!(design, Design::Retired(_))
                && design.label() == Some(label)
                && (kind == Kind::Line || design.parent() == parent)
        });
        if let Some((of, _)) = back {
            return of.clone();
        }
        let own = Ref::new(kind, base);
        if self.0.standing(&own).is_empty() && base != crate::site::RACK {
            return own;
        }
        (2..)
            .map(|n| Ref::new(kind, &format!("{base}~{n}")))
            .find(|of| self.0.standing(of).is_empty())
            .unwrap_or(own)
    }

    /// The label after one: its number one up, the first that is free.
    pub fn next_label(&self, kind: Kind, parent: &str, last: Option<&str>, first: &str) -> String {
        let mut label = match last {
            None => first.to_owned(),
            Some(last) => one_up(last),
        };
        while self.has_label(kind, parent, &label) {
            label = one_up(&label);
        }
        label
    }
}

/// `LS-09` -> `LS-10`, `Hall` -> `Hall-2`.
fn one_up(label: &str) -> String {
    let digits = label.chars().rev().take_while(char::is_ascii_digit).count();
    let (head, number) = label.split_at(label.len() - digits);
    match number.parse::<u64>() {
        Ok(value) => format!("{head}{:0digits$}", value.saturating_add(1)),
        Err(_) => format!("{label}-2"),
    }
}

/// A number that places something at the n-th place (from 1) among others in order; half way between
/// its neighbours.
pub(super) fn place(orders: &[f64], nth: usize) -> f64 {
    let at = nth.saturating_sub(1).min(orders.len());
    match (
        at.checked_sub(1).map(|before| orders[before]),
        orders.get(at),
    ) {
        (None, None) => 1.0,
        (Some(before), None) => before + 1.0,
        (None, Some(after)) => after - 1.0,
        (Some(before), Some(after)) => f64::midpoint(before, *after),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_label_counts_on_and_keeps_its_width() {
        assert_eq!(one_up("LS-09"), "LS-10");
        assert_eq!(one_up("A9"), "A10");
        assert_eq!(one_up("Hall"), "Hall-2");
        assert_eq!(one_up("7"), "8");
    }

    #[test]
    fn what_goes_between_two_stands_half_way() {
        assert_eq!(place(&[1.0, 2.0], 2), 1.5);
        assert_eq!(place(&[1.0, 2.0], 1), 0.0);
        assert_eq!(place(&[1.0, 2.0], 9), 3.0);
        assert_eq!(place(&[], 1), 1.0);
    }
}
