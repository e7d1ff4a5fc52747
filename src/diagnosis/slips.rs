//! Slips and repeats: which readings are simply wrong, and what repeats say of that.
//!
//! A reading is wrong with a small probability: then it is `open`, `short`, or even over ln m from
//! 0.1 ohm to 100 kohm. Summed over which numeric readings slipped: none, any one, any two; two
//! only up to six numeric readings, repeats counted. `open` and `short` are taken alone.
//!
//! Repeats of a test with one instrument share everything, the last digit too: of those that did
//! not slip the earliest is weighed, each later one has a factor that is the same under every
//! hypothesis. So the sum over slips has few distinct terms, each a coefficient and the readings
//! weighed in it, and none of it depends on the hypothesis.
//!
//! Never here: hypotheses.

use super::evidence::Evidence;
use crate::quantity::{Value, normal};
use crate::site::{Figure, Figures};

/// Two slips are summed up to so many numeric readings.
const TWO_SLIPS_UP_TO: usize = 6;
/// ln of the range a slip is even over: 0.1 ohm to 100 kohm.
pub(super) const LN_SLIP_RANGE: f64 = 13.815_510_557_964_274;

/// A numeric reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Numeric {
    /// Its place in the evidence.
    pub at: usize,
    /// ln of what was shown.
    pub ln_m: f64,
    /// Relative variance of the last digit.
    pub digit: f64,
}

/// A reading that shows no figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extreme {
    /// Its place in the evidence.
    pub at: usize,
    /// Read open, else short.
    pub open: bool,
    /// ln of the limit beyond which it reads so.
    pub ln_limit: f64,
    /// Probability that a slip makes it.
    pub slip: f64,
}

/// One term of the sum over slips.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Term {
    /// Readings weighed in it: places in [`Slips::numeric`], ascending.
    pub weighed: Vec<usize>,
    /// ln of its coefficient.
    pub ln_coefficient: f64,
    /// ln of the part of it in which each numeric reading slipped.
    pub ln_slipped: Vec<f64>,
}

/// The sum over slips of a list of readings.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Slips {
    pub numeric: Vec<Numeric>,
    pub extreme: Vec<Extreme>,
    pub terms: Vec<Term>,
    /// Place in the evidence of the latest rack reading.
    pub latest: Option<usize>,
    /// Probability that a reading is right.
    pub right: f64,
}

impl Slips {
    pub fn of(evidence: &Evidence, figures: &Figures) -> Self {
        let slip = figures.get(Figure::Slip);
        let (open, short) = (
            figures.get(Figure::SlipOpen),
            figures.get(Figure::SlipShort),
        );
        let (mut numeric, mut extreme) = (Vec::new(), Vec::new());
        for (at, reading) in evidence.readings.iter().enumerate() {
            match reading.value {
                Value::Ohm(m) => {
                    let m = m.get().max(f64::MIN_POSITIVE);
                    numeric.push(Numeric {
                        at,
                        ln_m: m.ln(),
                        digit: reading.digit(m),
                    });
                }
                Value::Open => extreme.push(Extreme {
                    at,
                    open: true,
                    ln_limit: reading.range.get().ln(),
                    slip: slip * open,
                }),
                Value::Short => extreme.push(Extreme {
                    at,
                    open: false,
                    ln_limit: figures.get(Figure::ShortOhm).ln(),
                    slip: slip * short,
                }),
            }
        }
        let ln_slip = (slip * (1.0 - open - short).max(0.0) / LN_SLIP_RANGE).ln();
        let right = 1.0 - slip;
        let mut terms: Vec<Term> = Vec::new();
        for slipped in patterns(numeric.len()) {
            let (weighed, ln_repeats) = weighed(evidence, figures, &numeric, &slipped);
            let mut ln_coefficient = ln_repeats;
            for reading in 0..numeric.len() {
                ln_coefficient += if slipped.contains(&reading) {
                    ln_slip
                } else {
                    right.ln()
                };
            }
            let ln_slipped = (0..numeric.len()).map(|reading| {
                if slipped.contains(&reading) {
                    ln_coefficient
                } else {
                    f64::NEG_INFINITY
                }
            });
            match terms.iter_mut().find(|term| term.weighed == weighed) {
                Some(term) => {
                    term.ln_coefficient = ln_add(term.ln_coefficient, ln_coefficient);
                    for (of, more) in term.ln_slipped.iter_mut().zip(ln_slipped) {
                        *of = ln_add(*of, more);
                    }
                }
                None => terms.push(Term {
                    weighed,
                    ln_coefficient,
                    ln_slipped: ln_slipped.collect(),
                }),
            }
        }
        Self {
            numeric,
            extreme,
            terms,
            latest: evidence.latest_rack(),
            right,
        }
    }

    /// Place in [`Self::numeric`] of the latest rack reading; none where it shows no figure.
    pub fn latest_numeric(&self) -> Option<usize> {
        self.numeric
            .iter()
            .position(|it| Some(it.at) == self.latest)
    }
}

/// Which of so many numeric readings slipped: none, any one, any two.
fn patterns(n: usize) -> Vec<Vec<usize>> {
    let mut out = vec![Vec::new()];
    out.extend((0..n).map(|one| vec![one]));
    if n <= TWO_SLIPS_UP_TO {
        for one in 0..n {
            out.extend((one + 1..n).map(|other| vec![one, other]));
        }
    }
    out
}

