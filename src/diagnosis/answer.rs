//! How probable each answer of a listener is, given how the level changed.
//!
//! Below -20 dB a loudspeaker is silent (0.98) or quiet (0.02); otherwise it is loud with
//! Phi((d - 4) / 1.5), quiet with Phi((-d - 4) / 1.5) and heard as expected for the rest; then
//! each of the five at least 0.01, and made to add to 1. \[assumed\]
//!
//! Never here: levels.

use crate::circuit::FLOOR;
use crate::quantity::normal;
use crate::site::Heard;

/// The answers with weight.
pub(super) const ANSWERS: [Heard; 5] = [
    Heard::Heard,
    Heard::Silent,
    Heard::Quiet,
    Heard::Loud,
    Heard::Distorted,
];

/// Below this change, dB, nothing is heard. \[assumed, as all figures here\]
const SILENT_BELOW: f64 = -20.0;
/// What is silent is called so, else quiet.
const CALLED_SILENT: f64 = 0.98;
/// Change, dB, that is noticed half the time, and how sharply.
const NOTICED: f64 = 4.0;
const SHARPLY: f64 = 1.5;
/// No answer is less probable than this before they are made to add to 1.
const LEAST: f64 = 0.01;
/// Beyond so many spreads a tail is nothing beside [`LEAST`].
const FAR: f64 = 6.0;

/// Probability of each of [`ANSWERS`] at a change of level, dB.
pub(super) fn probabilities(d: f64) -> [f64; 5] {
    let tail = |x: f64| {
        if x < -FAR {
            0.0
        } else if x > FAR {
            1.0
        } else {
            normal::cdf(x)
        }
    };
    let mut p = if d < SILENT_BELOW {
        [0.0, CALLED_SILENT, 1.0 - CALLED_SILENT, 0.0, 0.0]
    } else {
        let loud = tail((d - NOTICED) / SHARPLY);
        let quiet = tail((-d - NOTICED) / SHARPLY);
        [1.0 - loud - quiet, 0.0, quiet, loud, 0.0]
    };
    let mut sum = 0.0;
    for it in &mut p {
        *it = it.max(LEAST);
        sum += *it;
    }
    p.map(|it| it / sum)
}

/// ln of the probability of an answer; 0 for one without weight.
pub(super) fn ln_probability(heard: Heard, d: f64) -> f64 {
    ANSWERS
        .iter()
        .position(|it| *it == heard)
        .map_or(0.0, |at| probabilities(d)[at].ln())
}

/// Level of a loudspeaker that takes this power, dB, not below [`FLOOR`].
pub(super) fn level(power: f64) -> f64 {
    if power > 0.0 {
        (10.0 * power.log10()).max(FLOOR.get())
    } else {
        FLOOR.get()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_follow_the_level_and_none_is_impossible() {
        // -25 dB: 0.98 silent, 0.02 quiet, three of 0.01; they add to 1.03.
        let [heard, silent, quiet, loud, distorted] = probabilities(-25.0);
        assert!((silent - 0.98 / 1.03).abs() < 1e-15);
        assert!((quiet - 0.02 / 1.03).abs() < 1e-15);
        assert!([heard, loud, distorted].iter().all(|p| *p == 0.01 / 1.03));
        // +4 dB: half loud; heard 0.5, quiet Phi(-16 / 3), silent and distorted nothing.
        let [heard, silent, quiet, loud, _] = probabilities(4.0);
        assert!((heard - 0.5 / 1.03).abs() < 1e-7 && (loud - 0.5 / 1.03).abs() < 1e-7);
        assert!((silent - 0.01 / 1.03).abs() < 1e-7 && quiet == silent);
        for d in [-200.0, -20.0, -4.0, 0.0, 3.0, 60.0] {
            assert!((probabilities(d).iter().sum::<f64>() - 1.0).abs() < 1e-15);
        }
        assert_eq!(ln_probability(Heard::Noisy, -60.0), 0.0);
    }
}
