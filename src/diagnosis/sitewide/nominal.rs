//! All loudspeakers of the site are set for another line voltage V2: every admittance of theirs
//! is (V / V2)^2 of the designed.
//!
//! That is the plan with V2 for its voltage, over all its hypotheses. A site of many lines decides
//! at a glance, by the parts of each line scaled as the share of loudspeakers in them; only where
//! the glance leaves doubt are the lines prepared anew.
//!
//! Whatever each line's own faults could make of it, it is nothing where fewer than half of the lines then
//! read as designed, or nearly: it is the one cause of all of them.
//!
//! Never here: words.

use super::compact::SiteLine;
use super::survey::{Odds, READS_AS, Read, Survey, What, should_read};
use crate::diagnosis::prepared::Prepared;
use crate::quantity::Volt;
use crate::site::{Figure, LinePlan};

/// Nominal voltages met in the field. \[common practice, no source\]
const VOLTAGES: [f64; 7] = [25.0, 35.0, 50.0, 70.7, 100.0, 140.0, 200.0];
/// Voltages closer than this are one: 70.7 and 70.711.
const SAME: f64 = 0.01;
/// By ln of odds at a glance: under the one it cannot matter, over the other it is beyond doubt.
const HOPELESS: f64 = -15.0;
const CERTAIN: f64 = 40.0;
/// So low on some of the lines, the others are not asked.
const LOST: f64 = -200.0;
/// Most lines that are prepared anew.
const ANEW_UP_TO: usize = 100;

pub(super) fn enter(survey: &Survey<'_>, returning: bool, odds: &mut Odds) {
    let is = |line: &Read<'_>, other: f64| (line.plan.volts.get() / other - 1.0).abs() < SAME;
    let others: Vec<f64> = VOLTAGES
        .into_iter()
        .filter(|other| survey.read.iter().any(|line| !is(line, *other)))
        .collect();
    #[allow(clippy::cast_precision_loss)]
    let ln_rate = (survey.common.rate(Figure::RateNominalVoltage) / others.len() as f64).ln();
    if !ln_rate.is_finite() {
        return;
    }
    for other in others {
        let lines: Vec<&Read<'_>> = survey.read.iter().filter(|it| !is(it, other)).collect();
        let mut ln_odds = ln_rate;
        for line in &lines {
            let ratio = line.plan.volts.get() / other;
            let weigher = &line.weigher;
            ln_odds += weigher.scaled(ratio * ratio).ln_p(weigher.own) - weigher.ln_own;
            if ln_odds < LOST {
                break;
            }
        }
        if ln_odds > HOPELESS && !fits_most(survey, &lines, other) {
            continue;
        }
        if ln_odds > HOPELESS && ln_odds < CERTAIN && lines.len() <= ANEW_UP_TO {
            ln_odds = ln_rate;
            for line in &lines {
                ln_odds += anew(survey, line, other, returning) - line.weigher.ln_own;
            }
        }
        odds.enter(&[], ln_odds, || What::Nominal(Volt(other)));
    }
}

/// Whether half of the lines or more read near what they should with another voltage.
fn fits_most(survey: &Survey<'_>, lines: &[&Read<'_>], volts: f64) -> bool {
    let fits = lines.iter().filter(|line| {
        let should = should_read(&set_for(line, volts), survey.common.figures);
        (line.weigher.own.ln_m.exp() / should - 1.0).abs() <= READS_AS
    });
    2 * fits.count() >= lines.len()
}

/// A line as it would be designed for another voltage.
fn set_for(line: &Read<'_>, volts: f64) -> LinePlan {
    LinePlan {
        volts: Volt(volts),
        ..line.plan.clone()
    }
}

/// ln p of a line's reading on the plan of another voltage.
fn anew(survey: &Survey<'_>, line: &Read<'_>, volts: f64, returning: bool) -> f64 {
    let prepared = Prepared::new(&set_for(line, volts), survey.common.figures, returning);
    match SiteLine::of(&prepared, &line.weigher.line.reading) {
        Some(set) => line.weigher.on(&set).ln_p(line.weigher.own),
        None => f64::NEG_INFINITY,
    }
}
