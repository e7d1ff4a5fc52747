//! A level control, or the contact of an override relay, stands below its design: 3, 6, 9, 12 or
//! 18 dB down or off, each as likely. \[assumed\]

use super::{FaultType, Form, List, Place};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::{Decibel, Fraction};
use crate::site::Figure;

/// Steps of a level control, dB.
pub(super) const STEPS_DB: [f64; 5] = [3.0, 6.0, 9.0, 12.0, 18.0];

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::ControlDown,
    meaning: "a level control is down or off: all behind it is quieter or silent",
    rate: Figure::RateControlDown,
    list: List::Control,
    before_place: "before ",
    forms,
    change,
    at: |place, form| format!("level control {place} {}", words(form)),
    somewhere: |form| format!("a level control {}", words(form)),
};

fn forms(place: &Place<'_>) -> Vec<Form> {
    if !place.node.control {
        return Vec::new();
    }
    STEPS_DB
        .into_iter()
        .map(|db| Form::Down(Decibel(db)))
        .chain([Form::Off])
        .collect()
}

fn change(_: &Network, run: usize, form: Form) -> Option<Change> {
    match form {
        Form::Down(down) => Some(Change::control_down(run, down)),
        Form::Off => Some(Change::Control {
            run,
            ratio: Fraction(0.0),
        }),
        _ => None,
    }
}

fn words(form: Option<Form>) -> String {
    match form {
        Some(Form::Down(down)) => format!("down {:.0} dB", down.get()),
        Some(Form::Off) => "off".to_owned(),
        _ => "down".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn it_has_five_steps_and_off_and_sits_only_where_a_control_is() {
        assert_eq!(example::forms(&TYPE, 0), []);
        assert_eq!(example::forms(&TYPE, 1).len(), 6);
    }

    #[test]
    fn six_decibels_are_half_the_voltage_and_off_is_nothing() {
        let network = example::network(1000.0);
        let ratio = |form| match change(&network, 1, form) {
            Some(Change::Control { run: 1, ratio }) => ratio.get(),
            other => panic!("{other:?}"),
        };
        // 10^(-6 / 20) = 0.501187.
        assert!((ratio(Form::Down(Decibel(6.0))) - 0.501_187).abs() < 1e-6);
        assert_eq!(ratio(Form::Off), 0.0);
        assert_eq!(
            (TYPE.at)("before LS-2", Some(Form::Down(Decibel(6.0)))),
            "level control before LS-2 down 6 dB"
        );
    }
}
