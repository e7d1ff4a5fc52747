//! The entropy that a reading not made yet is expected to leave.
//!
//! Answers are drawn evenly from the whole mixture, slips apart; at each the share of every cause
//! comes from all its parts: right on both sides, slipped on one or on both.
//!
//! Never here: where parts come from.

use super::part::{Limits, Part};
use super::slips::LN_SLIP_RANGE;
use super::strips::{FAR, Strips};
use crate::quantity::lanes::{LANES, Level, Simd, dispatch, f64x4, ln, load};
use crate::quantity::normal;
use fearless_simd::prelude::*;
use std::f64::consts::{LN_10, TAU};

/// What explains less of an answer than this, beside what slips explain of it, explains nothing.
const NOTHING: f64 = 1e-9;
/// Width of the cells in which what one side shows alone is tabled, in ln, and how many numbers
/// such a table may have.
const TABLE_STEP: f64 = 0.02;
const TABLE: usize = 4 << 20;

/// Place along a curve through the plane of two figures that keeps neighbours together: the bits
/// of both by turns (Morton order).
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn along_curve(mean: &[f64; 2]) -> u64 {
    let [a, b] = mean.map(|ln| ((ln + 8.0) * 2048.0).clamp(0.0, 65_535.0) as u64);
    (0..16).fold(0, |key, bit| {
        key | (a >> bit & 1) << (2 * bit + 1) | (b >> bit & 1) << (2 * bit)
    })
}

/// What a side shows.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Shows {
    Figure(f64),
    Open,
    Short,
}

/// A part with what its densities need.
struct Dense {
    part: Part,
    /// 1 / variance and the density at the mean, for each side.
    inverse: [f64; 2],
    peak: [f64; 2],
    open: [f64; 2],
    short: [f64; 2],
}

/// Density of the figure that a side shows by itself, for every cause.
struct Alone {
    step: f64,
    causes: usize,
    /// By cell, then by cause.
    cells: Vec<f32>,
}

impl Alone {
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss
    )]
    fn of(parts: &[Dense], side: usize, limits: &Limits, causes: usize) -> Self {
        let range = (limits.ln_open - limits.ln_short).max(TABLE_STEP);
        let most = (TABLE / causes.max(1)).max(16) as f64;
        let step = TABLE_STEP.max(range / most);
        let count = (range / step).ceil() as usize + 1;
        let mut alone = Self {
            step,
            causes,
            cells: vec![0.0; count * causes],
        };
        for dense in parts.iter().filter(|it| it.part.mean[side].is_finite()) {
            let part = &dense.part;
            let variance = part.variance[side].max(step * step);
            let at = (part.mean[side] - limits.ln_short) / step;
            let reach = (FAR * variance).sqrt() / step;
            let low = (at - reach).ceil().max(0.0);
            let high = (at + reach).floor().min((count - 1) as f64);
            if low > high {
                continue;
            }
            let peak = part.weight / (TAU * variance).sqrt();
            for cell in low as usize..=high as usize {
                let off = (cell as f64 - at) * step;
                alone.cells[cell * causes + part.cause as usize] +=
                    (peak * (-0.5 * off * off / variance).exp()) as f32;
            }
        }
        alone
    }

    /// By cause, at a figure so far above the lower limit.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn at(&self, above: f64) -> &[f32] {
        let last = (self.cells.len() / self.causes.max(1)).saturating_sub(1);
        let cell = ((above / self.step).round().max(0.0) as usize).min(last);
        &self.cells[cell * self.causes..(cell + 1) * self.causes]
    }
}

/// The parts of a mixture, with what the entropy that an answer leaves needs.
pub(super) struct Sums {
    parts: Vec<Dense>,
    strips: Strips,
    alone: Vec<Alone>,
    until: Vec<f64>,
    sides: usize,
    limits: Limits,
    /// Probability of each cause beforehand.
    causes: Vec<f64>,
    /// p ln p of each cause, and their sum: their entropy beforehand, turned round.
    each_ln: Vec<f64>,
    causes_ln: f64,
}

