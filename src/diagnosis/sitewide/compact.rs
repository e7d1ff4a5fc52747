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

use crate::diagnosis::evidence::{Reading, Test};
use crate::diagnosis::pairs::Batch;
use crate::diagnosis::prepared::{Prediction, Prepared};
use crate::diagnosis::quick::Quick;
use crate::quantity::Value;
use crate::site::TypeId;
use std::collections::{BTreeMap, HashMap};
use std::hash::BuildHasherDefault;

/// Parts are put together within so much of their own spread.
const CELL: f64 = 0.5;
/// Weights of types are put together within this.
const WEIGHT_CELL: f64 = 0.34;
/// Parts under this are left out: beside the slip they are nothing.
const LEAST: f64 = 1e-7;
/// Parts that stand out this little (the slips' density is 3.6e-4) are put together more, so many
/// cells to one.
const FAINT: f64 = 2e-4;
const FAINT_CELLS: i64 = 6;
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

/// Sums over the hypotheses of a part.
#[derive(Debug, Default)]
struct Sums {
    p: f64,
    first: f64,
    second: f64,
    variance: f64,
    weights: Vec<f64>,
}

impl Sums {
    fn add(&mut self, more: &Self) {
        self.p += more.p;
        self.first += more.first;
        self.second += more.second;
        self.variance += more.variance;
        self.weights.resize(more.weights.len(), 0.0);
        for (sum, weight) in self.weights.iter_mut().zip(&more.weights) {
            *sum += weight;
        }
    }
}

/// Where a part belongs: class of spread, place of ln|Z| in steps of that spread, weights.
type Cell = (i32, i64, u64);

impl SiteLine {
    /// The latest rack reading of a line; none where it shows no figure.
    #[must_use]
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        let parts = prepared.sums(
            || Self::sums(prepared, reading),
            |sums, p, prediction, weights| {
                if let Some(sums) = sums {
                    sums.add(p, prediction, weights);
                }
            },
            |sums, batch| {
                if let Some(sums) = sums {
                    sums.add_batch(batch);
                }
            },
        );
        let joined = parts.into_iter().flatten().reduce(|mut sums, more| {
            sums.join(more);
            sums
        });
        Some(joined?.line(prepared, reading))
    }

    /// Sums for such a line, nothing gone through yet.
    pub(in crate::diagnosis) fn sums(prepared: &Prepared, reading: &Reading) -> Option<LineSums> {
        let (Value::Ohm(_), Test::Rack) = (reading.value, reading.test) else {
            return None;
        };
        Some(LineSums {
            types: prepared.types().len(),
            total: 0.0,
            // Room for those of a line of some 20 loudspeakers.
            cells: HashMap::with_capacity_and_hasher(2048, BuildHasherDefault::default()),
        })
    }

    /// Relative variance of the last digit of its reading.
    pub(super) fn digit(&self) -> f64 {
        let half = self.reading.step.get() / (2.0 * self.ln_m.exp());
        half * half / 3.0
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
#[derive(Debug)]
pub(in crate::diagnosis) struct LineSums {
    types: usize,
    total: f64,
    cells: HashMap<Cell, Sums, BuildHasherDefault<Quick>>,
}

impl LineSums {
    pub fn add(&mut self, p: f64, prediction: Prediction, weights: &[f64]) {
        self.total += p;
        if !prediction.ln_z.is_finite() {
            return;
        }
        let variance = prediction.own + prediction.contacts;
        let sums = self.cells.entry(cell(&prediction, weights)).or_default();
        if sums.weights.is_empty() {
            sums.weights.resize(self.types, 0.0);
        }
        sums.p += p;
        sums.first += p * prediction.ln_z;
        sums.second += p * prediction.ln_z * prediction.ln_z;
        sums.variance += p * variance;
        for (sum, weight) in sums.weights.iter_mut().zip(weights) {
            *sum += p * weight;
        }
    }

    pub fn add_batch(&mut self, batch: &Batch<'_>) {
        batch.each(|row| self.add(row.weight, row.prediction, row.weights));
    }

    /// Takes in another's sums.
    pub fn join(&mut self, other: Self) {
        self.total += other.total;
        for (cell, more) in other.cells {
            self.cells.entry(cell).or_default().add(&more);
        }
    }

    /// The line made small.
    pub fn line(self, prepared: &Prepared, reading: &Reading) -> SiteLine {
        let (parts, weights) = self.parts();
        let ln_m = match reading.value {
            Value::Ohm(m) => m.get().max(f64::MIN_POSITIVE).ln(),
            Value::Open | Value::Short => 0.0,
        };
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
        let mut cells: Vec<(Cell, Sums)> = self.cells.into_iter().collect();
        cells.sort_unstable_by_key(|(cell, _)| *cell);
        let mut cells = coarser(cells, total);
        cells.retain(|(_, sums)| sums.p >= LEAST * total);
        let (mut parts, mut weights) = (Vec::new(), Vec::new());
        for (_, sums) in cells {
            let mean = sums.first / sums.p;
            let within = (sums.second / sums.p - mean * mean).max(0.0);
            parts.push(Part {
                p: single(sums.p / total),
                ln_z: single(mean),
                variance: single(sums.variance / sums.p + within),
            });
            weights.extend(sums.weights.iter().map(|weight| kept(weight / sums.p)));
        }
        parts.shrink_to_fit();
        weights.shrink_to_fit();
        (parts, weights)
    }
}

/// Puts together more of what hardly stands out from the slips. Cells in order.
fn coarser(cells: Vec<(Cell, Sums)>, total: f64) -> Vec<(Cell, Sums)> {
    let mut out: Vec<(Cell, Sums)> = Vec::new();
    let mut faint: BTreeMap<Cell, Sums> = BTreeMap::new();
    for (cell, sums) in cells {
        let peak = sums.p / total * (sums.p / sums.variance).sqrt();
        if peak > FAINT {
            out.push((cell, sums));
            continue;
        }
        let (class, place, _) = cell;
        let into = faint
            .entry((class, place.div_euclid(FAINT_CELLS), 0))
            .or_default();
        into.add(&sums);
    }
    out.extend(faint);
    out
}

/// Which cell a hypothesis belongs to. The class is the power of two nearest to its variance, told
/// by the bits of the number: half an octave up, then all below the exponent left away.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn cell(prediction: &Prediction, weights: &[f64]) -> Cell {
    let variance = (prediction.own + prediction.contacts).max(SHARPEST);
    let class = f64::from_bits((variance * std::f64::consts::SQRT_2).to_bits() >> 52 << 52);
    let place = prediction.ln_z / (CELL * class.sqrt());
    let mut key = 0u64;
    for weight in weights {
        // A level under 0 is 0.
        let level = (weight * (1.0 / WEIGHT_CELL) + 0.5).min(15.0) as u64;
        key = key.wrapping_mul(17).wrapping_add(level);
    }
    let class = (class.to_bits() >> 52) as i32;
    (class, downward(place), key)
}

/// The whole number at or under a number, which is no call of a function as `floor` is.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn downward(x: f64) -> i64 {
    let toward_zero = x as i64;
    toward_zero - i64::from(toward_zero as f64 > x)
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
    use crate::diagnosis::fault::example;
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
            assert!((got / want - 1.0).abs() < 0.01, "{ohm} ohm: {got} {want}");
        }
    }
}
