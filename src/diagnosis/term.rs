//! What one line's rack reading says of the shared factors: its likelihood in their sum u,
//! tabulated once a reading, so that a sweep over the site costs one quadrature a line.
//!
//! Never here: what other lines say.

use super::batch::Batch;
use super::cells::Cells;
use super::evidence::{Reading, Test};
use super::prediction::Prediction;
use super::prepared::Prepared;
use super::shared::{Latent, meter_variance};
use super::slips::LN_SLIP_RANGE;
use super::sums::Sums;
use super::table::{COMPONENT, Table, index, whole};
use crate::quantity::Value;
use crate::quantity::lanes::{LANES, Level, Simd, dispatch, f64x4, load};
use crate::site::Figure;
use fearless_simd::prelude::*;

/// L(u) is tabulated out to so many prior standard deviations of u.
const REACH: f64 = 8.0;
/// Steps of the table in the narrowest spread.
const STEPS_A_SPREAD: f64 = 4.0;
/// Most steps of a table either way.
const MOST_STEPS: f64 = 4000.0;
/// Steps of the quadrature in the cavity's spread, and how far it goes.
const QUADRATURE_STEPS: f64 = 6.0;
const QUADRATURE_REACH: f64 = 7.0;

/// What one line's rack reading says of the shared factors: a few kilobytes.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteTerm {
    /// The factors in u, each with its prior variance and its weight.
    pub(super) latents: Vec<(Latent, f64, f64)>,
    /// L(u) at -reach, -reach + step, ...
    table: Vec<f64>,
    reach: f64,
    step: f64,
}

impl SiteTerm {
    /// What a reading at the rack says; none where it shows no figure.
    #[must_use]
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        Some(prepared.summed(&TermSums::of(prepared, reading)?).term())
    }
}

/// Sums for a term while hypotheses are gone through: those whose Normals the table shows, put
/// together where their means lie within an eighth of their spread and their variances within a
/// sixteenth, weight, mean and variance kept. L of these is then right to some 1e-5 of itself, of all
/// that is meant to a thousandth: the spreads of pairs are of first order.
#[derive(Clone, Debug)]
pub(super) struct TermSums {
    latents: Vec<(Latent, f64, f64)>,
    slip: f64,
    numeric: f64,
    ln_m: f64,
    digit: f64,
    reach: f64,
    total: f64,
    narrowest: f64,
    /// Sums of weight, of weight times place, its square, variance.
    cells: Cells<i64>,
}

