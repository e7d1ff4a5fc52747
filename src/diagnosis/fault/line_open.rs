//! A run is open at its near end: the run, its own capacitance and all beyond it are gone.

use super::{FaultType, Form, List, at_runs};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::site::Figure;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::LineOpen,
    meaning: "a run is open: all beyond it is silent",
    rate: Figure::RateLineOpen,
    list: List::Run,
    before_place: "before ",
    forms: at_runs,
    change,
    at: |place, _| format!("cable broken {place}"),
    somewhere: |_| "cable broken".to_owned(),
};

fn change(_: &Network, run: usize, _: Form) -> Option<Change> {
    Some(Change::Break { run })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn a_break_of_the_only_run_at_the_rack_leaves_nothing_connected() {
        let network = example::network(1000.0);
        let changed = network.with(
            &change(&network, 0, Form::Plain)
                .into_iter()
                .collect::<Vec<_>>(),
        );
        assert_eq!(changed.solve().input().modulus(), None);
    }

    #[test]
    fn it_is_named_by_the_place_behind_it() {
        assert_eq!((TYPE.at)("before LS-7", None), "cable broken before LS-7");
        // A joint box has its run too.
        assert_eq!(example::forms(&TYPE, 2), [Form::Plain]);
    }
}
