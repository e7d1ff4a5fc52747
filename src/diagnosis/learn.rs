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

use super::evidence::Meter;
use super::shared::{Latent, Shared, meter_variance};
use super::term::SiteTerm;
use crate::quantity::{Fraction, Ohm};
use crate::site::{Figure, Figures};

/// Most sweeps over the lines.
const SWEEPS: usize = 60;
/// Done when nothing moves by more than so much of its spread.
const STILL: f64 = 1e-4;
/// Spread of ln(read / true) on a known resistor beside last digit and contacts. \[assumed\]
pub const CHECK_SPREAD: f64 = 0.006;

/// A reading of a known resistor.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownResistor {
    /// With what and when.
    pub meter: Meter,
    /// The instrument's accuracy.
    pub accuracy: Fraction,
    /// Its resistance, as it is known without this meter.
    pub known: Ohm,
    /// What was read.
    pub read: Ohm,
    /// What one step of the reading is worth: the last digit typed or the instrument's scale step,
    /// whichever is larger.
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
/// has no figure; `checks` the known resistors read, which are taken in first. `figures` gives the contacts
/// of a check; the priors of the factors stand in the terms. A check that reads nothing, or of nothing, is
/// passed over.
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
            let meter = Latent::Meter(check.meter.clone());
            place(&meter, meter_variance(check.accuracy))
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

    /// How many sweeps over the site it took until nothing moved.
    #[must_use]
    pub const fn sweeps(&self) -> usize {
        self.sweeps
    }
}

#[cfg(test)]
mod tests {
    use super::super::example::{prepared, reading};

    use super::*;

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