impl Sums {
    pub fn of(mut parts: Vec<Part>, sides: usize, limits: Limits) -> Self {
        let total: f64 = parts.iter().map(|it| it.weight).sum();
        let causes = parts.iter().map(|it| it.cause as usize + 1).max();
        let mut sums = Self {
            parts: Vec::with_capacity(parts.len()),
            strips: Strips::default(),
            alone: Vec::new(),
            until: Vec::with_capacity(parts.len()),
            sides,
            limits,
            causes: vec![0.0; causes.unwrap_or(0) + LANES],
            each_ln: Vec::new(),
            causes_ln: 0.0,
        };
        // What is left depends on the answer alone: neighbours by what they show stand together, so
        // that answers drawn evenly along the list are even over what may be shown.
        parts.sort_by_cached_key(|it| along_curve(&it.mean));
        let mut until = 0.0;
        for part in &mut parts {
            part.weight /= total;
            until += part.weight;
            sums.until.push(until);
            sums.causes[part.cause as usize] += part.weight;
            sums.parts.push(Dense::of(*part, &limits));
        }
        sums.each_ln = sums.causes.iter().map(|p| x_ln_x(*p)).collect();
        sums.causes_ln = sums.each_ln.iter().sum();
        sums.strips = Strips::of(&parts, sides);
        if sides == 2 {
            let count = sums.causes.len() - LANES;
            sums.alone = [0, 1]
                .map(|side| Alone::of(&sums.parts, side, &limits, count))
                .into();
        }
        sums
    }

    /// Expected fall of the entropy of the cause, in bits, summed over so many answers.
    #[allow(clippy::cast_precision_loss)]
    pub fn expected_fall(&self, answers: usize) -> f64 {
        if self.parts.is_empty() {
            return 0.0;
        }
        let before = -self.causes_ln;
        let slip = self.limits.slip;
        let mut scratch = Scratch {
            more: vec![0.0; self.causes.len()],
        };
        let mut mean = |slipped: [bool; 2], answers: usize| {
            let sum: f64 = (0..answers)
                .map(|i| self.left(&self.draw(i, answers, slipped), &mut scratch))
                .sum();
            sum / answers as f64
        };
        let few = (answers / 16).max(8);
        let after = if self.sides == 1 {
            (1.0 - slip) * mean([false, false], answers) + slip * mean([true, false], few)
        } else {
            (1.0 - slip) * (1.0 - slip) * mean([false, false], answers)
                + slip * (1.0 - slip) * (mean([true, false], few) + mean([false, true], few))
                + slip * slip * before
        };
        ((before - after) / std::f64::consts::LN_2).max(0.0)
    }

    /// The i-th of so many answers, even over the mixture; the sides that slipped even over slips.
    #[allow(clippy::cast_precision_loss)]
    fn draw(&self, i: usize, of: usize, slipped: [bool; 2]) -> [Shows; 2] {
        let u = (i as f64 + 0.5) / of as f64;
        let last = self.until.last().copied().unwrap_or(1.0);
        let at = self.until.partition_point(|until| *until < u * last);
        let part = &self.parts[at.min(self.parts.len() - 1)].part;
        // Evenly over the square: the fractions of multiples of the powers of the plastic number.
        let even = |step: f64| (0.5 + (i as f64 + 1.0) * step).fract();
        let (a, b) = (even(0.754_877_666_246_693), even(0.569_840_290_998_053));
        let radius = (-2.0 * (1.0 - a).ln()).sqrt();
        let z = [radius * (TAU * b).cos(), radius * (TAU * b).sin()];
        let lower = part.variance[0].sqrt();
        let crossed = part.covariance / lower;
        let rest = (part.variance[1] - crossed * crossed).max(1e-9).sqrt();
        let right = [
            part.mean[0] + lower * z[0],
            part.mean[1] + crossed * z[0] + rest * z[1],
        ];
        let mut shows = [Shows::Open; 2];
        for side in 0..self.sides {
            shows[side] = if slipped[side] {
                self.slip(even(0.618_033_988_749_895))
            } else {
                self.shown(right[side])
            };
        }
        shows
    }

    fn shown(&self, ln: f64) -> Shows {
        if ln > self.limits.ln_open || ln.is_nan() {
            Shows::Open
        } else if ln < self.limits.ln_short {
            Shows::Short
        } else {
            Shows::Figure(ln)
        }
    }

    fn slip(&self, u: f64) -> Shows {
        let (open, short) = (self.limits.slip_open, self.limits.slip_short);
        if u < open {
            Shows::Open
        } else if u < open + short {
            Shows::Short
        } else {
            // From 0.1 ohm.
            Shows::Figure((u - open - short) / (1.0 - open - short) * LN_SLIP_RANGE - LN_10)
        }
    }

    /// Density or probability that a slip shows this.
    fn slips(&self, shows: Shows) -> f64 {
        let (open, short) = (self.limits.slip_open, self.limits.slip_short);
        self.limits.slip
            * match shows {
                Shows::Open => open,
                Shows::Short => short,
                Shows::Figure(_) => (1.0 - open - short).max(0.0) / LN_SLIP_RANGE,
            }
    }

