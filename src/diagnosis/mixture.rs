//! What a reading not made yet may show, cause by cause: a mixture of Normals in ln of one reading
//! or of the two sides of a split, and the entropy that it is expected to leave.
//!
//! Parts of one cause that would read nearly the same are joined with their mean and covariance
//! kept. The expectation is summed over answers drawn evenly from the whole mixture; at each the
//! share of every cause comes from all parts. Each side slips by itself, and shows open or short
//! beyond its limits.
//!
//! Never here: lines, hypotheses.

use super::left::Sums;
use super::part::{Limits, Part};
use super::quick::Quick;
use std::collections::HashMap;
use std::hash::BuildHasherDefault;

/// Parts are joined whose means fall into one cell so wide, in ln.
const CELL: f64 = 0.03;
/// Parts of a smaller share of the whole are joined in cells so many times as wide.
const LIGHT: f64 = 2e-5;
const WIDER: i32 = 3;
/// Where a part has no figure because nothing is connected.
const OPEN_CELL: i32 = i32::MAX;

/// Parts of one cell added up: weights, means and squares by side, product of both sides.
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    weight: f64,
    first: [f64; 2],
    second: [f64; 2],
    crossed: f64,
}

impl Sum {
    fn add(&mut self, more: &Self) {
        self.weight += more.weight;
        self.crossed += more.crossed;
        for side in 0..2 {
            self.first[side] += more.first[side];
            self.second[side] += more.second[side];
        }
    }
}

/// Parts as they come, joined.
#[derive(Clone, Debug)]
pub(super) struct Mixture {
    sides: usize,
    cells: HashMap<(u32, [i32; 2]), Sum, BuildHasherDefault<Quick>>,
}

impl Mixture {
    pub fn new(sides: usize) -> Self {
        Self {
            sides,
            cells: HashMap::default(),
        }
    }

    pub fn add(&mut self, part: &Part) {
        let mut key = [0; 2];
        for (key, mean) in key.iter_mut().zip(part.mean).take(self.sides) {
            *key = cell(mean);
        }
        let sum = self.cells.entry((part.cause, key)).or_default();
        let w = part.weight;
        sum.weight += w;
        for side in 0..self.sides {
            if part.mean[side].is_finite() {
                sum.first[side] += w * part.mean[side];
                sum.second[side] += w * (part.mean[side].powi(2) + part.variance[side]);
            }
        }
        if part.mean.iter().all(|it| it.is_finite()) {
            sum.crossed += w * (part.mean[0] * part.mean[1] + part.covariance);
        }
    }

    /// Joins the parts of another mixture to these.
    pub fn join(&mut self, other: Self) {
        for (key, more) in other.cells {
            self.cells.entry(key).or_default().add(&more);
        }
    }

    /// The parts, those of a cause together and in the order of their means.
    pub fn parts(&self) -> Vec<Part> {
        // In one order, whatever the table's: sums must come out to the same digit every time.
        let mut cells: Vec<_> = self.cells.iter().collect();
        cells.sort_unstable_by_key(|(key, _)| **key);
        let total: f64 = cells.iter().map(|(_, sum)| sum.weight).sum();
        let (mut heavy, mut light) = (Self::new(self.sides), Self::new(self.sides));
        for ((cause, cells), sum) in cells {
            if sum.weight >= LIGHT * total {
                heavy.cells.insert((*cause, *cells), *sum);
            } else {
                let wider = cells.map(|cell| match cell {
                    OPEN_CELL => OPEN_CELL,
                    cell => cell.div_euclid(WIDER),
                });
                light.cells.entry((*cause, wider)).or_default().add(sum);
            }
        }
        let mut parts = heavy.listed();
        parts.extend(light.listed());
        parts.sort_by(|a, b| {
            let means = a.mean[0].total_cmp(&b.mean[0]);
            let means = means.then(a.mean[1].total_cmp(&b.mean[1]));
            a.cause.cmp(&b.cause).then(means)
        });
        parts
    }

