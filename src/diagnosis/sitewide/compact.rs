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
use crate::diagnosis::prepared::{Prediction, Prepared};
use crate::quantity::Value;
use crate::site::TypeId;
use std::collections::{BTreeMap, HashMap};
use std::hash::{BuildHasherDefault, Hasher};

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
#[derive(Default)]
struct Sums {
    p: f64,
    first: f64,
    second: f64,
    variance: f64,
    weights: Vec<f64>,
}

/// Where a part belongs: class of spread, place of ln|Z| in steps of that spread, weights.
type Cell = (i32, i64, u64);

/// Places of cells in a table: the numbers are our own and nobody's to choose, so that a multiply a
/// number will do.
#[derive(Default)]
struct Quick(u64);

impl Hasher for Quick {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u64(u64::from(*byte));
        }
    }

    fn write_i32(&mut self, number: i32) {
        self.write_i64(i64::from(number));
    }

    fn write_i64(&mut self, number: i64) {
        self.write_u64(u64::from_ne_bytes(number.to_ne_bytes()));
    }

    fn write_u64(&mut self, number: u64) {
        let mixed = (self.0.rotate_left(26) ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}

impl SiteLine {
    /// The latest rack reading of a line; none where it shows no figure.
    #[must_use]
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        let (Value::Ohm(m), Test::Rack) = (reading.value, reading.test) else {
            return None;
        };
        let (parts, weights) = parts(prepared);
        Some(Self {
            reading: reading.clone(),
            ln_m: m.get().max(f64::MIN_POSITIVE).ln(),
            types: prepared.types().to_vec(),
            parts,
            weights,
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

fn parts(prepared: &Prepared) -> (Vec<Part>, Vec<u8>) {
    let types = prepared.types().len();
    let mut cells: HashMap<Cell, Sums, BuildHasherDefault<Quick>> = HashMap::default();
    let mut total = 0.0;
    prepared.each_weight(|p, prediction, weights| {
        total += p;
        if !prediction.ln_z.is_finite() {
            return;
        }
        let variance = prediction.own + prediction.contacts;
        let sums = cells.entry(cell(&prediction, weights)).or_default();
        if sums.weights.is_empty() {
            sums.weights.resize(types, 0.0);
        }
        sums.p += p;
        sums.first += p * prediction.ln_z;
        sums.second += p * prediction.ln_z * prediction.ln_z;
        sums.variance += p * variance;
        for (sum, weight) in sums.weights.iter_mut().zip(weights) {
            *sum += p * weight;
        }
    });
    let mut cells: Vec<(Cell, Sums)> = cells.into_iter().collect();
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
        into.p += sums.p;
        into.first += sums.first;
        into.second += sums.second;
        into.variance += sums.variance;
        into.weights.resize(sums.weights.len(), 0.0);
        for (sum, weight) in into.weights.iter_mut().zip(sums.weights) {
            *sum += weight;
        }
    }
    out.extend(faint);
    out
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn cell(prediction: &Prediction, weights: &[f64]) -> Cell {
    let class = (prediction.own + prediction.contacts)
        .max(SHARPEST)
        .log2()
        .round();
    let step = CELL * class.exp2().sqrt();
    let place = (prediction.ln_z / step).floor();
    let mut key = 0u64;
    for weight in weights {
        let level = (weight / WEIGHT_CELL).round().clamp(0.0, 15.0);
        key = key.wrapping_mul(17).wrapping_add(level as u64);
    }
    (class as i32, place as i64, key)
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