    /// Entropy of the cause that an answer leaves, in nats.
    fn left(&self, shows: &[Shows; 2], scratch: &mut Scratch) -> f64 {
        let stays = 1.0 - self.limits.slip;
        let first_slips = self.slips(shows[0]);
        let more = &mut scratch.more;
        more.fill(0.0);
        let base = match (self.sides, shows[0], shows[1]) {
            (1, Shows::Figure(first), _) => {
                self.strips.weigh([first, 0.0], more);
                more.iter_mut().for_each(|more| *more *= stays);
                first_slips
            }
            (1, shows, _) => {
                for dense in &self.parts {
                    more[dense.part.cause as usize] +=
                        stays * dense.part.weight * dense.right(0, shows);
                }
                first_slips
            }
            (_, Shows::Figure(first), Shows::Figure(second)) => {
                let second_slips = self.slips(shows[1]);
                self.strips.weigh([first, second], more);
                let alone = [first, second].map(|ln| ln - self.limits.ln_short);
                let alone = self.alone[0]
                    .at(alone[0])
                    .iter()
                    .zip(self.alone[1].at(alone[1]));
                for (more, (first, second)) in more.iter_mut().zip(alone) {
                    let one = f64::from(*first) * second_slips + first_slips * f64::from(*second);
                    *more = stays * (stays * *more + one);
                }
                first_slips * second_slips
            }
            _ => {
                let second_slips = self.slips(shows[1]);
                for dense in &self.parts {
                    let first = dense.right(0, shows[0]);
                    let second = dense.right(1, shows[1]);
                    let one = first * second_slips + first_slips * second;
                    more[dense.part.cause as usize] +=
                        stays * dense.part.weight * (stays * first * second + one);
                }
                first_slips * second_slips
            }
        };
        let [total, sum] = dispatch!(Level::new(), simd => self.shares(simd, base, more));
        if total > 0.0 {
            (total.ln() - sum / total).max(0.0)
        } else {
            0.0
        }
    }
}

impl Sums {
    /// The sum of what each cause comes to, and of x ln x of it, where slips explain `base` of an answer
    /// and the cause's own parts `more`. Causes that nothing but slips explains come to the same sum for
    /// every answer.
    #[inline(always)]
    fn shares<S: Simd>(&self, simd: S, base: f64, more: &[f64]) -> [f64; 2] {
        let nothing = f64x4::splat(simd, 0.0);
        let ln_base = if base > 0.0 { base.ln() } else { 0.0 };
        let (mut total, mut sum) = (nothing, nothing);
        for at in (0..more.len() - LANES).step_by(LANES) {
            let (more, p) = (load(simd, more, at), load(simd, &self.causes, at));
            let slipped = p * base;
            let counts = more.simd_gt(slipped * NOTHING);
            if counts.to_bitmask() == 0 {
                continue;
            }
            let share = more + slipped;
            let without = (p * ln_base + load(simd, &self.each_ln, at)) * base;
            total += counts.select(more, nothing);
            sum += counts.select(share * ln(share) - without, nothing);
        }
        [
            base + total.reduce_sum(),
            base * (ln_base + self.causes_ln) + sum.reduce_sum(),
        ]
    }
}

/// By cause: what its parts explain of an answer. Four places more than there are causes, as all that
/// stands by cause.
struct Scratch {
    more: Vec<f64>,
}

fn x_ln_x(x: f64) -> f64 {
    if x > 0.0 { x * x.ln() } else { 0.0 }
}

impl Dense {
    fn of(part: Part, limits: &Limits) -> Self {
        let mut dense = Self {
            part,
            inverse: part.variance.map(f64::recip),
            peak: part.variance.map(|it| (TAU * it).sqrt().recip()),
            open: [0.0; 2],
            short: [0.0; 2],
        };
        for side in 0..2 {
            if part.mean[side].is_finite() {
                let sd = (part.variance[side] - limits.digit).max(1e-9).sqrt();
                dense.open[side] = normal::cdf((part.mean[side] - limits.ln_open) / sd);
                dense.short[side] = normal::cdf((limits.ln_short - part.mean[side]) / sd);
            } else {
                dense.open[side] = 1.0;
            }
        }
        dense
    }

    /// Density or probability that a side that did not slip shows this; 0 where it is nothing.
    fn right(&self, side: usize, shows: Shows) -> f64 {
        match shows {
            Shows::Open => self.open[side],
            Shows::Short => self.short[side],
            Shows::Figure(ln) => {
                let off = ln - self.part.mean[side];
                let square = off * off * self.inverse[side];
                if square < FAR {
                    self.peak[side] * (-0.5 * square).exp()
                } else {
                    0.0
                }
            }
        }
    }
}
