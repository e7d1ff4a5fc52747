//! A line made small: what any reading at the rack would be worth on it, over all hypotheses.
//!
//! ```text
//!   p(m) = (1 - slip) sum_h p(h) Normal(ln m; ln|Z_h| + g + w_h t, s_h^2 + digit) + slip density
//! ```
//!
//! A line of 20 loudspeakers has some 60,000 hypotheses; those whose ln|Z| lie within a fraction of
//! their own spread of each other are put together, weight, mean and variance kept. A few hundred
//! parts are left, some kilobytes, so that a site of thousands of lines fits into memory.
//!
//! Never here: other lines.

use crate::diagnosis::batch::Batch;
use crate::diagnosis::cells::Cells;
use crate::diagnosis::evidence::{Reading, Test};
use crate::diagnosis::prediction::Prediction;
use crate::diagnosis::prepared::Prepared;
use crate::diagnosis::sums::Sums;
use crate::quantity::Value;
use crate::quantity::lanes::{LANES, Level, Simd, dispatch, f64x4, load};
use crate::site::TypeId;
use fearless_simd::prelude::*;

/// Parts are put together within so much of their own spread.
const CELL: f64 = 0.5;
/// Weights of types are put together within this.
const WEIGHT_CELL: f64 = 0.34;
/// Parts under this are left out: beside the slip they are nothing.
const LEAST: f64 = 1e-7;
/// Parts that stand out this little (the slips' density is 3.6e-4) are put together more, so many
/// cells to one.
const FAINT: f64 = 2e-4;
const FAINT_CELLS: u64 = 6;
/// Places of ln|Z| in a class of spread, six times 2^32, and the last of them either way: far more than
/// there are.
const PLACES: f64 = 25_769_803_776.0;
const FARTHEST: f64 = 1e9;
/// Variance under which parts are not told apart more finely: what is shared spreads them more.
const SHARPEST: f64 = 2.5e-5;

/// How weights are kept: a thousandth of a factor is not to be seen.
const STEPS: f64 = 200.0;
const LOWEST: f64 = 0.1;

/// Hypotheses that read alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    /// Probability before any reading.
    pub p: f32,
    /// Mean of ln|Z|.
    pub ln_z: f32,
    /// Variance: the line's own tolerances, contacts, and the means' within the part.
    pub variance: f32,
}

/// A line with a figure at the rack, made small for [`site_hints`](super::site_hints).
#[derive(Clone, Debug, PartialEq)]
pub struct SiteLine {
    pub(super) reading: Reading,
    /// ln of what was read.
    pub(super) ln_m: f64,
    pub(super) types: Vec<TypeId>,
    pub(super) parts: Vec<Part>,
    /// Weight of each type's factor, part by part, in steps of 1 / 200 from -0.1.
    weights: Vec<u8>,
}

/// Where a part belongs: class of spread and place of ln|Z| in steps of that spread, and weights.
type Cell = (u64, u64);

impl SiteLine {
    /// The latest rack reading of a line; none where it shows no figure.
    #[must_use]
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        let sums = prepared.summed(&LineSums::of(prepared, reading)?);
        Some(sums.line(prepared, reading))
    }

    /// Relative variance of the last digit of its reading.
    pub(super) fn digit(&self) -> f64 {
        self.reading.digit(self.ln_m.exp())
    }

    /// Each part with its weights of types.
    pub(super) fn each(&self, mut visit: impl FnMut(Part, &[f64])) {
        let n = self.types.len();
        let mut weights = vec![0.0; n];
        for (at, part) in self.parts.iter().enumerate() {
            for (weight, kept) in weights.iter_mut().zip(&self.weights[at * n..]) {
                *weight = f64::from(*kept) / STEPS - LOWEST;
            }
            visit(*part, &weights);
        }
    }
}

/// Sums for a line while hypotheses are gone through.
#[derive(Clone, Debug)]
pub(in crate::diagnosis) struct LineSums {
    /// ln of what was read.
    ln_m: f64,
    total: f64,
    /// Sums of weight, of weight times ln|Z|, its square, variance, and the weight of each type.
    cells: Cells<Cell>,
}

