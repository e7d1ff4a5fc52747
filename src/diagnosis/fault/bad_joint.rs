//! A joint has gone bad: 30 ohm in series at the near end of a run, behind its control.
//! \[assumed\]

use super::{FaultType, Form, List, at_runs};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::Impedance;
use crate::site::Figure;

/// What a bad joint adds, ohm.
pub(super) const JOINT_OHM: f64 = 30.0;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::BadJoint,
    meaning: "a joint has resistance: all beyond it is quieter",
    rate: Figure::RateBadJoint,
    list: List::Run,
    before_place: "before ",
    forms: at_runs,
    change,
    at: |place, _| format!("bad joint {place}"),
    somewhere: |_| "a bad joint".to_owned(),
};

fn change(_: &Network, run: usize, _: Form) -> Option<Change> {
    Some(Change::Series {
        run,
        z: Impedance::new(JOINT_OHM, 0.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn at_the_rack_it_just_adds() {
        let network = example::network(0.0);
        let laid = change(&network, 0, Form::Plain).unwrap();
        let before = network.solve().input().modulus().unwrap().get();
        let after = network
            .with(&[laid])
            .solve()
            .input()
            .modulus()
            .unwrap()
            .get();
        assert!((after - before - 30.0).abs() < 1e-9);
        assert_eq!((TYPE.at)("before J-2", None), "bad joint before J-2");
    }
}
