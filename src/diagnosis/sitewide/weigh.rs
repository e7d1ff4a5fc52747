//! What a reading is worth on a line, the shared factors as the whole site has them.
//!
//! Never here: which mistake is asked about.

use super::compact::SiteLine;
use crate::diagnosis::Meter;
use crate::diagnosis::prepared::Prediction;
use crate::diagnosis::shared::{Joint, Latent, Shared};
use crate::diagnosis::slips::LN_SLIP_RANGE;
use crate::quantity::normal;
use crate::site::{Figure, Figures, TypeId};

/// A reading as it may be held against another line than its own.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figured {
    /// ln of what was read.
    pub ln_m: f64,
    /// Relative variance of its last digit.
    pub digit: f64,
    /// Place of its meter among the site's.
    pub meter: usize,
}

/// What the lines of a site have in common.
#[derive(Debug)]
pub(super) struct Common<'a> {
    pub shared: &'a Shared,
    pub figures: &'a Figures,
    /// The meters that figures were read with, each with the variance of its factor's prior.
    pub meters: Vec<(Meter, f64)>,
    right: f64,
    slip_density: f64,
}

impl<'a> Common<'a> {
    pub fn of<'b>(
        lines: impl Iterator<Item = &'b SiteLine>,
        shared: &'a Shared,
        figures: &'a Figures,
    ) -> Self {
        let mut meters: Vec<(Meter, f64)> = Vec::new();
        for line in lines {
            if meters.iter().all(|(it, _)| *it != line.reading.meter) {
                let a = line.reading.accuracy.get();
                meters.push((line.reading.meter.clone(), a * a / 3.0));
            }
        }
        let slip = figures.get(Figure::Slip);
        let numeric = 1.0 - figures.get(Figure::SlipOpen) - figures.get(Figure::SlipShort);
        Self {
            shared,
            figures,
            meters,
            right: 1.0 - slip,
            slip_density: slip * numeric.max(0.0) / LN_SLIP_RANGE,
        }
    }

    /// All meters, then these types, as the site has them.
    pub fn joint(&self, types: &[TypeId]) -> Joint {
        let spread = self.figures.get(Figure::SpreadType);
        let meters = self
            .meters
            .iter()
            .map(|(meter, variance)| (Latent::Meter(meter.clone()), *variance));
        let types = types
            .iter()
            .map(|of| (Latent::Type(of.clone()), spread * spread));
        self.shared.joint(&meters.chain(types).collect::<Vec<_>>())
    }

    /// Relative variance of the contacts of a line of so many siemens.
    pub fn contacts(&self, siemens: f64) -> f64 {
        let contacts = self.figures.get(Figure::ContactOhm) * siemens.min(1e12);
        contacts * contacts
    }

    /// The density of a slip in ln m.
    pub const fn slip_density(&self) -> f64 {
        self.slip_density
    }

    /// A rate of the site.
    pub fn rate(&self, figure: Figure) -> f64 {
        self.figures.get(figure)
    }

    fn figured(&self, line: &SiteLine) -> Figured {
        let meter = self
            .meters
            .iter()
            .position(|(it, _)| *it == line.reading.meter);
        Figured {
            ln_m: line.ln_m,
            digit: line.digit(),
            meter: meter.unwrap_or(0),
        }
    }
}

/// Mean and covariance of g + sum w t for readings with one meter or with two.
pub(super) fn shared_part<W: Copy + Into<f64>>(
    joint: &Joint,
    meters: (usize, usize),
    first: usize,
    weights: &[W],
) -> (f64, f64) {
    let (one, other) = meters;
    let mut mean = joint.mean[one];
    let mut variance = joint.covariance(one, other);
    for (row, w) in weights.iter().enumerate() {
        let w: f64 = (*w).into();
        let row = first + row;
        mean += w * joint.mean[row];
        variance += w * (joint.covariance(one, row) + joint.covariance(other, row));
        for (column, v) in weights.iter().enumerate() {
            let v: f64 = (*v).into();
            variance += w * v * joint.covariance(row, first + column);
        }
    }
    // A covariance that came from elsewhere may be off in its last digits.
    (mean, variance.max(0.0))
}

/// A line ready to have readings held against it.
#[derive(Debug)]
pub(super) struct Weigher<'a> {
    pub line: &'a SiteLine,
    pub own: Figured,
    pub joint: Joint,
    /// ln p of its own reading.
    pub ln_own: f64,
    /// Places of types in the joint begin here.
    pub first: usize,
    right: f64,
    slip: f64,
}

/// Beyond so many spreads a part is nothing.
const REACH: f64 = 9.0;

impl<'a> Weigher<'a> {
    pub fn of(line: &'a SiteLine, common: &Common<'_>) -> Self {
        let mut weigher = Self {
            line,
            own: common.figured(line),
            joint: common.joint(&line.types),
            ln_own: 0.0,
            first: common.meters.len(),
            right: common.right,
            slip: common.slip_density,
        };
        weigher.ln_own = weigher.ln_p(weigher.own);
        weigher
    }

    /// The same readings, meters and factors with another line's parts; types must be the same.
    pub fn on<'b>(&self, line: &'b SiteLine) -> Weigher<'b> {
        Weigher {
            line,
            own: self.own,
            joint: self.joint.clone(),
            ln_own: self.ln_own,
            first: self.first,
            right: self.right,
            slip: self.slip,
        }
    }

    /// ln of the density of a reading over all hypotheses of the line, slips among them.
    pub fn ln_p(&self, read: Figured) -> f64 {
        let mut sum = 0.0;
        for (part, weights) in self.line.each() {
            let (mean, variance) = self.seen(f64::from(part.ln_z), weights, read.meter);
            let variance = variance + f64::from(part.variance) + read.digit;
            let d = read.ln_m - mean;
            if d * d < REACH * REACH * variance {
                sum += f64::from(part.p) * (-0.5 * d * d / variance).exp() / variance.sqrt();
            }
        }
        let right = self.right * sum / (2.0 * std::f64::consts::PI).sqrt();
        (right + self.slip).max(f64::MIN_POSITIVE).ln()
    }

    /// ln of the density of a reading under one prediction and nothing else.
    pub fn ln_under(&self, prediction: Prediction, weights: &[f64], read: Figured) -> f64 {
        if !prediction.ln_z.is_finite() {
            return f64::NEG_INFINITY;
        }
        let (mean, variance) = self.seen(prediction.ln_z, weights, read.meter);
        let variance = variance + prediction.own + prediction.contacts + read.digit;
        normal::ln_pdf(read.ln_m, mean, variance)
    }

    /// As [`Self::ln_under`] for its own reading, with these types' factors for its own.
    pub fn ln_beside(&self, prediction: Prediction, joint: &Joint, weights: &[f64]) -> f64 {
        if !prediction.ln_z.is_finite() {
            return f64::NEG_INFINITY;
        }
        let meter = self.own.meter;
        let (mean, variance) = shared_part(joint, (meter, meter), self.first, weights);
        let variance = variance + prediction.own + prediction.contacts + self.own.digit;
        normal::ln_pdf(self.own.ln_m, prediction.ln_z + mean, variance)
    }

    /// Mean of ln m and the variance that shared factors make.
    pub fn seen<W: Copy + Into<f64>>(&self, ln_z: f64, weights: &[W], meter: usize) -> (f64, f64) {
        let (mean, variance) = shared_part(&self.joint, (meter, meter), self.first, weights);
        (ln_z + mean, variance)
    }
}
