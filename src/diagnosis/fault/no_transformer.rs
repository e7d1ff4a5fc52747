//! A voice coil sits straight on the line, its transformer left out: 8 ohm with a tone and with
//! direct current. \[assumed\]

use super::{FaultType, Form, List, at_loudspeakers};
use crate::circuit::{Change, Load, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::Admittance;
use crate::site::Figure;

/// A voice coil, ohm.
pub(super) const COIL_OHM: f64 = 8.0;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::NoTransformer,
    meaning: "a voice coil sits straight on the line: very loud, the others quiet",
    rate: Figure::RateNoTransformer,
    list: List::Loudspeaker,
    before_place: "",
    forms: at_loudspeakers,
    change,
    at: |place, _| format!("{place} on the line without its transformer"),
    somewhere: |_| "one on the line without its transformer".to_owned(),
};

fn change(_: &Network, at: usize, _: Form) -> Option<Change> {
    Some(Change::Load {
        at,
        is: Load {
            y: Admittance::new(1.0 / COIL_OHM, 0.0),
            silent: false,
            transformer: false,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn it_is_eight_ohm_at_any_frequency_and_no_other_line_voltage_changes_it() {
        for hz in [0.0, 1000.0] {
            let network = example::network(hz);
            let Some(Change::Load { is, .. }) = change(&network, 0, Form::Plain) else {
                panic!("a load")
            };
            assert_eq!(is.y, Admittance::new(0.125, 0.0));
            let twice = network.with(&[Change::EveryLoad { times: 2.0 }]);
            assert_eq!(twice.acting(&is), is.y);
        }
    }
}
