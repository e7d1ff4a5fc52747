//! The shared factors, learned from the whole site.
//!
//! Every line with a figure at the rack observes u = g + sum w t (w as designed) through
//!
//! ```text
//!   L(u) = (1 - slip) sum_h p(h) Normal(ln m; ln|Z_h| + u, s_h^2) + slip density
//! ```
//!
//! over all hypotheses, s_h^2 the line's independent parts; no line is picked as sound. The
//! posterior of all factors is taken as Normal by expectation propagation (T. P. Minka, UAI 2001):
//! one Gaussian factor in u a line, which the product of the others (its cavity) and L fix by
//! their first two moments; swept in the order of lines, from nothing, undamped. A line's own
//! hints see the cavity, so that no reading corrects itself.
//!
//! Never here: hints, verdicts.

use super::evidence::{Meter, Reading, Test};
use super::prepared::Prepared;
use super::shared::{Latent, Shared};
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{Figure, Figures};

/// L(u) is tabulated out to so many prior standard deviations of u.
const REACH: f64 = 8.0;
/// Steps of the table in the narrowest spread.
const STEPS_A_SPREAD: f64 = 4.0;
/// Most steps of a table either way.
const MOST_STEPS: f64 = 4000.0;
/// A component is laid out to so many of its own spreads.
const COMPONENT: f64 = 6.5;
/// Steps of the quadrature in the cavity's spread, and how far it goes.
const QUADRATURE_STEPS: f64 = 6.0;
const QUADRATURE_REACH: f64 = 7.0;
/// Most sweeps.
const SWEEPS: usize = 60;
/// Done when nothing moves by more than so much of its spread.
const STILL: f64 = 1e-4;
/// Spread of ln(read / true) on a known resistor beside last digit and contacts. \[assumed\]
const CHECK_SPREAD: f64 = 0.006;
/// ln of the range a slip is even over.
const LN_SLIP_RANGE: f64 = 13.815_510_557_964_274;

/// What one line's rack reading says of the shared factors: made once a reading, small.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteTerm {
    /// The factors in u, each with its prior variance and its weight.
    latents: Vec<(Latent, f64, f64)>,
    /// L(u) at -reach, -reach + step, ...
    table: Vec<f64>,
    reach: f64,
    step: f64,
}

impl SiteTerm {
    /// What a reading at the rack says; none where it shows no figure.
    #[must_use]
    pub fn of(prepared: &Prepared, reading: &Reading) -> Option<Self> {
        let (Value::Ohm(m), Test::Rack) = (reading.value, reading.test) else {
            return None;
        };
        let (m, figures) = (m.get().max(f64::MIN_POSITIVE), prepared.figures());
        let accuracy = reading.accuracy.get();
        let spread = figures.get(Figure::SpreadType);
        let (_, weights) = prepared.predicted(0);
        let meter = Latent::Meter(reading.meter.clone());
        let mut latents = vec![(meter, accuracy * accuracy / 3.0, 1.0)];
        for (of, weight) in prepared.types().iter().zip(weights) {
            latents.push((Latent::Type(of.clone()), spread * spread, *weight));
        }
        let prior: f64 = latents.iter().map(|(_, v, w)| v * w * w).sum();
        let reach = REACH * prior.max(1e-6).sqrt();
        let digit = reading.step.get() / (2.0 * m);
        let digit = digit * digit / 3.0;
        // Two passes: the narrowest spread near the reading fixes the step.
        let ln_m = m.ln();
        let (mut narrowest, mut total) = (f64::INFINITY, 0.0);
        prepared.each(|_, ln_weight, prediction, _| {
            total += ln_weight.exp();
            let variance = prediction.own + prediction.contacts + digit;
            let off = (ln_m - prediction.ln_z).abs() - reach;
            if off < 0.0 || off * off < COMPONENT * COMPONENT * variance {
                narrowest = variance.min(narrowest);
            }
        });
        let finest = (narrowest.sqrt() / STEPS_A_SPREAD).min(reach / 40.0);
        let half = (reach / finest).ceil().clamp(40.0, MOST_STEPS);
        let step = reach / half;
        let mut table = Table::new(half, step);
        let slip = figures.get(Figure::Slip);
        prepared.each(|_, ln_weight, prediction, _| {
            // What the table cannot show is not made narrower than it shows.
            let variance = (prediction.own + prediction.contacts + digit).max(step * step);
            let p = (1.0 - slip) * ln_weight.exp() / total;
            table.lay(p, ln_m - prediction.ln_z, variance);
        });
        let numeric = 1.0 - figures.get(Figure::SlipOpen) - figures.get(Figure::SlipShort);
        let density = slip * numeric.max(0.0) / LN_SLIP_RANGE;
        for value in &mut table.values {
            *value += density;
        }
        Some(Self {
            latents,
            table: table.values,
            reach,
            step,
        })
    }

