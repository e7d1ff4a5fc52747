//! A line's rack reading against what it was designed for.
//!
//! deviation = load read / load expected - 1 = |Z expected| / m - 1; positive is too much load.
//!
//! p_out is the probability that the true ratio lies outside the tolerance, the meter's own
//! factor taken out and its uncertainty kept: ln of the ratio is Normal with mean
//! ln(|Z expected| / m) + mean g and variance var g + (half a step / sqrt 3 / m)^2 +
//! (contacts / m)^2. Source: conformance probability, JCGM 106.
//!
//! Never here: the expected value's own spread, which is shown beside and not used.

use super::Limits;
use crate::quantity::{Fraction, Ohm, Probability, Value, normal};

/// What is known of the factor that all readings of one instrument on one visit share,
/// ln(read / true).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factor {
    /// Best estimate.
    pub ln_mean: f64,
    /// Variance; 0 or more.
    pub ln_var: f64,
}

impl Factor {
    /// An instrument of which nothing is known but its accuracy: rectangular over it, standard
    /// deviation a / sqrt 3. Source: JCGM 100, 4.3.7.
    #[must_use]
    pub fn of_accuracy(accuracy: Fraction) -> Self {
        Self {
            ln_mean: 0.0,
            ln_var: accuracy.get() * accuracy.get() / 3.0,
        }
    }
}

/// Variance of ln of a reading by itself: last digit and contacts.
#[must_use]
pub fn own_variance(read: Ohm, step: Ohm, limits: &Limits) -> f64 {
    let m = read.get();
    let digit = step.get() / (2.0 * 3f64.sqrt() * m);
    let contacts = limits.contacts.get() / m;
    digit * digit + contacts * contacts
}

/// Relative standard uncertainty of a reading: its meter's factor, last digit, contacts.
#[must_use]
pub fn u_of_reading(read: Ohm, step: Ohm, factor: Factor, limits: &Limits) -> Fraction {
    Fraction((factor.ln_var + own_variance(read, step, limits)).sqrt())
}

/// The word for a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineWord {
    /// In tolerance.
    In,
    /// Too close to call.
    Close,
    /// Out of tolerance.
    Out,
}

impl LineWord {
    /// The word for it in JSON, which never changes.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::In => "in-tolerance",
            Self::Close => "too-close",
            Self::Out => "out-of-tolerance",
        }
    }

    /// As it stands in a narrow column.
    #[must_use]
    pub const fn short(self) -> &'static str {
        match self {
            Self::In => "in tol",
            Self::Close => "close",
            Self::Out => "out",
        }
    }

    /// As it stands in a sentence.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::In => "in tolerance",
            Self::Close => "too close to call",
            Self::Out => "out of tolerance",
        }
    }
}

/// What a reading at the rack says of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineVerdict {
    /// Load read over load expected, less one; none where either is open or a plain short.
    pub deviation: Option<Fraction>,
    /// Probability of being out of tolerance.
    pub p_out: Probability,
    /// The word.
    pub word: LineWord,
}

/// Load read over load expected, less one; positive is too much load. Both have one line voltage, so
/// it is |Z| expected over |Z| read, less one.
#[must_use]
pub fn deviation(expected: Ohm, read: Ohm) -> Fraction {
    Fraction(expected.get() / read.get() - 1.0)
}

