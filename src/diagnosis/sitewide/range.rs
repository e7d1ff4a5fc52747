//! The multiplier of the meter's range was left out: the line reads ten or a hundred times what was
//! entered. Or a digit too many was entered, and it reads a tenth: `2.55k` for 255.
//!
//! Never here: words.

use super::survey::{Odds, Survey, What};
use super::weigh::Figured;
use crate::site::Figure;

/// What ranges a meter has beside the plain one.
const TIMES: [f64; 2] = [10.0, 100.0];
/// What a digit too many makes of a figure.
const TOO_MANY: f64 = 10.0;

pub(super) fn enter(survey: &Survey<'_>, odds: &mut Odds) {
    let ln_rate = survey.common.rate(Figure::RateRangeMultiplier).ln();
    let ln_digit = survey.common.rate(Figure::RateDigitTooMany).ln();
    for (at, line) in survey.read.iter().enumerate() {
        let own = line.weigher.own;
        for times in TIMES {
            let meant = Figured {
                ln_m: own.ln_m + times.ln(),
                ..own
            };
            let ln_odds = ln_rate + line.weigher.ln_p(meant) - line.weigher.ln_own;
            odds.enter(&[at], ln_odds, || What::Range(times));
        }
        let meant = Figured {
            ln_m: own.ln_m - TOO_MANY.ln(),
            ..own
        };
        let ln_odds = ln_digit + line.weigher.ln_p(meant) - line.weigher.ln_own;
        odds.enter(&[at], ln_odds, || What::Digit(TOO_MANY));
    }
}