    /// L at u; its nearest value beyond the table.
    fn at(&self, u: f64) -> f64 {
        let last = self.table.len() - 1;
        let place = ((u + self.reach) / self.step).clamp(0.0, index(last));
        let left = whole(place.floor().min(index(last - 1)));
        let from = left.saturating_sub(2).min(last - 5);
        // Lagrange through six values.
        let x = place - index(from);
        let mut value = 0.0;
        for one in 0..6 {
            let mut weight = 1.0;
            for other in 0..6 {
                if other != one {
                    weight *= (x - index(other)) / (index(one) - index(other));
                }
            }
            value += weight * self.table[from + one];
        }
        value.max(0.0)
    }

    /// Mean and variance of u under cavity times L; none where L leaves nothing.
    fn moments(&self, mean: f64, variance: f64) -> Option<(f64, f64)> {
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

#[allow(clippy::cast_precision_loss)]
fn index(n: usize) -> f64 {
    n as f64
}

/// A whole number of 0 or more as an index.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(x: f64) -> usize {
    x as usize
}

/// A sum of Normal densities on an even grid.
struct Table {
    values: Vec<f64>,
    half: f64,
    step: f64,
}

impl Table {
    fn new(half: f64, step: f64) -> Self {
        Self {
            values: vec![0.0; 2 * whole(half) + 1],
            half,
            step,
        }
    }

    /// Adds p Normal(u; centre, variance), by the ratio of neighbours: three exponentials.
    fn lay(&mut self, p: f64, centre: f64, variance: f64) {
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
        let mut value = scale * (-0.5 * start * start / variance).exp();
        let mut ratio = (-(start + 0.5 * self.step) * self.step / variance).exp();
        let falls = (-self.step * self.step / variance).exp();
        for out in &mut self.values[low..=high] {
            *out += value;
            value *= ratio;
            ratio *= falls;
        }
    }
}

/// A reading of a known resistor.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownResistor {
    /// With what and when.
    pub meter: Meter,
    /// The instrument's accuracy.
    pub accuracy: Fraction,
    /// What it is.
    pub known: Ohm,
    /// What was read.
    pub read: Ohm,
    /// What one step of it is worth.
    pub step: Ohm,
}

/// One line's Gaussian factor: in u = sum of weight times factor.
#[derive(Clone, Debug)]
struct Factor {
    /// Place and weight of each factor in u.
    weights: Vec<(usize, f64)>,
    /// Precision, perhaps negative, and precision times mean.
    precision: f64,
    shift: f64,
}

/// What a site's readings say of the shared factors.
#[derive(Clone, Debug)]
pub struct Learned {
    latents: Vec<Latent>,
    state: State,
    factors: Vec<Option<Factor>>,
    sweeps: usize,
}

/// A Normal over all factors.
#[derive(Clone, Debug)]
struct State {
    n: usize,
    mean: Vec<f64>,
    covariance: Vec<f64>,
}

impl State {
    /// Covariance times a factor's weights.
    fn along(&self, weights: &[(usize, f64)]) -> Vec<f64> {
        (0..self.n)
            .map(|row| {
                weights
                    .iter()
                    .map(|(at, w)| self.covariance[row * self.n + at] * w)
                    .sum()
            })
            .collect()
    }

    /// Mean and variance of u.
    fn of(&self, weights: &[(usize, f64)]) -> (f64, f64) {
        let along = self.along(weights);
        let mean = weights.iter().map(|(at, w)| w * self.mean[*at]).sum();
        let variance = weights.iter().map(|(at, w)| w * along[*at]).sum();
        (mean, variance)
    }

    /// Takes in a Gaussian factor in u. False, and nothing done, when it would be no distribution.
    fn take(&mut self, weights: &[(usize, f64)], precision: f64, shift: f64) -> bool {
        let along = self.along(weights);
        let (mean, variance) = self.of(weights);
        let grows = 1.0 + precision * variance;
        if !(grows > 0.0 && grows.is_finite()) {
            return false;
        }
        let gain = precision / grows;
        let moves = (shift - precision * mean) / grows;
        for row in 0..self.n {
            self.mean[row] += along[row] * moves;
            for column in 0..self.n {
                self.covariance[row * self.n + column] -= gain * along[row] * along[column];
            }
        }
        true
    }

    fn shared(&self, latents: &[Latent]) -> Shared {
        Shared::new(latents.to_vec(), self.mean.clone(), self.covariance.clone())
    }

