//! The faults: one file a kind with its meaning, rate, places, change and words; here the table
//! that joins them.
//!
//! To add a kind: "A fault" in DEVELOPERS.md.
//!
//! Never here: likelihoods.

mod bad_joint;
mod control_down;
mod fixed;
mod line_open;
mod line_short;
mod loudspeaker_open;
mod loudspeaker_short;
mod no_transformer;
mod other_voltage;
mod secondary_short;
mod unlisted_load;
mod wrong_tap;

use super::kind::FaultKind;
use crate::circuit::{Change, Network};
use crate::quantity::{Admittance, Decibel, Fraction, Ohm, Watt};
use crate::site::{Figure, NodePlan};

pub use fixed::{Fixed, fixed};
pub use line_short::cell;

/// Every kind of fault.
pub static FAULTS: [&FaultType; 11] = [
    &loudspeaker_open::TYPE,
    &wrong_tap::TYPE,
    &loudspeaker_short::TYPE,
    &secondary_short::TYPE,
    &no_transformer::TYPE,
    &line_open::TYPE,
    &line_short::TYPE,
    &bad_joint::TYPE,
    &control_down::TYPE,
    &unlisted_load::TYPE,
    &other_voltage::TYPE,
];

/// Faults of one such list at one place exclude each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum List {
    /// The states of a loudspeaker.
    Loudspeaker,
    /// The states of a run.
    Run,
    /// The states of a level control.
    Control,
    /// A line has at most one unlisted load.
    Unlisted,
    /// A line has at most one other voltage.
    Voltage,
}

impl List {
    /// Whether there is one such list for the whole line, rather than one at each node.
    #[must_use]
    pub const fn is_of_the_line(self) -> bool {
        matches!(self, Self::Unlisted | Self::Voltage)
    }
}

/// Which of its forms a fault has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// It has only one.
    Plain,
    /// Set to another tap.
    Tap {
        /// As designed.
        from: Watt,
        /// As set.
        to: Watt,
    },
    /// At this fraction of the run from its near end.
    Along(Fraction),
    /// A control set down.
    Down(Decibel),
    /// A control off.
    Off,
    /// A load of this tap.
    Load(Watt),
    /// Every load so many times its design.
    Times(f64),
}

/// Where a fault may sit: a node, the run that feeds it and the control of that run.
#[derive(Clone, Copy, Debug)]
pub struct Place<'a> {
    /// The node.
    pub node: &'a NodePlan,
    /// Loop resistance of its run.
    pub loop_resistance: Ohm,
    /// Length of the cells in which a short is placed, as loop resistance.
    pub cell: Ohm,
}

/// A kind of fault.
pub struct FaultType {
    /// Its kind.
    pub kind: FaultKind,
    /// What it is and what it does.
    pub meaning: &'static str,
    /// How often it is met; per loudspeaker, run, control or line.
    pub rate: Figure,
    /// What excludes it.
    pub list: List,
    /// How its place is named before the label.
    pub before_place: &'static str,
    /// Every form it may have at a place, each as likely; empty where it cannot be.
    pub forms: fn(&Place<'_>) -> Vec<Form>,
    /// What it does to the healthy network; none where it changes nothing, such as an open voice
    /// coil at direct current.
    pub change: fn(&Network, usize, Form) -> Option<Change>,
    /// The sentence with its place; without a form where several are about as likely.
    pub at: fn(&str, Option<Form>) -> String,
    /// The sentence without a place.
    pub somewhere: fn(Option<Form>) -> String,
}

impl std::fmt::Debug for FaultType {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("FaultType").field(&self.kind).finish()
    }
}

/// One fault: a kind in one form at one place.
#[derive(Clone, Copy, Debug)]
pub struct Fault {
    /// What kind it is.
    pub of: &'static FaultType,
    /// Place of its node in the line's plan; none when it is of the whole line.
    pub at: Option<usize>,
    /// Its form.
    pub form: Form,
}

impl Fault {
    /// What it does to the healthy network of the line; none where it changes nothing.
    #[must_use]
    pub fn change(&self, healthy: &Network) -> Option<Change> {
        (self.of.change)(healthy, self.at.unwrap_or(0), self.form)
    }

    /// Whether this and another cannot be together.
    #[must_use]
    pub fn excludes(&self, other: &Self) -> bool {
        exclude((self.of.list, self.at), (other.of.list, other.at))
    }

    /// The load that an unlisted loudspeaker adds: its node and admittance.
    #[must_use]
    pub fn added_load(&self, healthy: &Network) -> Option<(usize, Admittance)> {
        match (self.of.kind, self.change(healthy)) {
            (FaultKind::UnlistedLoad, Some(Change::Shunt { at, y })) => Some((at, y)),
            _ => None,
        }
    }
}

/// Whether faults of these lists, each at its node, cannot be together.
pub(super) fn exclude(one: (List, Option<usize>), other: (List, Option<usize>)) -> bool {
    one.0 == other.0 && (one.0.is_of_the_line() || one.1 == other.1)
}

/// One form at a loudspeaker, none elsewhere.
fn at_loudspeakers(place: &Place<'_>) -> Vec<Form> {
    if place.node.is_loudspeaker() {
        vec![Form::Plain]
    } else {
        Vec::new()
    }
}

/// One form, at every place: each node has its run.
fn at_runs(_: &Place<'_>) -> Vec<Form> {
    vec![Form::Plain]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_has_every_kind_once_in_the_order_of_kinds() {
        let kinds: Vec<FaultKind> = FAULTS.iter().map(|fault| fault.kind).collect();
        assert_eq!(kinds, FaultKind::ALL[1..12]);
        for fault in FAULTS {
            assert_eq!(
                fault.rate.row().name,
                format!("rate.{}", fault.kind),
                "its rate is named after it"
            );
            assert!(!fault.meaning.is_empty());
        }
    }
}