impl LineSums {
    /// Of a reading at the rack, nothing gone through yet; none where it shows no figure.
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        let (Value::Ohm(m), Test::Rack) = (reading.value, reading.test) else {
            return None;
        };
        Some(Self {
            ln_m: m.get().max(f64::MIN_POSITIVE).ln(),
            total: 0.0,
            cells: Cells::new(4 + prepared.types().len()),
        })
    }

    #[inline(always)]
    fn put(&mut self, cell: Cell, [p, ln_z, variance]: [f64; 3], weight_of: impl Fn(usize) -> f64) {
        if let [weight, first, second, spread, types @ ..] = self.cells.at(cell) {
            *weight += p;
            *first += p * ln_z;
            *second += p * ln_z * ln_z;
            *spread += p * variance;
            for (of, sum) in types.iter_mut().enumerate() {
                *sum += p * weight_of(of);
            }
        }
    }

    #[inline(always)]
    fn add_each<S: Simd>(&mut self, simd: S, batch: &Batch<'_>) {
        let nothing = f64x4::splat(simd, 0.0);
        let mut total = nothing;
        let (own, contacts) = (batch.own(), batch.contacts());
        let mut types: Vec<&[f64]> = Vec::with_capacity(batch.types);
        for of in 0..batch.types {
            types.push(batch.weights_of(of));
        }
        for at in (0..batch.seconds.len()).step_by(LANES) {
            let (p, ln_z) = (load(simd, batch.weight(), at), load(simd, batch.ln_z(), at));
            total += p;
            let counts = (p.simd_gt(nothing) & ln_z.is_finite()).to_bitmask();
            if counts == 0 {
                continue;
            }
            let variance = load(simd, own, at) + load(simd, contacts, at);
            let mut levels = nothing;
            for weights in &types {
                levels = level(levels, load(simd, weights, at));
            }
            let cells = cells(variance, ln_z, levels);
            let (p, ln_z, variance): ([f64; LANES], [f64; LANES], [f64; LANES]) =
                (p.into(), ln_z.into(), variance.into());
            for lane in 0..LANES {
                if counts >> lane & 1 == 1 {
                    let it = [p[lane], ln_z[lane], variance[lane]];
                    self.put(cells[lane], it, |of| types[of][at + lane]);
                }
            }
        }
        self.total += total.reduce_sum();
    }

    /// The line made small.
    pub fn line(self, prepared: &Prepared, reading: &Reading) -> SiteLine {
        let ln_m = self.ln_m;
        let (parts, weights) = self.parts();
        SiteLine {
            reading: reading.clone(),
            ln_m,
            types: prepared.types().to_vec(),
            parts,
            weights,
        }
    }

    fn parts(self) -> (Vec<Part>, Vec<u8>) {
        let total = self.total;
        let (mut parts, mut weights) = (Vec::new(), Vec::new());
        let (clear, faint) = coarser(&self.cells, total);
        let cells = clear
            .into_iter()
            .chain(faint.sorted().map(|(_, sums)| sums));
        for sums in cells {
            let [p, first, second, variance, types @ ..] = sums else {
                continue;
            };
            if *p < LEAST * total {
                continue;
            }
            let mean = first / p;
            let within = (second / p - mean * mean).max(0.0);
            parts.push(Part {
                p: single(p / total),
                ln_z: single(mean),
                variance: single(variance / p + within),
            });
            weights.extend(types.iter().map(|weight| kept(weight / p)));
        }
        parts.shrink_to_fit();
        weights.shrink_to_fit();
        (parts, weights)
    }
}

impl Sums for LineSums {
    fn add(&mut self, p: f64, prediction: Prediction, weights: &[f64]) {
        self.total += p;
        if prediction.ln_z.is_finite() {
            let variance = prediction.own + prediction.contacts;
            let cell = dispatch!(Level::new(), simd => {
                let mut levels = f64x4::splat(simd, 0.0);
                for weight in weights {
                    levels = level(levels, f64x4::splat(simd, *weight));
                }
                let ln_z = f64x4::splat(simd, prediction.ln_z);
                cells(f64x4::splat(simd, variance), ln_z, levels)[0]
            });
            self.put(cell, [p, prediction.ln_z, variance], |of| weights[of]);
        }
    }

    fn add_batch(&mut self, batch: &Batch<'_>) {
        dispatch!(Level::new(), simd => self.add_each(simd, batch));
    }

    fn join(&mut self, part: &Self) {
        self.total += part.total;
        self.cells.join(&part.cells);
    }
}

