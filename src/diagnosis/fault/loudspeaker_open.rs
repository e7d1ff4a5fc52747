//! A voice coil is open: the loudspeaker is silent, and its transformer idles as an inductance
//! without loss that takes 0.06 of the load at 1 kHz. With direct current nothing changes, the
//! primary being whole. \[assumed\]

use super::{FaultType, Form, List, at_loudspeakers};
use crate::circuit::{Change, Load, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::Admittance;
use crate::site::Figure;

/// Share of the load's admittance that the idle transformer takes at 1 kHz.
pub(super) const IDLE_AT_1_KHZ: f64 = 0.06;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::LoudspeakerOpen,
    meaning: "a voice coil is open: silent, its transformer idles",
    rate: Figure::RateLoudspeakerOpen,
    list: List::Loudspeaker,
    before_place: "",
    forms: at_loudspeakers,
    change,
    at: |place, _| format!("{place} open"),
    somewhere: |_| "one loudspeaker open".to_owned(),
};

fn change(healthy: &Network, at: usize, _: Form) -> Option<Change> {
    let conditions = healthy.conditions();
    if conditions.is_dc() {
        return None;
    }
    let idle = Admittance::new(0.0, -IDLE_AT_1_KHZ * 1000.0 / conditions.hz.get());
    Some(Change::Load {
        at,
        is: Load {
            y: healthy.own(at) * idle,
            silent: true,
            transformer: true,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::super::Fault;
    use super::*;
    use crate::diagnosis::example;

    fn load(hz: f64) -> Option<Change> {
        change(&example::network(hz), 0, Form::Plain)
    }

    #[test]
    fn it_takes_six_hundredths_of_the_load_at_1_khz_and_less_above_as_an_inductance() {
        let y = 6.0 / 1e4;
        for (hz, share) in [(1000.0, 0.06), (2000.0, 0.03)] {
            let Some(Change::Load { at: 0, is }) = load(hz) else {
                panic!("a load")
            };
            assert!((is.y - Admittance::new(0.0, -share * y)).norm() < 1e-18);
            assert!(is.silent && is.transformer);
        }
    }

    #[test]
    fn direct_current_does_not_see_it() {
        assert_eq!(load(0.0), None);
    }

    #[test]
    fn it_may_sit_at_every_loudspeaker_and_nowhere_else() {
        assert_eq!(example::forms(&TYPE, 0), [Form::Plain]);
        assert_eq!(example::forms(&TYPE, 2), []);
        let fault = Fault {
            of: &TYPE,
            at: Some(0),
            form: Form::Plain,
        };
        assert!(fault.excludes(&fault));
        assert_eq!((TYPE.at)("LS-3", None), "LS-3 open");
    }
}
