//! A sieve over pairs of lines: what a reading may be worth on a line, at most and about, looked up
//! in a table, so that thousands of lines do not cost millions of sums over hypotheses.
//!
//! Never here: odds.

use super::weigh::{Common, Weigher};

/// The table goes from so many ohm to so many, in even steps of ln.
const FROM_OHM: f64 = 0.05;
const TO_OHM: f64 = 3e5;
const STEP: f64 = 0.05;
/// Beyond so many spreads a part is nothing.
const REACH: f64 = 7.0;
/// Relative variance of a last digit for the value that is only about right.
const A_DIGIT: f64 = 1e-4;

/// What readings of any meter of the site are worth on one line, by ln of what was read less the
/// mean of its meter's factor.
#[derive(Debug)]
pub(super) struct Sieve {
    most: Vec<f32>,
    about: Vec<f32>,
    slip: f64,
}

impl Sieve {
    /// `digit` is the largest relative variance of a last digit on the site.
    pub fn of(weigher: &Weigher<'_>, common: &Common<'_>, digit: f64) -> Self {
        let from = FROM_OHM.ln();
        let cells = whole((TO_OHM.ln() - from) / STEP) + 1;
        let (mut most, mut about) = (vec![0f64; cells], vec![0f64; cells]);
        weigher.line.each(|part, weights| {
            let own = f64::from(part.variance);
            let (mut least, mut largest, mut mean) = (f64::INFINITY, 0f64, 0.0);
            for meter in 0..common.meters.len() {
                let (seen, variance) = weigher.seen(f64::from(part.ln_z), weights, meter);
                mean = seen - weigher.joint.mean[meter];
                least = least.min(own + variance);
                largest = largest.max(own + variance);
            }
            let largest = largest + digit;
            let reach = REACH * largest.sqrt() + STEP;
            let low = whole(((mean - reach - from) / STEP).max(0.0));
            let high = whole(((mean + reach - from) / STEP).max(0.0)).min(cells - 1);
            let p = f64::from(part.p);
            for cell in low..=high {
                let d = from + (index(cell) + 0.5) * STEP - mean;
                about[cell] += p * density(d, least + A_DIGIT);
                // The nearest that a reading in this cell can come, with the worst spread for it.
                let d = (d.abs() - 0.5 * STEP).max(0.0);
                most[cell] += p * density(d, (d * d).clamp(least, largest));
            }
        });
        Self {
            most: single(&most),
            about: single(&about),
            slip: common.slip_density(),
        }
    }

    /// The most that a reading can be worth.
    pub fn most(&self, x: f64) -> f64 {
        self.look(&self.most, x)
    }

    /// About what a reading is worth.
    pub fn about(&self, x: f64) -> f64 {
        self.look(&self.about, x)
    }

    fn look(&self, table: &[f32], x: f64) -> f64 {
        let place = ((x - FROM_OHM.ln()) / STEP).floor();
        let seen = if place < 0.0 {
            None
        } else {
            table.get(whole(place))
        };
        seen.map_or(0.0, |it| f64::from(*it)) + self.slip
    }
}

fn density(d: f64, variance: f64) -> f64 {
    (-0.5 * d * d / variance).exp() / (2.0 * std::f64::consts::PI * variance).sqrt()
}

#[allow(clippy::cast_possible_truncation)]
fn single(of: &[f64]) -> Vec<f32> {
    of.iter().map(|it| *it as f32).collect()
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
const fn whole(x: f64) -> usize {
    x as usize
}

#[allow(clippy::cast_precision_loss)]
const fn index(n: usize) -> f64 {
    n as f64
}
