//! A sum of Normal densities, tabulated on an even grid.
//!
//! Never here: what they are densities of.

use crate::quantity::lanes::{LANES, Level, Simd, dispatch, exp, f64x4};
use fearless_simd::prelude::*;

/// A component is laid out to so many of its own spreads.
pub(super) const COMPONENT: f64 = 6.5;

#[allow(clippy::cast_precision_loss)]
pub(super) fn index(n: usize) -> f64 {
    n as f64
}

/// A whole number of 0 or more as an index.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub(super) fn whole(x: f64) -> usize {
    x as usize
}

/// A sum of Normal densities on an even grid.
pub(super) struct Table {
    pub values: Vec<f64>,
    half: f64,
    step: f64,
}

impl Table {
    pub fn new(half: f64, step: f64) -> Self {
        Self {
            values: vec![0.0; 2 * whole(half) + 1],
            half,
            step,
        }
    }

    /// Adds p Normal(u; centre, variance), by the ratio of each value to the next but three, four at a
    /// time.
    pub fn lay(&mut self, p: f64, centre: f64, variance: f64) {
        let reach = COMPONENT * variance.sqrt();
        let place = |u: f64| u / self.step + self.half;
        let last = index(self.values.len() - 1);
        let (low, high) = (place(centre - reach).ceil(), place(centre + reach).floor());
        if !(low <= last && high >= 0.0 && low <= high) {
            return;
        }
        let (low, high) = (whole(low.max(0.0)), whole(high.min(last)));
        let start = (index(low) - self.half) * self.step - centre;
        let scale = p / (2.0 * std::f64::consts::PI * variance).sqrt();
        let values = &mut self.values[low..=high];
        dispatch!(Level::new(), simd => {
            fours(simd, values, [start, self.step], [scale, variance.recip()]);
        });
    }
}

/// Adds the values of scale exp(-u^2 / 2 variance) from u = `start` on, a step apart.
#[inline(always)]
fn fours<S: Simd>(
    simd: S,
    values: &mut [f64],
    [start, step]: [f64; 2],
    [scale, inverse]: [f64; 2],
) {
    let four = 4.0 * step;
    let off = f64x4::simd_from(simd, [0.0, step, 2.0 * step, 3.0 * step]) + start;
    let mut value = exp(off * off * (-0.5 * inverse)) * scale;
    let mut ratio = exp((off + 0.5 * four) * (-four * inverse));
    let falls = (-four * four * inverse).exp();
    let (fours, rest) = values.as_chunks_mut::<LANES>();
    for out in fours {
        *out = (f64x4::simd_from(simd, *out) + value).into();
        value *= ratio;
        ratio *= falls;
    }
    let value: [f64; LANES] = value.into();
    for (out, value) in rest.iter_mut().zip(value) {
        *out += value;
    }
}
