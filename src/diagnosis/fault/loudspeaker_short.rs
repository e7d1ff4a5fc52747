//! A loudspeaker's terminals are shorted: 1 ohm across them, its own load beside. \[assumed\]

use super::{FaultType, Form, List, at_loudspeakers};
use crate::circuit::{Change, Network};
use crate::diagnosis::kind::FaultKind;
use crate::quantity::Ohm;
use crate::site::Figure;

/// What is left of a short at a terminal.
pub(super) const SHORT: Ohm = Ohm(1.0);

pub static TYPE: FaultType = FaultType {
    kind: FaultKind::LoudspeakerShort,
    meaning: "a loudspeaker's terminals are shorted: the whole line goes quiet",
    rate: Figure::RateLoudspeakerShort,
    list: List::Loudspeaker,
    before_place: "",
    forms: at_loudspeakers,
    change,
    at: |place, _| format!("{place} shorted"),
    somewhere: |_| "one loudspeaker shorted".to_owned(),
};

fn change(_: &Network, at: usize, _: Form) -> Option<Change> {
    Some(Change::short_at(at, SHORT))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;

    #[test]
    fn the_line_reads_little_more_than_its_cable_and_one_ohm() {
        // 20 m of 1.5 mm2, 12.1 ohm/km a core: 0.484 ohm there and back, and 1 ohm; what hangs
        // beside the short takes off a thousandth.
        let network = example::network(0.0);
        let changed = network.with(
            &change(&network, 0, Form::Plain)
                .into_iter()
                .collect::<Vec<_>>(),
        );
        let reads = changed.solve().input().modulus().unwrap().get();
        assert!(reads < 1.484 && reads > 1.45, "{reads}");
        assert_eq!(example::forms(&TYPE, 1), [Form::Plain]);
        assert_eq!(example::forms(&TYPE, 2), []);
    }
}
