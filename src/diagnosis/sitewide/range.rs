//! The multiplier of the meter's range was left out: the line reads ten or a hundred times what was
//! entered. Or a digit too many was entered, and it reads a tenth: `2.55k` for 255. On one line, or on a
//! run of them.
//!
//! Never here: words.

use super::run::{LnRatio, Runs};
use super::survey::{Odds, Survey, What};
use super::weigh::Figured;
use crate::site::Figure;

/// What ranges a meter has beside the plain one.
const TIMES: [f64; 2] = [10.0, 100.0];
/// What a digit too many makes of a figure.
const TOO_MANY: f64 = 10.0;

pub(super) fn enter(survey: &Survey<'_>, runs: &Runs, odds: &mut Odds) {
    let ln_rate = survey.common.rate(Figure::RateRangeMultiplier).ln();
    let ln_digit = survey.common.rate(Figure::RateDigitTooMany).ln();
    for times in TIMES {
        let slip = (ln_rate, times);
        enter_slip(survey, runs, odds, slip, || What::Range(times));
    }
    let slip = (ln_digit, 1.0 / TOO_MANY);
    enter_slip(survey, runs, odds, slip, || What::Digit(TOO_MANY));
}

/// Enters that so many times what was entered was meant.
fn enter_slip(
    survey: &Survey<'_>,
    runs: &Runs,
    odds: &mut Odds,
    (ln_rate, times): (f64, f64),
    what: impl Fn() -> What,
) {
    let ln_ratio = |line: &super::survey::Read<'_>| {
        let own = line.weigher.own;
        let meant = Figured {
            ln_m: own.ln_m + times.ln(),
            ..own
        };
        Some(line.weigher.ln_p(meant) - line.weigher.ln_own)
    };
    let ln_ratios: Vec<LnRatio> = survey.read.iter().map(ln_ratio).collect();
    for (at, ln) in ln_ratios.iter().enumerate() {
        if let Some(ln) = ln {
            odds.enter(&[at], ln_rate + ln, &what);
        }
    }
    runs.enter(survey, odds, (ln_rate, &ln_ratios), |_| 0.0, what);
}
