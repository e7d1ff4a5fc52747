//! Every loudspeaker of the line is set for another line voltage: all listed loads behind their
//! transformers take twice or half their power, either as likely; with direct current their
//! windings follow the square root. \[assumed\]

use super::{FaultType, Form, List, Place};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::site::Figure;

/// Times the load that it may be.
pub(super) const TIMES: [f64; 2] = [2.0, 0.5];

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::OtherVoltage,
    meaning: "all taps are set for another line voltage: everything too loud or too quiet",
    rate: Figure::RateOtherVoltage,
    list: List::Voltage,
    before_place: "",
    forms: |_: &Place<'_>| TIMES.map(Form::Times).to_vec(),
    change,
    at: |_, form| words(form),
    somewhere: words,
};

fn change(_: &Network, _: usize, form: Form) -> Option<Change> {
    let Form::Times(times) = form else {
        return None;
    };
    Some(Change::EveryLoad { times })
}

fn words(form: Option<Form>) -> String {
    let all = "all taps set for another line voltage";
    match form {
        Some(Form::Times(times)) if times > 1.0 => format!("{all}, twice the load"),
        Some(Form::Times(_)) => format!("{all}, half the load"),
        _ => all.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn all_loads_take_twice_their_power_with_a_tone_and_root_two_with_direct_current() {
        for (hz, factor) in [(1000.0, 2.0), (0.0, 2f64.sqrt())] {
            let network = example::network(hz);
            let laid = change(&network, 0, Form::Times(2.0)).unwrap();
            let ratio = network.with(&[laid]).own(0) / network.own(0);
            assert!((ratio.re - factor).abs() < 1e-12);
        }
    }
}
