//! A loudspeaker is set to another of its taps, each as likely. Where nobody knows which taps it
//! has, twice, half and a quarter of its design tap are possible.

use super::{FaultType, Form, List, Place};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::show::marked_watt;
use crate::site::Figure;

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::WrongTap,
    meaning: "a loudspeaker is set to another of its taps: too loud or too quiet",
    rate: Figure::RateWrongTap,
    list: List::Loudspeaker,
    before_place: "",
    forms,
    change,
    at: |place, form| format!("{place} {}", words(form, "on a wrong tap")),
    somewhere: |form| format!("one {}", words(form, "on a wrong tap")),
};

fn forms(place: &Place<'_>) -> Vec<Form> {
    let others = place.node.other_taps();
    place.node.tap().map_or_else(Vec::new, |from| {
        others
            .into_iter()
            .map(|to| Form::Tap { from, to })
            .collect()
    })
}

fn change(healthy: &Network, at: usize, form: Form) -> Option<Change> {
    let Form::Tap { to, .. } = form else {
        return None;
    };
    let is = healthy.on_tap(at, to)?;
    Some(Change::Load { at, is })
}

fn words(form: Option<Form>, otherwise: &str) -> String {
    match form {
        Some(Form::Tap { from, to }) => {
            format!(
                "tapped {} instead of {}",
                marked_watt(to),
                marked_watt(from)
            )
        }
        _ => otherwise.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;
    use crate::quantity::Watt;

    const fn tap(to: f64) -> Form {
        Form::Tap {
            from: Watt(6.0),
            to: Watt(to),
        }
    }

    #[test]
    fn every_other_tap_is_a_form_and_unknown_taps_are_twice_half_and_a_quarter() {
        assert_eq!(example::forms(&TYPE, 0), [tap(12.0), tap(3.0)]);
        assert_eq!(example::forms(&TYPE, 1), [tap(12.0), tap(3.0), tap(1.5)]);
        assert_eq!(example::forms(&TYPE, 2), []);
    }

    #[test]
    fn a_tap_of_12_w_takes_12_w_and_its_winding_follows_the_square_root() {
        let Some(Change::Load { is, .. }) = change(&example::network(1000.0), 0, tap(12.0)) else {
            panic!("a load")
        };
        assert!((is.y.re - 12.0 / 1e4).abs() < 1e-18 && !is.silent && is.transformer);
        let Some(Change::Load { is, .. }) = change(&example::network(0.0), 0, tap(12.0)) else {
            panic!("a load")
        };
        // 0.08 |z design| sqrt(|z tap| / |z design|), 10^4 / 6 and 10^4 / 12 ohm.
        let winding = 0.08 * (1e4 / 6.0) * (6.0f64 / 12.0).sqrt();
        assert!((is.y.re * winding - 1.0).abs() < 1e-12);
    }

    #[test]
    fn it_is_said_in_taps() {
        assert_eq!(
            (TYPE.at)("LS-3", Some(tap(12.0))),
            "LS-3 tapped 12 W instead of 6 W"
        );
        assert_eq!((TYPE.somewhere)(None), "one on a wrong tap");
    }
}
