//! Slips of the hand that would explain a reading: said as "look", never repaired.

use crate::quantity::{DecimalSign, Ohm, Value, reading, show};
use crate::verdict::{self, Limits};

/// Another way to read what was typed that would be in tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Lookalike {
    /// The figure that would fit.
    pub ohm: Ohm,
    /// How it comes about: `digits swapped`, `ten times`.
    pub how: &'static str,
}

impl Lookalike {
    /// `250 ohm, digits swapped, would fit`.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{}, {}, would fit", show::ohm(self.ohm), self.how)
    }
}

/// Ten times out either way, a hundred times, or two neighbouring digits swapped, where the result
/// lies within the tolerance and the reading as typed does not.
#[must_use]
pub fn lookalikes(text: &str, expected: Option<Ohm>, limits: &Limits) -> Vec<Lookalike> {
    let typed = match reading(text, DecimalSign::Either) {
        Ok(typed) => typed.value,
        Err(_) => return Vec::new(),
    };
    let (Value::Ohm(ohm), Some(expected)) = (typed, expected) else {
        return Vec::new();
    };
    // A first digit alone is no reading yet: it would fit something ten times out on every line.
    if text.chars().filter(char::is_ascii_digit).count() < 2 {
        return Vec::new();
    }
    let fits = |ohm: f64| {
        let deviation = verdict::deviation(expected, Ohm(ohm));
        deviation.get().abs() <= limits.tolerance.get()
    };
    if fits(ohm.get()) {
        return Vec::new();
    }
    let mut out = Vec::new();
    for (factor, how) in [
        (10.0, "ten times"),
        (100.0, "a hundred times"),
        (0.1, "a tenth"),
    ] {
        if fits(ohm.get() * factor) {
            out.push(Lookalike {
                ohm: Ohm(ohm.get() * factor),
                how,
            });
        }
    }
    let chars: Vec<char> = text.chars().collect();
    for at in 1..chars.len() {
        let (a, b) = (chars[at - 1], chars[at]);
        if a.is_ascii_digit() && b.is_ascii_digit() && a != b {
            let mut swapped = chars.clone();
            swapped.swap(at - 1, at);
            let swapped: String = swapped.into_iter().collect();
            if let Ok(Value::Ohm(ohm)) = reading(&swapped, DecimalSign::Either).map(|it| it.value)
                && fits(ohm.get())
                && out.iter().all(|other| other.ohm != ohm)
            {
                out.push(Lookalike {
                    ohm,
                    how: "digits swapped",
                });
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Figures;

    #[track_caller]
    fn check(text: &str, expected: f64, wanted: &[&str]) {
        let found: Vec<String> =
            lookalikes(text, Some(Ohm(expected)), &Limits::of(&Figures::default()))
                .iter()
                .map(Lookalike::text)
                .collect();
        assert_eq!(found, wanted, "{text} against {expected}");
    }

    #[test]
    fn a_swapped_digit_or_a_lost_multiplier_is_named_when_it_would_fit() {
        check("205", 239.0, &["250 ohm, digits swapped, would fit"]);
        check("41", 416.0, &["410 ohm, ten times, would fit"]);
        check("4.1", 416.0, &["410 ohm, a hundred times, would fit"]);
        check("4160", 416.0, &["416 ohm, a tenth, would fit"]);
    }

    #[test]
    fn a_reading_that_fits_or_that_nothing_would_mend_raises_no_look() {
        check("240", 239.0, &[]);
        check("700", 239.0, &[]);
        check("open", 239.0, &[]);
        check("4.", 416.0, &[]);
        check("4", 416.0, &[]);
    }
}