/// Cells that stand out, in order, and more put together of what hardly stands out from the slips.
fn coarser(cells: &Cells<Cell>, total: f64) -> (Vec<&[f64]>, Cells<Cell>) {
    let (mut clear, mut faint) = (Vec::new(), Cells::new(cells.width()));
    for ((at, _), sums) in cells.sorted() {
        let [p, _, _, variance, ..] = sums else {
            continue;
        };
        if p / total * (p / variance).sqrt() > FAINT {
            clear.push(sums);
        } else {
            faint.add((at / FAINT_CELLS, 0), sums);
        }
    }
    (clear, faint)
}

/// The level of one more type's weight, a digit more of the number that those of all make.
#[inline(always)]
fn level<S: Simd>(levels: f64x4<S>, weight: f64x4<S>) -> f64x4<S> {
    let (least, most) = (
        f64x4::splat(levels.token(), 0.0),
        f64x4::splat(levels.token(), 15.0),
    );
    let level = (weight * (1.0 / WEIGHT_CELL) + 0.5).max(least).min(most);
    levels * 17.0 + level.trunc()
}

/// Which cells four hypotheses belong to. The class is the power of two nearest to a variance, told
/// by the bits of the number: half an octave up, then all below the exponent left away.
#[inline(always)]
fn cells<S: Simd>(variance: f64x4<S>, ln_z: f64x4<S>, levels: f64x4<S>) -> [Cell; LANES] {
    /// 2^52, and its bits: a whole number below it that is added to it stands in the last bits.
    const WHOLE: (f64, u64) = (4_503_599_627_370_496.0, 0x4330_0000_0000_0000);
    let simd = variance.token();
    let sharpest = f64x4::splat(simd, SHARPEST);
    let octave = (variance.max(sharpest) * std::f64::consts::SQRT_2).to_bits() >> 52;
    let spread = f64x4::from_bits(octave << 52).sqrt();
    let farthest = f64x4::splat(simd, FARTHEST);
    let place = (ln_z / (spread * CELL)).floor();
    let place = place.max(-farthest).min(farthest);
    let octave = f64x4::from_bits(octave | WHOLE.1) - WHOLE.0;
    let at = octave * PLACES + place + 0.5 * PLACES + WHOLE.0;
    let at: [f64; LANES] = at.into();
    let levels: [f64; LANES] = levels.into();
    let mut cells = [(0, 0); LANES];
    for lane in 0..LANES {
        cells[lane] = (at[lane].to_bits() - WHOLE.1, levels[lane].to_bits());
    }
    cells
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn kept(weight: f64) -> u8 {
    ((weight + LOWEST) * STEPS).round().clamp(0.0, 255.0) as u8
}

#[allow(clippy::cast_possible_truncation)]
const fn single(x: f64) -> f32 {
    x as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::example;
    use crate::quantity::{Fraction, Ohm, normal};
    use crate::site::Figures;

    #[test]
    fn what_is_put_together_reads_as_it_did_apart() {
        let figures = Figures::default();
        let prepared = Prepared::new(&example::line(), &figures, false);
        let reading = Reading::at_rack(Value::Ohm(Ohm(830.0)), Ohm(1.0), Fraction(0.05), &figures);
        let line = SiteLine::of(&prepared, &reading).unwrap();
        let mut all = 0;
        prepared.each(|_, _, _, _| all += 1);
        assert!(line.parts.len() * 4 < all, "{} of {all}", line.parts.len());
        // With what is shared at its least: the sharpest that a part is ever seen.
        for ohm in [0.7, 9.0, 40.0, 280.0, 560.0, 800.0, 1100.0, 1700.0, 7000.0] {
            let (x, more) = (f64::ln(ohm), 1e-5);
            let (mut want, mut total) = (0.0, 0.0);
            prepared.each(|_, ln_weight, it, _| {
                total += ln_weight.exp();
                if it.ln_z.is_finite() {
                    let variance = it.own + it.contacts + more;
                    want += (ln_weight + normal::ln_pdf(x, it.ln_z, variance)).exp();
                }
            });
            let want = want / total + 3.6e-4;
            let got: f64 = line
                .parts
                .iter()
                .map(|it| {
                    let (mean, variance) = (f64::from(it.ln_z), f64::from(it.variance) + more);
                    f64::from(it.p) * normal::ln_pdf(x, mean, variance).exp()
                })
                .sum::<f64>()
                + 3.6e-4;
            // Pairs spread to first order: seen where they alone hold against the slip.
            let of = if want < 1e-3 { 0.2 } else { 0.01 };
            assert!((got / want - 1.0).abs() < of, "{ohm} ohm: {got} {want}");
        }
    }
}
