//! A direct-current reading was entered as impedance, of one line or of a run of them.
//!
//! The figure is the line's own with direct current, Normal in ln with what a direct-current
//! reading has: loudspeakers, runs and types at 0 Hz, what all windings share, the ohmmeter's own
//! factor of mean 0 which is not learned, digit and contacts. Not for lines with a level control.
//! The windings of a run may be of one kind, and share most of that ratio, or each line's its own.
//!
//! Never here: words.

use super::run::{LnRatio, Runs};
use super::survey::{Odds, Read, Solved, Survey, What};
use super::weigh::Common;
use crate::diagnosis::prediction::Prediction;
use crate::diagnosis::shared::meter_variance;
use crate::diagnosis::slips::ln_add;
use crate::quantity::{Hertz, Ohm, normal};
use crate::site::Figure;

/// Spread of ln winding ratio from line to line where the loudspeakers of a run are of one kind. \[assumed\]
pub(in crate::diagnosis) const OF_ONE_KIND: f64 = 0.15;
/// So likely they are. \[assumed\]
const ONE_KIND: f64 = 0.5;

/// A line's reading as its direct-current figure.
struct Direct {
    /// The figure.
    ohm: Ohm,
    /// ln of what was read over it, the factors of types taken out.
    off: f64,
    /// Variance of that but for the windings.
    variance: f64,
    /// What a change of ln winding ratio makes of it.
    windings: f64,
}

pub(super) fn enter(survey: &Survey<'_>, runs: &Runs, odds: &mut Odds) {
    let ln_rate = survey.common.rate(Figure::RateDcReading).ln();
    let spread = survey.common.rate(Figure::SpreadWinding);
    let read = survey.read.iter();
    let direct: Vec<Option<Direct>> = read.map(|it| Direct::of(it, &survey.common)).collect();
    let mut ln_ratios: Vec<LnRatio> = vec![None; survey.read.len()];
    for (at, direct) in direct.iter().enumerate() {
        if let Some(direct) = direct {
            let ln_ratio = direct.alone(spread) - survey.read[at].weigher.ln_own;
            odds.enter(&[at], ln_rate + ln_ratio, || What::Dc(direct.ohm));
            ln_ratios[at] = Some(ln_ratio);
        }
    }
    let together = |run: &[usize]| {
        let run = run.iter().filter_map(|at| direct[*at].as_ref());
        let ln_gain = of_one_kind(run, spread);
        ln_add((1.0 - ONE_KIND).ln(), ONE_KIND.ln() + ln_gain)
    };
    let slip = (ln_rate, &ln_ratios[..]);
    runs.enter(survey, odds, slip, together, || What::DcRun);
}

/// ln of the density of a run's readings where all windings share most of their ratio, over the product
/// of each by itself.
fn of_one_kind<'a>(run: impl Iterator<Item = &'a Direct>, spread: f64) -> f64 {
    // What is known of the ratio after each reading: mean and variance.
    let own = OF_ONE_KIND.min(spread);
    let (mut mean, mut variance) = (0.0, spread * spread - own * own);
    let mut ln = 0.0;
    for it in run {
        let of_line = own * it.windings;
        let seen = it.variance + of_line * of_line + variance * it.windings * it.windings;
        let off = it.off - it.windings * mean;
        ln += normal::ln_pdf(off, 0.0, seen) - it.alone(spread);
        let gain = variance * it.windings / seen;
        mean += gain * off;
        variance -= gain * it.windings * variance;
    }
    ln
}

impl Direct {
    fn of(line: &Read<'_>, common: &Common<'_>) -> Option<Self> {
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
        Some(Self {
            ohm: Ohm(it.ln_z.exp()),
            off: weigher.own.ln_m - mean,
            variance: variance + meter_variance(weigher.line.reading.accuracy),
            windings: weights.iter().sum(),
        })
    }

    /// ln of its density: all windings of the line share the ratio of resistance to impedance.
    fn alone(&self, spread: f64) -> f64 {
        let ratio = self.windings * spread;
        normal::ln_pdf(self.off, 0.0, self.variance + ratio * ratio)
    }
}
