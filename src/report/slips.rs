//! How likely each of several readings of a line is simply wrong, as rows.
//!
//! Never here: what would follow from that.

use crate::diagnosis::{Posterior, Test};
use crate::quantity::Probability;
use crate::site::LinePlan;
use serde::Serialize;

/// A reading that may be wrong.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SlipRow {
    /// What was read: `rack`, `dc`, or a side of the opened line, `near` or `far`.
    pub test: &'static str,
    /// Label of the node that the line was opened at; null at the rack.
    pub at: Option<String>,
    /// Probability that it is simply wrong.
    pub probability: f64,
}

/// Those of a line, in the order they were taken.
pub(super) fn slips(suspects: &Posterior, line: &LinePlan) -> Vec<SlipRow> {
    let slip = |(test, p): &(Test, Probability)| {
        let (test, at) = match *test {
            Test::Rack => ("rack", None),
            Test::Dc => ("dc", None),
            Test::Near(at) => ("near", Some(at)),
            Test::Far(at) => ("far", Some(at)),
        };
        SlipRow {
            test,
            at: at.map(|at| line.nodes[at].label.clone()),
            probability: p.get(),
        }
    };
    suspects.slipped.iter().map(slip).collect()
}