/// Of the readings that did not slip, the earliest of each test with one instrument, and ln of the
/// factors of their repeats.
fn weighed(
    evidence: &Evidence,
    figures: &Figures,
    numeric: &[Numeric],
    slipped: &[usize],
) -> (Vec<usize>, f64) {
    let contacts = figures.get(Figure::ContactOhm);
    let mut weighed: Vec<usize> = Vec::new();
    let mut ln_repeats = 0.0;
    for (place, it) in numeric.iter().enumerate() {
        if slipped.contains(&place) {
            continue;
        }
        let own = &evidence.readings[it.at];
        let earlier = weighed.iter().copied().find(|earlier| {
            let other = &evidence.readings[numeric[*earlier].at];
            other.test == own.test && other.meter == own.meter
        });
        let Some(earlier) = earlier.map(|earlier| &numeric[earlier]) else {
            weighed.push(place);
            continue;
        };
        let m = earlier.ln_m.exp();
        let step = own.step.get().max(evidence.readings[earlier.at].step.get()) / m;
        let variance = step * step / 3.0 + 2.0 * (contacts / m) * (contacts / m);
        ln_repeats += normal::ln_pdf(it.ln_m, earlier.ln_m, variance);
    }
    (weighed, ln_repeats)
}

/// ln(e^a + e^b), minus infinity for two of those.
pub(super) fn ln_add(a: f64, b: f64) -> f64 {
    let (low, high) = if a < b { (a, b) } else { (b, a) };
    if low == f64::NEG_INFINITY {
        high
    } else {
        high + libm::log1p((low - high).exp())
    }
}

#[cfg(test)]
mod tests {
    use super::super::Reading;
    use super::*;
    use crate::quantity::{Fraction, Ohm};

    fn slips(values: &[Value]) -> Slips {
        let figures = Figures::default();
        let readings = values
            .iter()
            .map(|value| Reading::at_rack(*value, Ohm(1.0), Fraction(0.05), &figures))
            .collect();
        Slips::of(
            &Evidence {
                readings,
                ..Evidence::default()
            },
            &figures,
        )
    }

    const fn ohm(ohm: f64) -> Value {
        Value::Ohm(Ohm(ohm))
    }

    #[test]
    fn one_reading_is_right_or_a_slip_even_over_the_logarithm() {
        let one = slips(&[ohm(400.0)]);
        assert_eq!(one.terms.len(), 2);
        assert_eq!(one.terms[0].weighed, [0]);
        assert!((one.terms[0].ln_coefficient - 0.99f64.ln()).abs() < 1e-15);
        assert_eq!(one.terms[0].ln_slipped, [f64::NEG_INFINITY]);
        // 0.01 x 0.5 / ln(10^6).
        let density = 0.005 / (6.0 * 10f64.ln());
        assert!(one.terms[1].weighed.is_empty());
        assert!((one.terms[1].ln_coefficient - density.ln()).abs() < 1e-12);
        assert_eq!(one.terms[1].ln_slipped, [one.terms[1].ln_coefficient]);
        // (1 / 400)^2 / 12.
        assert!((one.numeric[0].digit - 1.0 / (160_000.0 * 12.0)).abs() < 1e-18);
    }

    #[test]
    fn a_repeat_tells_which_of_two_readings_slipped() {
        // 400 and then 200: one of them is wrong, and either the first or the second is weighed.
        let two = slips(&[ohm(400.0), ohm(200.0)]);
        let of = |weighed: &[usize]| {
            two.terms
                .iter()
                .find(|term| term.weighed == weighed)
                .unwrap()
        };
        assert_eq!(two.terms.len(), 3, "the first, the second, or none");
        let right = 0.99f64.ln() + (0.005 / (6.0 * 10f64.ln())).ln();
        assert!((of(&[0]).ln_coefficient - right).abs() < 1e-9);
        assert!((of(&[1]).ln_coefficient - right).abs() < 1e-9);
        // With 400 and 401 both stand, and the second makes the first surer.
        let two = slips(&[ohm(400.0), ohm(401.0)]);
        let first = two.terms.iter().find(|term| term.weighed == [0]).unwrap();
        let variance = (1.0 / 3.0 + 2.0 * 0.09) / 160_000.0;
        let both = 2.0 * 0.99f64.ln() + normal::ln_pdf(401f64.ln(), 400f64.ln(), variance);
        assert!((first.ln_coefficient - ln_add(both, right)).abs() < 1e-9);
    }

    #[test]
    fn two_slips_are_summed_up_to_six_readings_and_open_and_short_stand_apart() {
        assert_eq!(patterns(6).len(), 1 + 6 + 15);
        assert_eq!(patterns(7).len(), 1 + 7);
        let mixed = slips(&[Value::Open, ohm(400.0), Value::Short]);
        assert_eq!(mixed.numeric.len(), 1);
        assert_eq!(mixed.extreme.len(), 2);
        assert!((mixed.extreme[0].slip - 0.003).abs() < 1e-15);
        assert!((mixed.extreme[1].slip - 0.002).abs() < 1e-15);
        assert_eq!((mixed.latest, mixed.extreme[1].at), (Some(2), 2));
    }

    #[test]
    fn readings_far_apart_make_no_term_that_is_not_a_number() {
        let far = slips(&[ohm(1e-3), ohm(1e9), ohm(400.0), ohm(7.0)]);
        for term in &far.terms {
            let slipped = term.ln_slipped.iter();
            assert!(!term.ln_coefficient.is_nan() && !slipped.clone().any(|it| it.is_nan()));
        }
        assert!(far.terms.iter().any(|term| term.ln_coefficient.is_finite()));
        assert_eq!(
            ln_add(f64::NEG_INFINITY, f64::NEG_INFINITY),
            f64::NEG_INFINITY
        );
    }
}