    fn listed(&self) -> Vec<Part> {
        self.cells
            .iter()
            .map(|((cause, key), sum)| {
                let mut part = Part {
                    cause: *cause,
                    weight: sum.weight,
                    mean: [0.0; 2],
                    variance: [1.0; 2],
                    covariance: 0.0,
                };
                for (side, cell) in key.iter().enumerate().take(self.sides) {
                    if *cell == OPEN_CELL {
                        part.mean[side] = f64::INFINITY;
                        continue;
                    }
                    let mean = sum.first[side] / sum.weight;
                    part.mean[side] = mean;
                    part.variance[side] = (sum.second[side] / sum.weight - mean * mean).max(1e-9);
                }
                if self.sides == 2 && part.mean.iter().all(|it| it.is_finite()) {
                    part.covariance = sum.crossed / sum.weight - part.mean[0] * part.mean[1];
                }
                part
            })
            .collect()
    }

    /// Expected fall of the entropy of the cause, in bits, summed over so many answers.
    pub fn expected_fall(&self, limits: &Limits, answers: usize) -> f64 {
        Sums::of(self.parts(), self.sides, *limits).expected_fall(answers)
    }
}

#[allow(clippy::cast_possible_truncation)]
fn cell(mean: f64) -> i32 {
    if mean.is_finite() {
        (mean / CELL).floor().clamp(-1e6, 1e6) as i32
    } else {
        OPEN_CELL
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIMITS: Limits = Limits {
        ln_open: 11.5,
        ln_short: -0.7,
        slip: 0.0,
        slip_open: 0.3,
        slip_short: 0.2,
        digit: 1e-4,
    };

    fn part(cause: u32, mean: [f64; 2], covariance: f64) -> Part {
        Part {
            cause,
            weight: 0.5,
            mean,
            variance: [0.01; 2],
            covariance,
        }
    }

    fn fall(sides: usize, limits: &Limits, parts: &[Part]) -> f64 {
        let mut mixture = Mixture::new(sides);
        for part in parts {
            mixture.add(part);
        }
        mixture.expected_fall(limits, 4096)
    }

    #[test]
    fn two_normals_tell_what_the_channel_of_two_signals_in_noise_tells() {
        // Mutual information of a binary signal of +-1 in Gaussian noise of variance 1 (any text
        // on digital communication): 0.4859 bit.
        let apart = fall(
            1,
            &LIMITS,
            &[part(0, [5.0; 2], 0.0), part(1, [5.2; 2], 0.0)],
        );
        assert!((apart - 0.4859).abs() < 2e-3, "{apart}");
        let far = fall(
            1,
            &LIMITS,
            &[part(0, [5.0; 2], 0.0), part(1, [8.0; 2], 0.0)],
        );
        assert!((far - 1.0).abs() < 1e-9, "{far}");
        // Open, and a figure.
        let open = [part(0, [5.0; 2], 0.0), part(1, [f64::INFINITY; 2], 0.0)];
        assert!((fall(1, &LIMITS, &open) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn what_two_sides_share_tells_nothing_twice_and_what_differs_the_more() {
        let parts = |by: [f64; 2], covariance| {
            let other = [5.0 + by[0], 5.0 + by[1]];
            [part(0, [5.0; 2], covariance), part(1, other, covariance)]
        };
        // Nearly one reading twice: distance 2 spreads. Apart in opposite ways: far more.
        let same = fall(2, &LIMITS, &parts([0.2, 0.2], 0.0099));
        assert!((same - 0.4859).abs() < 0.01, "{same}");
        let opposite = fall(2, &LIMITS, &parts([0.2, -0.2], 0.0099));
        assert!(opposite > 0.99, "{opposite}");
        // Independent: distance 2 sqrt 2, a signal of +-1 in noise of variance 1/2: 0.7214 bit.
        let both = fall(2, &LIMITS, &parts([0.2, 0.2], 0.0));
        assert!((both - 0.7214).abs() < 4e-3, "{both}");
    }

    #[test]
    fn slips_take_their_share() {
        let limits = Limits {
            slip: 0.01,
            ..LIMITS
        };
        let parts = [part(0, [5.0; 2], 0.0), part(1, [8.0; 2], 0.0)];
        let got = fall(1, &limits, &parts);
        assert!(got < 0.991 && got > 0.985, "{got}");
    }
}
