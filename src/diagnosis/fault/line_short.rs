//! A run is shorted somewhere along it, evenly: 0.2 ohm across the pair, placed in equal cells of
//! at most half an ohm of loop resistance, at least two a run, at their centres. \[assumed\]

use super::{FaultType, Form, List, Place};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::{Fraction, Ohm};
use crate::site::Figure;

/// What is left of a short in a cable.
pub(super) const SHORT: Ohm = Ohm(0.2);
/// Longest cell, as loop resistance.
const CELL: Ohm = Ohm(0.5);
/// So many cells a line at most before they are made longer: a kilohm of cable.
const MOST_CELLS: f64 = 2000.0;
/// Fewest cells a run.
const FEWEST: f64 = 2.0;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::LineShort,
    meaning: "the cores of a run touch: the whole line goes quiet, silent beyond",
    rate: Figure::RateLineShort,
    list: List::Run,
    before_place: "before ",
    forms,
    change,
    at: |place, _| format!("cable shorted {place}"),
    somewhere: |_| "cable shorted".to_owned(),
};

/// The length of the cells for a line with so much loop resistance in all. Half an ohm; more only
/// on lines of over a kilohm of cable, where half an ohm is less than any reading shows.
#[must_use]
pub fn cell(whole_line: Ohm) -> Ohm {
    Ohm(CELL.get().max(whole_line.get() / MOST_CELLS))
}

fn forms(place: &Place<'_>) -> Vec<Form> {
    let ratio = place.loop_resistance.get() / place.cell.get();
    // A run of exactly one cell's length must not become two by rounding.
    let cells = (ratio * (1.0 - 1e-12)).ceil().clamp(FEWEST, MOST_CELLS);
    let mut out = Vec::new();
    let mut centre = 0.5;
    while centre < cells {
        out.push(Form::Along(Fraction(centre / cells)));
        centre += 1.0;
    }
    out
}

fn change(_: &Network, run: usize, form: Form) -> Option<Change> {
    let Form::Along(along) = form else {
        return None;
    };
    Some(Change::Short {
        run,
        along,
        ohm: SHORT,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;
    use crate::site::LinePlan;

    fn centres(loop_resistance: f64) -> Vec<f64> {
        let line: LinePlan = example::line();
        forms(&Place {
            node: &line.nodes[0],
            loop_resistance: Ohm(loop_resistance),
            cell: cell(Ohm(loop_resistance)),
        })
        .into_iter()
        .map(|form| match form {
            Form::Along(along) => along.get(),
            other => panic!("{other:?}"),
        })
        .collect()
    }

    #[test]
    fn a_run_is_cut_in_cells_of_at_most_half_an_ohm_and_never_fewer_than_two() {
        assert_eq!(centres(0.0), [0.25, 0.75]);
        assert_eq!(centres(1.0), [0.25, 0.75]);
        assert_eq!(centres(1.01), [0.5 / 3.0, 0.5, 2.5 / 3.0]);
    }

    #[test]
    fn kilometres_of_cable_get_longer_cells_and_not_more_of_them() {
        assert_eq!(cell(Ohm(900.0)), Ohm(0.5));
        assert_eq!(cell(Ohm(4000.0)), Ohm(2.0));
        assert_eq!(centres(4000.0).len(), 2000);
    }

    #[test]
    fn the_line_reads_the_cable_to_the_short_and_what_is_left_of_it() {
        let network = example::network(0.0);
        let laid = change(&network, 0, Form::Along(Fraction(0.25))).unwrap();
        let reads = network
            .with(&[laid])
            .solve()
            .input()
            .modulus()
            .unwrap()
            .get();
        // A quarter of 20 m at 0.0242 ohm, then 0.2 ohm beside two windings of 0.08 x 10^4 / 6 ohm
        // (the cable behind the short is a fraction of an ohm in series with them).
        let windings = 2.0 / (0.08 * 1e4 / 6.0);
        let want = 0.25 * 0.484 + 1.0 / (5.0 + windings);
        assert!((reads - want).abs() < 1e-4, "{reads} {want}");
    }
}