/// Judges a reading at the rack. `expected` is |Z| as designed, cables and all, none where the
/// design connects nothing; `step` is what the last digit is worth.
///
/// A line read open or short is out. Where the design connects nothing, open is as designed and
/// anything else is out.
#[must_use]
pub fn judge(
    expected: Option<Ohm>,
    read: Value,
    step: Ohm,
    factor: Factor,
    limits: &Limits,
) -> LineVerdict {
    let plain = |p_out: f64, word| LineVerdict {
        deviation: None,
        p_out: Probability(p_out),
        word,
    };
    let (expected, m) = match (expected, read) {
        (None, Value::Open) => return plain(0.0, LineWord::In),
        (Some(expected), Value::Ohm(m)) => (expected.get(), m.get()),
        _ => return plain(1.0, LineWord::Out),
    };
    let tolerance = limits.tolerance.get();
    let inside = normal::between(
        (expected / m).ln() + factor.ln_mean,
        u_of_reading(Ohm(m), step, factor, limits).get(),
        (1.0 - tolerance).ln(),
        (1.0 + tolerance).ln(),
    );
    let p_out = 1.0 - inside.get();
    LineVerdict {
        deviation: Some(deviation(Ohm(expected), Ohm(m))),
        p_out: Probability(p_out),
        word: if p_out < limits.in_below.get() {
            LineWord::In
        } else if p_out > limits.out_above.get() {
            LineWord::Out
        } else {
            LineWord::Close
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Figures;

    fn judged(expected: f64, read: f64, step: f64) -> LineVerdict {
        judge(
            Some(Ohm(expected)),
            Value::Ohm(Ohm(read)),
            Ohm(step),
            Factor::of_accuracy(Fraction(0.05)),
            &Limits::of(&Figures::default()),
        )
    }

    #[test]
    fn a_reading_as_designed_is_in_and_one_at_the_limit_is_too_close_to_call() {
        let sound = judged(400.0, 400.0, 1.0);
        assert_eq!(sound.deviation, Some(Fraction(0.0)));
        assert_eq!(sound.word, LineWord::In);
        // At the limit itself half of the meter's spread lies outside, the other limit being far.
        let limit = judged(440.0, 400.0, 1.0);
        assert!((limit.p_out.get() - 0.5).abs() < 1e-3, "{limit:?}");
        assert_eq!(limit.word, LineWord::Close);
        assert_eq!(judged(500.0, 400.0, 1.0).word, LineWord::Out);
    }

    #[test]
    fn the_last_digit_and_the_contacts_widen_the_verdict() {
        // ln 1.1 - ln(420 / 400) = 0.046520; u^2 = 0.05^2 / 3 + (10 / 400)^2 / 12 + (0.3 / 400)^2
        // = 0.00083333 + 0.00005208 + 0.00000056; u = 0.029766; 1 - Phi(1.56286) = 0.05904, and
        // nothing on the other side (Phi(-5.2)).
        let coarse = judged(420.0, 400.0, 10.0);
        assert!((coarse.p_out.get() - 0.05904).abs() < 2e-5, "{coarse:?}");
        assert!(judged(420.0, 400.0, 1.0).p_out < coarse.p_out);
    }

    #[test]
    fn a_meter_known_to_read_low_has_its_factor_taken_out() {
        // The meter shows 400 and is known to read 5 % low, so the line has 421 ohm: against an
        // expected 450 its load is nearer to the design than it looked.
        let limits = Limits::of(&Figures::default());
        let low = Factor {
            ln_mean: -0.05,
            ln_var: 1e-4,
        };
        let read = Value::Ohm(Ohm(400.0));
        let with = judge(Some(Ohm(450.0)), read, Ohm(1.0), low, &limits);
        let without = judge(
            Some(Ohm(450.0)),
            read,
            Ohm(1.0),
            Factor {
                ln_mean: 0.0,
                ln_var: 1e-4,
            },
            &limits,
        );
        assert!(with.p_out < without.p_out);
        assert_eq!(with.deviation, without.deviation, "a load is as read");
    }

    #[test]
    fn open_and_short_are_out_and_a_line_of_nothing_that_reads_open_is_in() {
        let limits = Limits::of(&Figures::default());
        let factor = Factor::of_accuracy(Fraction(0.05));
        for read in [Value::Open, Value::Short] {
            let verdict = judge(Some(Ohm(400.0)), read, Ohm(0.0), factor, &limits);
            assert_eq!(verdict.word, LineWord::Out);
            assert_eq!(verdict.p_out, Probability(1.0));
            assert_eq!(verdict.deviation, None);
        }
        assert_eq!(
            judge(None, Value::Open, Ohm(0.0), factor, &limits).word,
            LineWord::In
        );
        assert_eq!(
            judge(None, Value::Ohm(Ohm(400.0)), Ohm(1.0), factor, &limits).word,
            LineWord::Out
        );
    }

    #[test]
    fn no_reading_makes_a_figure_that_is_not_a_number() {
        for exponent in -3..=9 {
            for expected in [1e-3, 0.3, 400.0, 1e9] {
                let verdict = judged(expected, 10f64.powi(exponent), 1e-3);
                assert!((0.0..=1.0).contains(&verdict.p_out.get()));
                assert!(verdict.deviation.is_some_and(|it| it.get().is_finite()));
            }
        }
    }
}
