//! What a reading is worth on a line: its density over all hypotheses, with the shared factors as the
//! whole site has them.
//!
//! Never here: which mistake is asked about.

use super::compact::{Part, SiteLine};
use crate::diagnosis::evidence::Meter;
use crate::diagnosis::prediction::Prediction;
use crate::diagnosis::shared::{Joint, Latent, Shared, meter_variance};
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
                let reading = &line.reading;
                meters.push((reading.meter.clone(), meter_variance(reading.accuracy)));
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
pub(super) fn shared_part(
    joint: &Joint,
    meters: (usize, usize),
    first: usize,
    weights: &[f64],
) -> (f64, f64) {
    let (one, other) = meters;
    let mut mean = joint.mean[one];
    let mut variance = joint.covariance(one, other);
    for (row, w) in weights.iter().enumerate() {
        let row = first + row;
        mean += w * joint.mean[row];
        variance += w * (joint.covariance(one, row) + joint.covariance(other, row));
        for (column, v) in weights.iter().enumerate() {
            variance += w * v * joint.covariance(row, first + column);
        }
    }
    // A covariance that came from elsewhere may be off in its last digits.
    (mean, variance.max(0.0))
}

/// A line ready to have readings held against it.
#[derive(Debug)]
pub(super) struct Weigher<'a> {
    /// The line, made small.
    pub line: &'a SiteLine,
    /// Its own reading.
    pub own: Figured,
    /// What is known of the site's meters and the line's types, in this order.
    pub joint: Joint,
    /// ln p of its own reading.
    pub ln_own: f64,
    /// Places of types in the joint begin here.
    pub first: usize,
    /// Each part as its own meter sees it: probability, mean and variance of ln m.
    seen: Vec<[f32; 3]>,
    right: f64,
    slip: f64,
}

/// Beyond so many spreads a part is nothing.
const REACH: f64 = 9.0;

impl<'a> Weigher<'a> {
    pub fn of(line: &'a SiteLine, common: &Common<'_>) -> Self {
        let weigher = Self {
            line,
            own: common.figured(line),
            joint: common.joint(&line.types),
            ln_own: 0.0,
            first: common.meters.len(),
            seen: Vec::new(),
            right: common.right,
            slip: common.slip_density,
        };
        weigher.on(line)
    }

    /// The same reading, meters and factors with another line's parts; types must be the same.
    pub fn on<'b>(&self, line: &'b SiteLine) -> Weigher<'b> {
        let mut weigher = Weigher {
            line,
            own: self.own,
            joint: self.joint.clone(),
            ln_own: 0.0,
            first: self.first,
            seen: Vec::new(),
            right: self.right,
            slip: self.slip,
        };
        weigher.seen = weigher.each_seen(self.own.meter);
        weigher.ln_own = weigher.ln_p(self.own);
        weigher
    }

    /// The same with every load `times` its admittance, about: a part's mean and weights follow the
    /// share of loudspeakers in it.
    pub fn scaled(&self, times: f64) -> Weigher<'a> {
        let mut weigher = Weigher {
            line: self.line,
            joint: self.joint.clone(),
            seen: Vec::with_capacity(self.seen.len()),
            ..*self
        };
        self.line.each(|part, weights| {
            let share = weights.iter().sum::<f64>().clamp(0.0, 1.0);
            let grows = 1.0 + share * (times - 1.0);
            let weights: Vec<f64> = weights.iter().map(|w| w * times / grows).collect();
            let ln_z = f64::from(part.ln_z) - grows.ln();
            let seen = self.seen(ln_z, &weights, self.own.meter);
            weigher.seen.push(laid(part, seen));
        });
        weigher
    }

    /// Each part as a meter sees it.
    fn each_seen(&self, meter: usize) -> Vec<[f32; 3]> {
        let mut out = Vec::with_capacity(self.line.parts.len());
        self.line.each(|part, weights| {
            out.push(laid(part, self.seen(f64::from(part.ln_z), weights, meter)));
        });
        out
    }

    /// ln of the density of a reading over all hypotheses of the line, slips among them.
    pub fn ln_p(&self, read: Figured) -> f64 {
        let density = |sum: f64, [p, mean, variance]: [f32; 3]| {
            let variance = f64::from(variance) + read.digit;
            let d = read.ln_m - f64::from(mean);
            if d * d < REACH * REACH * variance {
                sum + f64::from(p) * (-0.5 * d * d / variance).exp() / variance.sqrt()
            } else {
                sum
            }
        };
        let sum = if read.meter == self.own.meter {
            self.seen.iter().copied().fold(0.0, density)
        } else {
            self.each_seen(read.meter).into_iter().fold(0.0, density)
        };
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
    pub fn seen(&self, ln_z: f64, weights: &[f64], meter: usize) -> (f64, f64) {
        let (mean, variance) = shared_part(&self.joint, (meter, meter), self.first, weights);
        (ln_z + mean, variance)
    }
}

#[allow(clippy::cast_possible_truncation)]
fn laid(part: Part, (mean, variance): (f64, f64)) -> [f32; 3] {
    [part.p, mean as f32, part.variance + variance as f32]
}
