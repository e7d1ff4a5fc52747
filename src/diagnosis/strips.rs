//! The parts of a mixture in columns, sorted so that those from which an answer may come are found at
//! once and weighed four at a time.
//!
//! Never here: what an answer leaves.

use super::part::Part;
use crate::quantity::lanes::{LANES, Level, Simd, dispatch, exp, f64x4, load};
use fearless_simd::prelude::*;
use std::f64::consts::TAU;
use std::ops::Range;

/// A part whose mean is farther off than this many of its spreads, squared, says nothing.
pub(super) const FAR: f64 = 20.0;
/// Of a variance over so many times the middle one a part is wide.
const USUAL: f64 = 2.0;

/// Parts that show figures on each side, in columns as their joint density needs them.
#[derive(Debug, Default)]
struct Bells {
    /// 1 / variance of the first; of the second given the first: slope, 1 / variance.
    mean: [Vec<f64>; 2],
    inverse: Vec<f64>,
    slope: Vec<f64>,
    given: Vec<f64>,
    /// Weight times the density at the means.
    peak: Vec<f64>,
    cause: Vec<u32>,
}

impl Bells {
    fn of(parts: &[Part], sides: usize) -> Self {
        let mut bells = Self::default();
        for part in parts {
            let inverse = part.variance[0].recip();
            let mut peak = part.weight * (TAU * part.variance[0]).sqrt().recip();
            let (mut slope, mut given) = (0.0, 0.0);
            if sides == 2 {
                slope = part.covariance * inverse;
                let left = (part.variance[1] - part.covariance * slope).max(1e-9);
                given = left.recip();
                peak /= (TAU * left).sqrt();
            }
            bells.cause.push(part.cause);
            let [first, second] = &mut bells.mean;
            let columns = [
                (first, part.mean[0]),
                (second, part.mean[1]),
                (&mut bells.inverse, inverse),
                (&mut bells.slope, slope),
                (&mut bells.given, given),
                (&mut bells.peak, peak),
            ];
            for (column, value) in columns {
                column.push(value);
            }
        }
        let [first, second] = &mut bells.mean;
        let rest = [
            &mut bells.inverse,
            &mut bells.slope,
            &mut bells.given,
            &mut bells.peak,
        ];
        for column in [first, second].into_iter().chain(rest) {
            column.resize(parts.len() + LANES, 0.0);
        }
        bells
    }

    /// Adds the density of an answer under each part of a range to that of its cause.
    #[inline(always)]
    fn weigh<S: Simd>(&self, simd: S, range: Range<usize>, answer: [f64; 2], out: &mut [f64]) {
        let far = f64x4::splat(simd, FAR);
        for at in range.clone().step_by(LANES) {
            let off = answer[0] - load(simd, &self.mean[0], at);
            let rest =
                answer[1] - load(simd, &self.mean[1], at) - load(simd, &self.slope, at) * off;
            let square = off * off * load(simd, &self.inverse, at)
                + rest * rest * load(simd, &self.given, at);
            let near = square.simd_lt(far).to_bitmask();
            if near == 0 {
                continue;
            }
            let density = load(simd, &self.peak, at) * exp(square * -0.5);
            for lane in 0..LANES.min(range.end - at) {
                if near >> lane & 1 == 1 {
                    out[self.cause[at + lane] as usize] += density[lane];
                }
            }
        }
    }
}

/// Parts of usual spread in strips by their first mean, in each by their second; the wide ones apart.
#[derive(Debug, Default)]
pub(super) struct Strips {
    from: f64,
    width: f64,
    reach: [f64; 2],
    /// Where each strip ends among the parts of usual spread.
    ends: Vec<usize>,
    usual: Bells,
    wide: Bells,
}

impl Strips {
    /// Of the parts that show a figure on each side.
    pub fn of(parts: &[Part], sides: usize) -> Self {
        let shows = |it: &&Part| it.mean[..sides].iter().all(|it| it.is_finite());
        let parts: Vec<Part> = parts.iter().filter(shows).copied().collect();
        if sides == 1 {
            let wide = Bells::of(&parts, sides);
            return Self {
                wide,
                ..Self::default()
            };
        }
        let most = [0, 1].map(|side| {
            let mut variances: Vec<f64> = parts.iter().map(|it| it.variance[side]).collect();
            variances.sort_by(f64::total_cmp);
            let middle = variances.get(variances.len() / 2);
            middle.map_or(1.0, |it| it * USUAL)
        });
        let is_usual = |it: &Part| (0..2).all(|side| it.variance[side] <= most[side]);
        let (mut usual, wide): (Vec<_>, Vec<_>) = parts.into_iter().partition(is_usual);
        let firsts = usual.iter().map(|it| it.mean[0]);
        let reach = most.map(|variance| (FAR * variance).sqrt());
        let mut made = Self {
            from: firsts.fold(f64::INFINITY, f64::min),
            width: (0.25 * reach[0]).max(1e-3),
            reach,
            ..Self::default()
        };
        let strip = |it: &Part| made.strip(it.mean[0]);
        usual.sort_by(|a, b| {
            let strips = strip(a).cmp(&strip(b));
            strips.then(a.mean[1].total_cmp(&b.mean[1]))
        });
        let last = usual.last().map_or(0, |it| strip(it) + 1);
        made.ends = (0..last)
            .map(|it| usual.partition_point(|part| strip(part) <= it))
            .collect();
        made.usual = Bells::of(&usual, sides);
        made.wide = Bells::of(&wide, sides);
        made
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn strip(&self, first: f64) -> usize {
        ((first - self.from) / self.width).clamp(0.0, 65_535.0) as usize
    }

    /// Adds, cause by cause, the density of an answer under all parts that it may come from.
    pub fn weigh(&self, answer: [f64; 2], out: &mut [f64]) {
        dispatch!(Level::new(), simd => self.weigh_in(simd, answer, out));
    }

    #[inline(always)]
    fn weigh_in<S: Simd>(&self, simd: S, answer: [f64; 2], out: &mut [f64]) {
        let [first, second] = answer;
        let low = self.strip(first - self.reach[0]).min(self.ends.len());
        let high = (self.strip(first + self.reach[0]) + 1).min(self.ends.len());
        for strip in low..high {
            let from = if strip == 0 { 0 } else { self.ends[strip - 1] };
            let means = &self.usual.mean[1][from..self.ends[strip]];
            let range = from + means.partition_point(|it| *it < second - self.reach[1])
                ..from + means.partition_point(|it| *it < second + self.reach[1]);
            self.usual.weigh(simd, range, answer, out);
        }
        let wide = 0..self.wide.cause.len();
        self.wide.weigh(simd, wide, answer, out);
    }
}
