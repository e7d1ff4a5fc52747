//! Watts from ohms, and the rating that leaves the headroom.

use crate::quantity::{Fraction, Ohm, Volt, Watt};

/// What a line that reads this impedance takes from its amplifier at the nominal voltage:
/// V^2 / |Z|. Strictly volt-amperes; a tapped line near 1 kHz is close to resistive.
/// \[common practice, no source\]
#[must_use]
pub fn load(volts: Volt, reads: Ohm) -> Watt {
    Watt(volts.get() * volts.get() / reads.get())
}

/// The impedance of a load at the nominal voltage: V^2 / P.
#[must_use]
pub fn ohms(volts: Volt, load: Watt) -> Ohm {
    Ohm(volts.get() * volts.get() / load.get())
}

/// The rating that keeps this share of itself free under a load: load / (1 - headroom).
#[must_use]
pub fn rating_needed(load: Watt, headroom: Fraction) -> Watt {
    Watt(load.get() / (1.0 - headroom.get()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const VOLTS: Volt = Volt(100.0);

    #[test]
    fn at_100_v_a_reading_of_270_ohm_is_37_w() {
        // Common practice, no source: 100^2 / 270 = 37.04.
        assert_eq!(load(VOLTS, Ohm(270.0)).get().round(), 37.0);
    }

    #[test]
    fn a_15_w_and_a_20_w_loudspeaker_are_35_w_and_agree_with_270_ohm_within_a_hand_meter() {
        // Common practice, no source: a hand meter reads within 5 %, at worst 10 %.
        let expected = ohms(VOLTS, Watt(15.0 + 20.0));
        let deviation = load(VOLTS, Ohm(270.0)).get() / load(VOLTS, expected).get() - 1.0;
        assert!(deviation > 0.05 && deviation < 0.10, "{deviation}");
    }

    #[test]
    fn a_load_of_120_w_wants_an_amplifier_of_150_w() {
        // Common practice, no source: keep 20 % of the rating free, not 20 % on top (144 W).
        assert_eq!(rating_needed(Watt(120.0), Fraction(0.2)), Watt(150.0));
    }

    #[test]
    fn watts_and_ohms_are_each_others_inverse() {
        assert_eq!(load(VOLTS, Ohm(200.0)), Watt(50.0));
        assert!((ohms(VOLTS, Watt(30.0)).get() - 333.333_333).abs() < 1e-6);
    }
}
