//! A transformer is shorted on its secondary side: what is left is its leakage, 0.19 of the load's
//! impedance as resistance and 0.09 as inductance at 1 kHz. Silent. With direct current nothing
//! changes. \[assumed\]

use super::{FaultType, Form, List, at_loudspeakers};
use crate::circuit::{Change, Load, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::Impedance;
use crate::site::Figure;

/// Resistance left, as a share of the load's impedance.
pub(super) const RESISTANCE: f64 = 0.19;
/// Reactance left at 1 kHz, likewise.
pub(super) const REACTANCE_AT_1_KHZ: f64 = 0.09;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::SecondaryShort,
    meaning: "a transformer is shorted on its loudspeaker's side: silent, five times its load",
    rate: Figure::RateSecondaryShort,
    list: List::Loudspeaker,
    before_place: "",
    forms: at_loudspeakers,
    change,
    at: |place, _| format!("{place} shorted behind its transformer"),
    somewhere: |_| "one shorted behind its transformer".to_owned(),
};

fn change(healthy: &Network, at: usize, _: Form) -> Option<Change> {
    let conditions = healthy.conditions();
    if conditions.is_dc() {
        return None;
    }
    let left = Impedance::new(
        RESISTANCE,
        REACTANCE_AT_1_KHZ * conditions.hz.get() / 1000.0,
    );
    Some(Change::Load {
        at,
        is: Load {
            y: healthy.own(at) / left,
            silent: true,
            transformer: true,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn what_is_left_is_resistance_and_an_inductance_and_direct_current_does_not_see_it() {
        let z = 1e4 / 6.0;
        // The shares at the head of this file, assumed; an inductance follows the frequency.
        for (hz, left) in [
            (1000.0, Impedance::new(0.19, 0.09)),
            (500.0, Impedance::new(0.19, 0.045)),
        ] {
            let Some(Change::Load { is, .. }) = change(&example::network(hz), 0, Form::Plain)
            else {
                panic!("a load")
            };
            assert!((is.y.inv() - left * z).norm() < 1e-9 * z);
            assert!(is.silent);
        }
        assert_eq!(change(&example::network(0.0), 0, Form::Plain), None);
    }
}
