//! One more loudspeaker hangs on the line than the list has, beside a random one: 3, 6, 10, 15, 20
//! or 30 W, each as likely. \[assumed\]

use super::{FaultType, Form, List, Place};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::Watt;
use crate::quantity::show::marked_watt;
use crate::site::Figure;

/// The taps it may have, W.
pub(super) const TAPS_W: [f64; 6] = [3.0, 6.0, 10.0, 15.0, 20.0, 30.0];

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::UnlistedLoad,
    meaning: "a loudspeaker hangs on the line that is not on the list",
    rate: Figure::RateUnlistedLoad,
    list: List::Unlisted,
    before_place: "beside ",
    forms,
    change,
    at: |place, form| format!("{}, {place}", words(form)),
    somewhere: words,
};

fn forms(place: &Place<'_>) -> Vec<Form> {
    if !place.node.is_loudspeaker() {
        return Vec::new();
    }
    TAPS_W
        .into_iter()
        .map(|tap| Form::Load(Watt(tap)))
        .collect()
}

fn change(healthy: &Network, at: usize, form: Form) -> Option<Change> {
    let Form::Load(tap) = form else {
        return None;
    };
    Some(Change::Shunt {
        at,
        y: healthy.conditions().load(healthy.volts(), tap, tap),
    })
}

fn words(form: Option<Form>) -> String {
    match form {
        Some(Form::Load(tap)) => format!("a {} loudspeaker not on the list", marked_watt(tap)),
        _ => "a loudspeaker not on the list".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn it_hangs_beside_a_loudspeaker_and_takes_its_tap() {
        assert_eq!(example::forms(&TYPE, 0).len(), 6);
        assert_eq!(example::forms(&TYPE, 2), []);
        let tone = change(&example::network(1000.0), 0, Form::Load(Watt(6.0)));
        let Some(Change::Shunt { at: 0, y }) = tone else {
            panic!("{tone:?}")
        };
        assert!((y.re - 6.0 / 1e4).abs() < 1e-18);
        let direct = change(&example::network(0.0), 0, Form::Load(Watt(6.0)));
        let Some(Change::Shunt { y, .. }) = direct else {
            panic!("{direct:?}")
        };
        // Its winding: 0.08 of 10^4 / 6 ohm.
        assert!((y.re * 0.08 * 1e4 / 6.0 - 1.0).abs() < 1e-12);
        assert_eq!(
            (TYPE.somewhere)(Some(Form::Load(Watt(6.0)))),
            "a 6 W loudspeaker not on the list"
        );
    }
}