impl TermSums {
    /// Of a reading at the rack, nothing gone through yet; none where it shows no figure.
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        let (Value::Ohm(m), Test::Rack) = (reading.value, reading.test) else {
            return None;
        };
        let (m, figures) = (m.get().max(f64::MIN_POSITIVE), prepared.figures());
        let spread = figures.get(Figure::SpreadType);
        let (_, weights) = prepared.as_drawn();
        let meter = Latent::Meter(reading.meter.clone());
        let mut latents = vec![(meter, meter_variance(reading.accuracy), 1.0)];
        for (of, weight) in prepared.types().iter().zip(weights) {
            latents.push((Latent::Type(of.clone()), spread * spread, *weight));
        }
        let prior: f64 = latents.iter().map(|(_, v, w)| v * w * w).sum();
        let reach = REACH * prior.max(1e-6).sqrt();
        Some(Self {
            latents,
            slip: figures.get(Figure::Slip),
            numeric: 1.0 - figures.get(Figure::SlipOpen) - figures.get(Figure::SlipShort),
            ln_m: m.ln(),
            digit: reading.digit(m),
            reach,
            total: 0.0,
            narrowest: f64::INFINITY,
            cells: Cells::new(4),
        })
    }

    /// What the table will not show as narrow as it is: its step is at most a fortieth of its reach.
    fn floor(&self) -> f64 {
        self.reach * self.reach / 1600.0
    }

    #[inline]
    fn put(&mut self, cell: i64, [p, centre, variance]: [f64; 3]) {
        if let [weight, first, second, spread] = self.cells.at(cell) {
            *weight += p;
            *first += p * centre;
            *second += p * centre * centre;
            *spread += p * variance;
        }
    }

    #[inline(always)]
    fn add_each<S: Simd>(&mut self, simd: S, batch: &Batch<'_>) {
        let all = |x| f64x4::splat(simd, x);
        let (nothing, floor) = (all(0.0), all(self.floor()));
        let (mut total, mut narrowest) = (nothing, all(f64::INFINITY));
        let (ln_z, own, contacts) = (batch.ln_z(), batch.own(), batch.contacts());
        for at in (0..batch.seconds.len()).step_by(LANES) {
            let p = load(simd, batch.weight(), at);
            total += p;
            let variance = load(simd, own, at) + load(simd, contacts, at) + self.digit;
            let centre = self.ln_m - load(simd, ln_z, at);
            let off = centre.abs() - self.reach;
            let square = off * off * (1.0 / (COMPONENT * COMPONENT));
            let (within, counts) = (off.simd_lt(nothing), p.simd_gt(nothing));
            let near = (within | square.simd_lt(variance)) & counts;
            narrowest = narrowest.min(near.select(variance, narrowest));
            let shown = ((within | square.simd_lt(variance.max(floor))) & counts).to_bitmask();
            if shown == 0 {
                continue;
            }
            let cells = cells(centre, variance);
            let (p, centre, variance): ([f64; 4], [f64; 4], [f64; 4]) =
                (p.into(), centre.into(), variance.into());
            for lane in 0..LANES {
                if shown >> lane & 1 == 1 {
                    self.put(cells[lane], [p[lane], centre[lane], variance[lane]]);
                }
            }
        }
        self.total += total.reduce_sum();
        self.narrowest = self.narrowest.min(narrowest.reduce_min());
    }

    /// The term. The narrowest spread near the reading fixes the step.
    pub fn term(self) -> SiteTerm {
        let finest = (self.narrowest.sqrt() / STEPS_A_SPREAD).min(self.reach / 40.0);
        let half = (self.reach / finest).ceil().clamp(40.0, MOST_STEPS);
        let step = self.reach / half;
        let mut table = Table::new(half, step);
        for (_, sums) in self.cells.sorted() {
            let [p, first, second, variance] = *sums else {
                continue;
            };
            let mean = first / p;
            let within = (second / p - mean * mean).max(0.0);
            // What the table cannot show is not made narrower than it shows.
            let variance = (variance / p + within).max(step * step);
            table.lay((1.0 - self.slip) * p / self.total, mean, variance);
        }
        let density = self.slip * self.numeric.max(0.0) / LN_SLIP_RANGE;
        for value in &mut table.values {
            *value += density;
        }
        SiteTerm {
            latents: self.latents,
            table: table.values,
            reach: self.reach,
            step,
        }
    }
}

impl Sums for TermSums {
    fn add(&mut self, p: f64, prediction: Prediction, _: &[f64]) {
        self.total += p;
        let variance = prediction.own + prediction.contacts + self.digit;
        let centre = self.ln_m - prediction.ln_z;
        let off = centre.abs() - self.reach;
        let square = off * off * (1.0 / (COMPONENT * COMPONENT));
        if off < 0.0 || square < variance.max(self.floor()) {
            if off < 0.0 || square < variance {
                self.narrowest = variance.min(self.narrowest);
            }
            let cell = dispatch!(Level::new(), simd => {
                cells(f64x4::splat(simd, centre), f64x4::splat(simd, variance))[0]
            });
            self.put(cell, [p, centre, variance]);
        }
    }

    fn add_batch(&mut self, batch: &Batch<'_>) {
        dispatch!(Level::new(), simd => self.add_each(simd, batch));
    }

    fn join(&mut self, part: &Self) {
        self.total += part.total;
        self.narrowest = self.narrowest.min(part.narrowest);
        self.cells.join(&part.cells);
    }
}

/// Cells in a spread, and the bits of a number of 64 that are left away so that what is left tells
/// sixteenths of it.
const CELLS_A_SPREAD: f64 = 8.0;
const SIXTEENTHS: u32 = 48;

/// Which cells four Normals belong to: class of variance, place in steps of the class's spread.
#[allow(clippy::cast_possible_truncation)]
#[inline(always)]
fn cells<S: Simd>(centre: f64x4<S>, variance: f64x4<S>) -> [i64; LANES] {
    let simd = centre.token();
    let farthest = f64x4::splat(simd, 1e9);
    let class = variance.to_bits() >> SIXTEENTHS;
    let spread = f64x4::from_bits(class << SIXTEENTHS).sqrt();
    let place = centre * CELLS_A_SPREAD / spread;
    let place: [f64; LANES] = place.max(-farthest).min(farthest).into();
    let variance: [f64; LANES] = variance.into();
    let mut cells = [0; LANES];
    for lane in 0..LANES {
        // Evened towards zero: the two cells about it are one, which no reading lies on but by chance.
        let class = (variance[lane].to_bits() >> SIXTEENTHS) as u32;
        cells[lane] = (i64::from(class) << 32) + place[lane] as i64;
    }
    cells
}

