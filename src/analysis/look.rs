//! Slips of the hand that would explain a reading: said as "look", never repaired.

use crate::quantity::{DecimalSign, Fraction, Ohm, Value, reading, show};
use crate::site::{Figure, Figures};
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

/// No meter is off by more than this share of a known resistor, nor by more than so many times what it
/// is good for: over both a digit or the resistor itself was mistaken. [assumed]
const MOST_OFF: f64 = 0.2;
const TIMES_ACCURACY: f64 = 3.0;

/// Whether what a meter of this accuracy showed on a known resistor is off by more than any meter is, the
/// contacts of the leads and the worth of the last digit counted in. What is believed of a meter moves
/// every line that was read with it.
#[must_use]
pub fn is_no_check(
    (shown, step): (Ohm, Ohm),
    known: Ohm,
    accuracy: Fraction,
    figures: &Figures,
) -> bool {
    let share = MOST_OFF.max(TIMES_ACCURACY * accuracy.get());
    let small = TIMES_ACCURACY * figures.get(Figure::ContactOhm) + step.get();
    (shown.get() - known.get()).abs() > share * known.get() + small
}

/// What a known resistor itself is off by at most. \[common practice, no source: film resistors of 1 %\]
const RESISTOR: f64 = 0.01;

/// Whether what a meter of this accuracy showed on a known resistor is off by more than its accuracy, the
/// resistor's own and the contacts of the leads with the last digit explain: a slip, or a meter that is
/// not what it is taken for. Either is worth a second look, and may be so.
fn is_beyond_meter(
    (shown, step): (Ohm, Ohm),
    known: Ohm,
    accuracy: Fraction,
    figures: &Figures,
) -> bool {
    let share = accuracy.get() + RESISTOR;
    let small = TIMES_ACCURACY * figures.get(Figure::ContactOhm) + step.get();
    let off = (shown.get() - known.get()).abs();
    // On a small resistor the contacts explain much: leads that were not zeroed as well, and what they
    // add would be taken for the meter's own.
    let thrice = TIMES_ACCURACY * accuracy.get() * known.get();
    off > share * known.get() + small || off + 0.5 * step.get() > thrice
}

/// Leads that were not zeroed add no more than this, ohm. \[assumed\]
const LEADS: f64 = 3.0;

/// What is doubtful of a known resistor as it was read: said by the terminal and of the rows of a file.
#[derive(Clone, Debug, PartialEq)]
pub enum CheckDoubt {
    /// No meter is off so far: that, and which other figure would fit.
    NoMeter(String, Option<String>),
    /// More than the meter's accuracy explains, and what to look at.
    Beyond(String),
}

/// What is doubtful of a known resistor that was typed so and read with a meter of this accuracy; none where
/// nothing is.
#[must_use]
pub fn check_doubt(
    text: &str,
    read: (Ohm, Ohm),
    known: Ohm,
    accuracy: Fraction,
    figures: &Figures,
) -> Option<CheckDoubt> {
    let shown = read.0;
    let (shown_words, known_words) = (show::ohm(shown), show::ohm(known));
    if is_no_check(read, known, accuracy, figures) {
        let alike = lookalikes(text, Some(known), &Limits::of(figures));
        return Some(CheckDoubt::NoMeter(
            format!("{shown_words} on a known {known_words}: no meter is so far off."),
            alike.first().map(Lookalike::text),
        ));
    }
    is_beyond_meter(read, known, accuracy, figures).then(|| {
        let more = shown.get() - known.get();
        let look = match (0.0..=LEADS).contains(&more) {
            true => "Leads not zeroed?",
            false => "A slip?",
        };
        CheckDoubt::Beyond(format!(
            "{shown_words} on {known_words}, {}: the meter is good for {}. {look}",
            show::signed_percent(Fraction(shown.get() / known.get() - 1.0)),
            show::percent(accuracy)
        ))
    })
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
    fn a_known_resistor_far_beyond_what_a_meter_errs_is_no_check() {
        let is_none = |shown, known, accuracy| {
            let read = (Ohm(shown), Ohm(1.0));
            is_no_check(read, Ohm(known), Fraction(accuracy), &Figures::default())
        };
        // A digit lost or too many in either figure, two swapped: 398 for 400 is half a percent.
        for (shown, known) in [
            (398.0, 40.0),
            (39.0, 400.0),
            (398.0, 4000.0),
            (938.0, 400.0),
        ] {
            assert!(is_none(shown, known, 0.05), "{shown} on {known}");
        }
        // A meter that is off: 6 %, and one of 10 % at thrice that; a small resistor through its leads.
        for (shown, known, accuracy) in
            [(376.0, 400.0, 0.05), (280.0, 400.0, 0.1), (10.0, 8.0, 0.05)]
        {
            assert!(!is_none(shown, known, accuracy), "{shown} on {known}");
        }
    }

    #[test]
    fn a_known_resistor_beyond_meter_and_resistor_together_is_worth_a_second_look() {
        let is = |shown: f64, known: f64| {
            let read = (Ohm(shown), Ohm(1.0));
            is_beyond_meter(read, Ohm(known), Fraction(0.05), &Figures::default())
        };
        // 5 % and 1 % of 440 ohm are 26.4; contacts thrice 0.3 ohm and a digit are 1.9: 28.3 in all.
        assert!(is(398.0, 440.0));
        assert!(is(411.0, 440.0));
        assert!(!is(412.0, 440.0));
        assert!(!is(398.0, 400.0));
    }

    #[test]
    fn what_is_doubtful_of_a_known_resistor_is_said_with_what_to_look_at() {
        let doubt = |text: &str, shown: f64, step: f64, known: f64| {
            let figures = Figures::default();
            let read = (Ohm(shown), Ohm(step));
            check_doubt(text, read, Ohm(known), Fraction(0.05), &figures)
        };
        let no_meter = CheckDoubt::NoMeter(
            "33.0 ohm on a known 330 ohm: no meter is so far off.".to_owned(),
            Some("330 ohm, ten times, would fit".to_owned()),
        );
        assert_eq!(doubt("33", 33.0, 1.0, 330.0), Some(no_meter));
        // 1.5 ohm of leads on 10 ohm are thrice 5 %.
        let beyond = |words: &str| Some(CheckDoubt::Beyond(words.to_owned()));
        let leads = "11.5 ohm on 10.0 ohm, +15.0 %: the meter is good for 5.0 %. Leads not zeroed?";
        assert_eq!(doubt("11.5", 11.5, 0.1, 10.0), beyond(leads));
        // Leads add; they take nothing away.
        let slip = "8.50 ohm on 10.0 ohm, -15.0 %: the meter is good for 5.0 %. A slip?";
        assert_eq!(doubt("8.5", 8.5, 0.1, 10.0), beyond(slip));
        assert_eq!(doubt("10.3", 10.3, 0.1, 10.0), None);
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
