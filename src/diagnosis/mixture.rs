//! What a reading not made yet may show, cause by cause: a mixture of Normals in ln of one reading
//! or of the two sides of a split, and the entropy that it is expected to leave.
//!
//! Parts of one cause that would read nearly the same are joined with their mean and covariance
//! kept. The expectation is summed over answers drawn evenly from the whole mixture; at each the
//! share of every cause comes from all parts. Each side slips by itself, and shows open or short
//! beyond its limits.
//!
//! Never here: lines, hypotheses.

use super::slips::LN_SLIP_RANGE;
use crate::quantity::normal;
use std::collections::HashMap;
use std::f64::consts::{LN_10, TAU};

/// Parts are joined whose means fall into one cell so wide, in ln.
const CELL: f64 = 0.015;
/// Where a part has no figure because nothing is connected.
const OPEN_CELL: i32 = i32::MAX;
/// A part whose mean is farther off than this many of its spreads, squared, says nothing.
const FAR: f64 = 60.0;

/// The limits of a meter and what slips make.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// ln of the figure above which it reads open, and below which short.
    pub ln_open: f64,
    pub ln_short: f64,
    /// Probability of a slip, and the shares of slips that read open and short.
    pub slip: f64,
    pub slip_open: f64,
    pub slip_short: f64,
    /// Variance of the last digit, which open and short do not have.
    pub digit: f64,
}

/// What one cause predicts of one or two readings: means in ln, infinite where nothing is
/// connected; variances with last digit and contacts; covariance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub cause: u32,
    pub weight: f64,
    pub mean: [f64; 2],
    pub variance: [f64; 2],
    pub covariance: f64,
}

#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    weight: f64,
    first: [f64; 2],
    second: [f64; 2],
    crossed: f64,
}

/// Parts as they come, joined.
#[derive(Clone, Debug)]
pub(super) struct Mixture {
    sides: usize,
    cells: HashMap<(u32, [i32; 2]), Sum>,
}

impl Mixture {
    pub fn new(sides: usize) -> Self {
        Self {
            sides,
            cells: HashMap::new(),
        }
    }

    pub fn add(&mut self, part: &Part) {
        let mut key = [0; 2];
        for side in 0..self.sides {
            key[side] = cell(part.mean[side]);
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

    /// The parts, those of a cause together and in the order of their means.
    pub fn parts(&self) -> Vec<Part> {
        let mut parts: Vec<Part> = self
            .cells
            .iter()
            .map(|((cause, key), sum)| {
                let mut part = Part {
                    cause: *cause,
                    weight: sum.weight,
                    mean: [0.0; 2],
                    variance: [1.0; 2],
                    covariance: 0.0,
                };
                for side in 0..self.sides {
                    if key[side] == OPEN_CELL {
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
            .collect();
        parts.sort_by(|a, b| {
            let means = a.mean[0].total_cmp(&b.mean[0]);
            let means = means.then(a.mean[1].total_cmp(&b.mean[1]));
            a.cause.cmp(&b.cause).then(means)
        });
        parts
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
    /// Of the second given the first: slope, 1 / variance, density at the mean.
    slope: f64,
    given: f64,
    given_peak: f64,
    open: [f64; 2],
    short: [f64; 2],
}

struct Sums {
    parts: Vec<Dense>,
    until: Vec<f64>,
    sides: usize,
    limits: Limits,
    causes: Vec<f64>,
    /// Sum of p ln p over the causes.
    causes_ln: f64,
}

impl Sums {
    fn of(mut parts: Vec<Part>, sides: usize, limits: Limits) -> Self {
        let total: f64 = parts.iter().map(|it| it.weight).sum();
        let causes = parts.iter().map(|it| it.cause as usize + 1).max();
        let mut sums = Self {
            parts: Vec::with_capacity(parts.len()),
            until: Vec::with_capacity(parts.len()),
            sides,
            limits,
            causes: vec![0.0; causes.unwrap_or(0)],
            causes_ln: 0.0,
        };
        let mut until = 0.0;
        for part in &mut parts {
            part.weight /= total;
            until += part.weight;
            sums.until.push(until);
            sums.causes[part.cause as usize] += part.weight;
            sums.parts.push(Dense::of(*part, &limits));
        }
        sums.causes_ln = sums.causes.iter().map(|p| x_ln_x(*p)).sum();
        sums
    }

    #[allow(clippy::cast_precision_loss)]
    fn expected_fall(&self, answers: usize) -> f64 {
        if self.parts.is_empty() {
            return 0.0;
        }
        let before = -self.causes_ln;
        let slip = self.limits.slip;
        let mut scratch = Scratch {
            extra: vec![0.0; self.causes.len()],
            touched: Vec::new(),
        };
        let mut mean = |slipped: [bool; 2], answers: usize| {
            let sum: f64 = (0..answers)
                .map(|i| self.left(&self.draw(i, answers, slipped), &mut scratch))
                .sum();
            sum / answers as f64
        };
        let few = (answers / 8).max(8);
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
        let slips = [
            self.slips(shows[0]),
            if self.sides == 2 {
                self.slips(shows[1])
            } else {
                1.0
            },
        ];
        let base = slips[0] * slips[1];
        scratch.touched.clear();
        let mut total = base;
        for dense in &self.parts {
            let more = if self.sides == 1 {
                stays * dense.right(0, shows[0])
            } else {
                let first = dense.right(0, shows[0]);
                let second = dense.right(1, shows[1]);
                if first == 0.0 && second == 0.0 {
                    continue;
                }
                let both = match (shows[0], shows[1]) {
                    (Shows::Figure(_), Shows::Figure(_)) if first == 0.0 || second == 0.0 => 0.0,
                    (Shows::Figure(a), Shows::Figure(b)) => first * dense.second(a, b),
                    _ => first * second,
                };
                stays * (stays * both + first * slips[1] + slips[0] * second)
            };
            if more == 0.0 {
                continue;
            }
            let cause = dense.part.cause as usize;
            if scratch.extra[cause] == 0.0 {
                scratch.touched.push(cause);
            }
            let more = more * dense.part.weight;
            scratch.extra[cause] += more;
            total += more;
        }
        // Causes that nothing but slips explain are summed at once.
        let (mut rest, mut rest_ln, mut sum) = (1.0, self.causes_ln, 0.0);
        for cause in &scratch.touched {
            let p = self.causes[*cause];
            rest -= p;
            rest_ln -= x_ln_x(p);
            sum += x_ln_x(base * p + scratch.extra[*cause]);
            scratch.extra[*cause] = 0.0;
        }
        if base > 0.0 {
            sum += base * (rest_ln + rest.max(0.0) * base.ln());
        }
        (total.ln() - sum / total).max(0.0)
    }
}

struct Scratch {
    extra: Vec<f64>,
    touched: Vec<usize>,
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
            slope: part.covariance / part.variance[0],
            given: 0.0,
            given_peak: 0.0,
            open: [0.0; 2],
            short: [0.0; 2],
        };
        let left = (part.variance[1] - part.covariance * dense.slope).max(1e-9);
        dense.given = left.recip();
        dense.given_peak = (TAU * left).sqrt().recip();
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

    /// Density of the second figure given the first.
    fn second(&self, first: f64, second: f64) -> f64 {
        let off = second - self.part.mean[1] - self.slope * (first - self.part.mean[0]);
        self.given_peak * (-0.5 * off * off * self.given).exp()
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