    fn sd(&self, at: usize) -> f64 {
        self.covariance[at * self.n + at].max(0.0).sqrt()
    }
}

/// Learns the shared factors of a site. `terms` are those of its lines in order, none where a line
/// has no figure; `checks` the known resistors read.
#[must_use]
pub fn learn(terms: &[Option<&SiteTerm>], checks: &[KnownResistor], figures: &Figures) -> Learned {
    let mut latents: Vec<(Latent, f64)> = Vec::new();
    let mut place = |latent: &Latent, variance: f64| {
        latents
            .iter()
            .position(|(it, _)| it == latent)
            .unwrap_or_else(|| {
                latents.push((latent.clone(), variance));
                latents.len() - 1
            })
    };
    let known: Vec<usize> = checks
        .iter()
        .map(|check| {
            let a = check.accuracy.get();
            place(&Latent::Meter(check.meter.clone()), a * a / 3.0)
        })
        .collect();
    let mut factors: Vec<Option<Factor>> = terms
        .iter()
        .map(|term| {
            term.map(|term| Factor {
                weights: term
                    .latents
                    .iter()
                    .map(|(latent, variance, weight)| (place(latent, *variance), *weight))
                    .collect(),
                precision: 0.0,
                shift: 0.0,
            })
        })
        .collect();
    let n = latents.len();
    let mut state = State {
        n,
        mean: vec![0.0; n],
        covariance: vec![0.0; n * n],
    };
    for (at, (_, variance)) in latents.iter().enumerate() {
        state.covariance[at * n + at] = *variance;
    }
    for (check, at) in checks.iter().zip(known) {
        let digit = check.step.get() / (2.0 * 3f64.sqrt() * check.read.get());
        let contacts = figures.get(Figure::ContactOhm) / check.known.get();
        let variance = digit * digit + contacts * contacts + CHECK_SPREAD * CHECK_SPREAD;
        let g = (check.read.get() / check.known.get()).ln();
        if g.is_finite() && variance.is_finite() {
            state.take(&[(at, 1.0)], variance.recip(), g / variance);
        }
    }
    let mut sweeps = 0;
    while sweeps < SWEEPS {
        sweeps += 1;
        let before = state.clone();
        for (term, factor) in terms.iter().zip(&mut factors) {
            if let (Some(term), Some(factor)) = (term, factor) {
                refine(&mut state, term, factor);
            }
        }
        let moved = (0..n)
            .map(|at| {
                let sd = state.sd(at).max(f64::MIN_POSITIVE);
                let mean = (state.mean[at] - before.mean[at]).abs() / sd;
                mean.max((sd - before.sd(at)).abs() / sd)
            })
            .fold(0.0, f64::max);
        if moved <= STILL {
            break;
        }
    }
    Learned {
        latents: latents.into_iter().map(|(latent, _)| latent).collect(),
        state,
        factors,
        sweeps,
    }
}

/// Fits one line's factor anew: out of the product, then by the moments of cavity times L.
fn refine(state: &mut State, term: &SiteTerm, factor: &mut Factor) {
    let (mean, variance) = state.of(&factor.weights);
    let left = 1.0 - factor.precision * variance;
    if !(left > 0.0 && variance > 0.0) {
        return;
    }
    let cavity_variance = variance / left;
    let cavity_mean = (mean - factor.shift * variance) / left;
    let Some((tilted_mean, tilted)) = term.moments(cavity_mean, cavity_variance) else {
        return;
    };
    let precision = tilted.recip() - cavity_variance.recip();
    let shift = tilted_mean / tilted - cavity_mean / cavity_variance;
    if !(precision.is_finite() && shift.is_finite()) {
        return;
    }
    let (more, moves) = (precision - factor.precision, shift - factor.shift);
    if state.take(&factor.weights, more, moves) {
        (factor.precision, factor.shift) = (precision, shift);
    }
}

impl Learned {
    /// What all lines say together: for verdicts.
    #[must_use]
    pub fn shared(&self) -> Shared {
        self.state.shared(&self.latents)
    }

    /// What all lines but one say: for that line's hints. Lines as given to [`learn`].
    #[must_use]
    pub fn without(&self, line: usize) -> Shared {
        let mut state = self.state.clone();
        if let Some(Some(factor)) = self.factors.get(line) {
            state.take(&factor.weights, -factor.precision, -factor.shift);
        }
        state.shared(&self.latents)
    }

    /// How many sweeps it took.
    #[must_use]
    pub const fn sweeps(&self) -> usize {
        self.sweeps
    }
}