impl SiteTerm {
    /// L at u; its nearest value beyond the table.
    pub(super) fn at(&self, u: f64) -> f64 {
        let last = self.table.len() - 1;
        let place = ((u + self.reach) / self.step).clamp(0.0, index(last));
        let left = whole(place.floor().min(index(last - 1)));
        let from = left.saturating_sub(2).min(last - 5);
        // Lagrange through six values at whole places: the products of their distances are known.
        const BETWEEN: [f64; 6] = [-120.0, 24.0, -12.0, 12.0, -24.0, 120.0];
        let x = place - index(from);
        let mut value = 0.0;
        for (one, between) in BETWEEN.iter().enumerate() {
            let mut weight = 1.0;
            for other in 0..6 {
                if other != one {
                    weight *= x - index(other);
                }
            }
            value += weight / between * self.table[from + one];
        }
        value.max(0.0)
    }

    /// Mean and variance of u under cavity times L; none where L leaves nothing.
    pub(super) fn moments(&self, mean: f64, variance: f64) -> Option<(f64, f64)> {
        let sd = variance.sqrt();
        // The table is smooth over STEPS_A_SPREAD of its steps.
        let step = (sd / QUADRATURE_STEPS).min(2.0 * self.step);
        let half = whole((QUADRATURE_REACH * sd / step).ceil().min(MOST_STEPS));
        let step = QUADRATURE_REACH * sd / index(half);
        let (mut s0, mut s1, mut s2) = (0.0, 0.0, 0.0);
        for k in 0..=2 * half {
            let off = (index(k) - index(half)) * step;
            let weight = (-0.5 * off * off / variance).exp() * self.at(mean + off);
            s0 += weight;
            s1 += weight * off;
            s2 += weight * off * off;
        }
        if !(s0 > 0.0 && s0.is_finite()) {
            return None;
        }
        let off = s1 / s0;
        let tilted = s2 / s0 - off * off;
        (tilted > 0.0).then_some((mean + off, tilted))
    }
}

#[cfg(test)]
mod tests {
    use super::super::example::{prepared, reading};
    use super::*;
    use crate::quantity::normal;

    /// L(u) by its definition.
    fn by_definition(prepared: &Prepared, reading: &Reading, u: f64) -> f64 {
        let Value::Ohm(m) = reading.value else {
            panic!("a figure")
        };
        let digit = (reading.step.get() / m.get()).powi(2) / 12.0;
        let (mut sum, mut total) = (0.0, 0.0);
        prepared.each(|_, ln_weight, it, _| {
            let p = ln_weight.exp();
            total += p;
            let variance = it.own + it.contacts + digit;
            if it.ln_z.is_finite() {
                sum += p * normal::ln_pdf(m.get().ln(), it.ln_z + u, variance).exp();
            }
        });
        0.99 * sum / total + 0.005 / 1e6f64.ln()
    }

    #[test]
    fn a_term_is_the_likelihood_of_its_reading_by_the_sum_of_the_shared_factors() {
        let prepared = prepared();
        for (ohm, step) in [(830.0, 10.0), (560.0, 1.0), (30.0, 1.0)] {
            let reading = reading(ohm, step);
            let term = SiteTerm::of(&prepared, &reading).unwrap();
            for u in [-0.4, -0.1, -0.033, 0.0, 0.0071, 0.05, 0.3] {
                let (got, want) = (term.at(u), by_definition(&prepared, &reading, u));
                // Pairs spread to first order: seen where they alone hold against the slip, 3.6e-4.
                let of = if want > 1e-3 { 1e-3 } else { 0.25 };
                assert!(
                    (got / want - 1.0).abs() < of,
                    "{ohm} ohm, u = {u}: {got} is not {want}"
                );
            }
        }
    }

    #[test]
    fn what_shows_no_figure_says_nothing() {
        let mut open = reading(1.0, 1.0);
        open.value = Value::Open;
        assert_eq!(SiteTerm::of(&prepared(), &open), None);
    }
}
