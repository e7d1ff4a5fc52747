//! A direct-current reading was entered as impedance.
//!
//! The figure is the line's own with direct current, Normal in ln with what a direct-current
//! reading has: loudspeakers, runs and types at 0 Hz, what all windings share, the ohmmeter's own
//! factor of mean 0 which is not learned, digit and contacts. Not for lines with a level control.
//!
//! Never here: words.

use super::survey::{Odds, Read, Solved, Survey, What};
use super::weigh::Common;
use crate::diagnosis::prediction::Prediction;
use crate::diagnosis::shared::meter_variance;
use crate::quantity::{Hertz, Ohm, normal};
use crate::site::Figure;

pub(super) fn enter(survey: &Survey<'_>, odds: &mut Odds) {
    let ln_rate = survey.common.rate(Figure::RateDcReading).ln();
    for (at, line) in survey.read.iter().enumerate() {
        if let Some((ln, dc)) = ln_dc(line, &survey.common) {
            let ln_odds = ln_rate + ln - line.weigher.ln_own;
            odds.enter(&[at], ln_odds, || What::Dc(dc));
        }
    }
}

/// ln of the density of a line's reading as its direct-current figure, and that figure.
fn ln_dc(line: &Read<'_>, common: &Common<'_>) -> Option<(f64, Ohm)> {
    if line.plan.nodes.iter().any(|node| node.control) {
        return None;
    }
    let solved = Solved::of(line.plan, common.figures, Hertz(0.0));
    let spread = solved.solution.spread(&solved.tolerances, &[]);
    let mut weights = vec![0.0; solved.types.len()];
    let response = spread.base(&mut weights);
    let it = Prediction::of(response, Ohm(common.figures.get(Figure::ContactOhm)));
    if !it.ln_z.is_finite() {
        return None;
    }
    let weigher = &line.weigher;
    let (mut mean, mut variance) = (it.ln_z, it.own + it.contacts + weigher.own.digit);
    for (row, w) in weights.iter().enumerate() {
        let row = weigher.first + row;
        mean += w * weigher.joint.mean[row];
        for (column, v) in weights.iter().enumerate() {
            variance += w * v * weigher.joint.covariance(row, weigher.first + column);
        }
    }
    // All windings share the ratio of resistance to impedance.
    let windings: f64 = weights.iter().sum();
    let ratio = windings * common.figures.get(Figure::SpreadWinding);
    variance += ratio * ratio + meter_variance(weigher.line.reading.accuracy);
    let ln = normal::ln_pdf(weigher.own.ln_m, mean, variance);
    Some((ln, Ohm(it.ln_z.exp())))
}