#[cfg(test)]
mod tests {
    use super::super::fault::example;
    use super::*;
    use crate::quantity::normal;

    fn reading(ohm: f64, step: f64) -> Reading {
        Reading::at_rack(
            Value::Ohm(Ohm(ohm)),
            Ohm(step),
            Fraction(0.05),
            &Figures::default(),
        )
    }

    fn prepared() -> Prepared {
        Prepared::new(&example::line(), &Figures::default(), false)
    }

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
                assert!(
                    (got / want - 1.0).abs() < 1e-4,
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

    #[test]
    fn means_and_spreads_agree_with_a_dense_grid() {
        // Three lines of one type read with one meter: two factors, so that the posterior can be
        // summed on a grid over both. Means are wanted within 0.01 of a spread, spreads to 1 %.
        let prepared = prepared();
        let readings = [
            reading(800.0, 10.0),
            reading(790.0, 10.0),
            reading(700.0, 10.0),
        ];
        let terms: Vec<SiteTerm> = readings
            .iter()
            .map(|it| SiteTerm::of(&prepared, it).unwrap())
            .collect();
        let listed: Vec<Option<&SiteTerm>> = terms.iter().map(Some).collect();
        let learned = learn(&listed, &[], &Figures::default());
        assert!(learned.sweeps() < SWEEPS);

        let w = terms[0].latents[1].2;
        let (sd_g, sd_t) = (0.05 / 3f64.sqrt(), 0.06);
        let n = 300;
        let mut sums = [0.0; 6];
        for row in -n..=n {
            for column in -n..=n {
                let g = 6.0 * sd_g * f64::from(row) / f64::from(n);
                let t = 6.0 * sd_t * f64::from(column) / f64::from(n);
                let mut p = (-0.5 * ((g / sd_g).powi(2) + (t / sd_t).powi(2))).exp();
                for term in &terms {
                    p *= term.at(g + w * t);
                }
                for (sum, value) in sums.iter_mut().zip([1.0, g, t, g * g, t * t, g * t]) {
                    *sum += p * value;
                }
            }
        }
        let [total, g, t, gg, tt, _] = sums;
        let shared = learned.shared();
        for (latent, first, second) in [
            (Latent::Meter(Meter::default()), g / total, gg / total),
            (Latent::Type("bowl".into()), t / total, tt / total),
        ] {
            let (mean, variance) = shared.factor(&latent).unwrap();
            let sd = (second - first * first).sqrt();
            assert!(
                (mean - first).abs() < 0.01 * sd,
                "{latent:?}: {mean} {first}"
            );
            assert!((variance.sqrt() / sd - 1.0).abs() < 0.01, "{latent:?}");
        }
    }

    #[test]
    fn a_known_resistor_settles_the_meter_and_nothing_else() {
        // 400 ohm read as 392 with a step of 1: g = ln 0.98, spread of the reading 0.006 and
        // contacts 0.3 / 400 and digit 1 / 392 / sqrt 12, the prior 0.05 / sqrt 3.
        let check = KnownResistor {
            meter: Meter::default(),
            accuracy: Fraction(0.05),
            known: Ohm(400.0),
            read: Ohm(392.0),
            step: Ohm(1.0),
        };
        let shared = learn(&[], &[check], &Figures::default()).shared();
        let own = 0.006f64.powi(2) + (0.3f64 / 400.0).powi(2) + (1.0f64 / 392.0).powi(2) / 12.0;
        let prior = 0.05f64.powi(2) / 3.0;
        let variance = 1.0 / (1.0 / own + 1.0 / prior);
        let (mean, got) = shared.factor(&Latent::Meter(Meter::default())).unwrap();
        assert!((mean - variance / own * 0.98f64.ln()).abs() < 1e-12);
        assert!((got - variance).abs() < 1e-15);
        assert_eq!(shared.factor(&Latent::Type("bowl".into())), None);
    }

    #[test]
    fn a_line_read_alone_corrects_nothing_of_itself() {
        let prepared = prepared();
        let term = SiteTerm::of(&prepared, &reading(800.0, 1.0)).unwrap();
        let learned = learn(&[None, Some(&term)], &[], &Figures::default());
        let meter = Latent::Meter(Meter::default());
        let (mean, variance) = learned.without(1).factor(&meter).unwrap();
        assert!(mean.abs() < 1e-12 && (variance - 0.05f64.powi(2) / 3.0).abs() < 1e-12);
        let (moved, narrower) = learned.without(0).factor(&meter).unwrap();
        assert!(moved.abs() > 1e-4 && narrower < variance);
        assert_eq!(learned.without(0), learned.shared());
    }
}
