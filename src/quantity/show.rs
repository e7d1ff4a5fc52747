//! Printing: every figure one way, everywhere. Signs that terminals draw wide are spelled out.

use super::reading::{Insulation, Value};
use super::units::{Decibel, Fraction, Hertz, Metre, Minutes, Ohm, Probability, Volt, Watt};
use std::borrow::Borrow;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Rounded to this many decimals, never as `-0`.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => text,
    }
}

/// The number of an impedance or resistance without its unit: `0.42`, `23.8`, `412`, `17.6k`.
#[must_use]
pub fn ohm_figure(ohm: Ohm) -> String {
    let value = ohm.get();
    match value {
        v if v < 9.995 => fixed(v, 2),
        v if v < 99.95 => fixed(v, 1),
        v if v < 9999.5 => fixed(v, 0),
        v if v < 99_950.0 => format!("{}k", fixed(v / 1e3, 1)),
        v if v < 999_500.0 => format!("{}k", fixed(v / 1e3, 0)),
        v if v < 99_950_000.0 => format!("{}M", fixed(v / 1e6, 1)),
        v if v < 9_999_500_000.0 => format!("{}M", fixed(v / 1e6, 0)),
        v => format!("{}G", fixed(v / 1e9, 0)),
    }
}

/// `412 ohm`, `17.6 kohm`, `200 Mohm`.
#[must_use]
pub fn ohm(ohm: Ohm) -> String {
    let figure = ohm_figure(ohm);
    match figure.strip_suffix(['k', 'M', 'G']) {
        Some(number) => format!("{number} {}ohm", &figure[number.len()..]),
        None => format!("{figure} ohm"),
    }
}

/// What a meter showed: `412 ohm`, `open`, `short`.
#[must_use]
pub fn value(value: Value) -> String {
    match value {
        Value::Ohm(it) => ohm(it),
        Value::Open => "open".to_owned(),
        Value::Short => "short".to_owned(),
    }
}

/// What an insulation tester showed: `200 Mohm`, `over 999 Mohm` for more than it can show.
#[must_use]
pub fn insulation(value: Insulation) -> String {
    match value {
        Insulation::Ohm(ohm) => self::ohm(ohm),
        Insulation::Above(ohm) => format!("over {}", self::ohm(ohm)),
    }
}

/// The number of a load without its unit, one decimal: `48.8`.
#[must_use]
pub fn watt_figure(watt: Watt) -> String {
    fixed(watt.get(), 1)
}

/// `48.8 W`, `12.4 kW`.
#[must_use]
pub fn watt(watt: Watt) -> String {
    if watt.get() < 9999.95 {
        format!("{} W", watt_figure(watt))
    } else {
        format!("{} kW", fixed(watt.get() / 1e3, 1))
    }
}

/// A tap or a rating as marked, without decimals it does not need: `6 W`, `7.5 W`, `240 W`.
#[must_use]
pub fn marked_watt(watt: Watt) -> String {
    format!("{} W", trimmed(watt.get(), 2))
}

/// Decimals as needed, at most so many.
fn trimmed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// `100 V`, `70.7 V`.
#[must_use]
pub fn volt(volt: Volt) -> String {
    format!("{} V", trimmed(volt.get(), 2))
}

/// `92 m`, `7.5 m`.
#[must_use]
pub fn metre(metre: Metre) -> String {
    format!("{} m", trimmed(metre.get(), 1))
}

/// `1000 Hz`.
#[must_use]
pub fn hertz(hertz: Hertz) -> String {
    format!("{} Hz", trimmed(hertz.get(), 1))
}

/// `-0.06 dB`.
#[must_use]
pub fn decibel(decibel: Decibel) -> String {
    format!("{} dB", fixed(decibel.get(), 2))
}

/// A share without sign, one decimal: `80.4 %`.
#[must_use]
pub fn percent(fraction: Fraction) -> String {
    format!("{} %", fixed(fraction.get() * 100.0, 1))
}

/// A deviation with its sign, one decimal: `+16.8 %`; beyond ten times, how many times.
#[must_use]
pub fn signed_percent(fraction: Fraction) -> String {
    let value = fraction.get() * 100.0;
    if value >= 999.95 {
        return format!("x {}", ohm_figure(Ohm(fraction.get() + 1.0)));
    }
    let text = fixed(value, 1);
    if text.starts_with('-') || text == "0.0" {
        format!("{text} %")
    } else {
        format!("+{text} %")
    }
}

/// A probability in whole percent that never claims certainty: `94 %`, `<1 %`, `>99 %`.
#[must_use]
pub fn probability(p: Probability) -> String {
    let value = p.get() * 100.0;
    if value < 0.5 {
        "<1 %".to_owned()
    } else if value >= 99.5 {
        ">99 %".to_owned()
    } else {
        format!("{value:.0} %")
    }
}

/// A probability as a number between 0 and 1 that never claims certainty: `0.86`, `> 0.99`.
#[must_use]
pub fn p_figure(p: Probability) -> String {
    if p.get() > 0.99 {
        "> 0.99".to_owned()
    } else if p.get() < 0.01 {
        "< 0.01".to_owned()
    } else {
        format!("{:.2}", p.get())
    }
}

/// `1.5 min`.
#[must_use]
pub fn minutes(minutes: Minutes) -> String {
    format!("{} min", trimmed(minutes.get(), 1))
}

/// Control and direction-changing characters made visible: text from a file never steers the
/// terminal.
#[must_use]
pub fn harmless(text: &str) -> String {
    if text.chars().all(|c| !steers(c)) {
        return text.to_owned();
    }
    text.chars()
        .flat_map(|c| {
            if steers(c) {
                c.escape_unicode().collect::<Vec<_>>()
            } else {
                vec![c]
            }
        })
        .collect()
}

fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// The same for text of several lines: line ends and tabs stay.
#[must_use]
pub fn harmless_lines(text: &str) -> String {
    let lines = text.split('\n').map(|line| {
        let cells: Vec<String> = line.split('\t').map(harmless).collect();
        cells.join("\t")
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// Cut to so many cells, made harmless; where something was cut the sign, one cell wide, stands at the end.
#[must_use]
pub fn cut(text: &str, cells: usize, sign: char) -> String {
    let text = harmless(text);
    if text.width() <= cells {
        return text;
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        let own = c.width().unwrap_or(0);
        if used + own + 1 > cells {
            break;
        }
        out.push(c);
        used += own;
    }
    if cells > 0 {
        out.push(sign);
    }
    out
}

/// `1 line`, `42 lines`: nouns that take an s.
#[must_use]
pub fn count(number: usize, noun: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{plural}")
}

/// Labels one by one; of more than so many the first and how many more.
#[must_use]
pub fn few<S: Borrow<str>>(labels: &[S], most: usize) -> String {
    let shown = labels.len().min(most);
    let mut out = labels[..shown].join(", ");
    if labels.len() > shown {
        out.push_str(&format!(" and {} more", labels.len() - shown));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_keep_three_figures_over_every_range_a_meter_has() {
        for (value, text) in [
            (0.0, "0.00 ohm"),
            (0.42, "0.42 ohm"),
            (9.994, "9.99 ohm"),
            (9.996, "10.0 ohm"),
            (23.84, "23.8 ohm"),
            (99.96, "100 ohm"),
            (412.4, "412 ohm"),
            (9999.0, "9999 ohm"),
            (17_640.0, "17.6 kohm"),
            (150_000.0, "150 kohm"),
            (2e8, "200 Mohm"),
            (1.5e6, "1.5 Mohm"),
            (2e10, "20 Gohm"),
        ] {
            assert_eq!(ohm(Ohm(value)), text);
        }
    }

    #[test]
    fn a_deviation_carries_its_sign_and_no_minus_zero() {
        for (value, text) in [
            (0.168, "+16.8 %"),
            (-0.006, "-0.6 %"),
            (-0.0001, "0.0 %"),
            (0.0, "0.0 %"),
            (137.6, "x 139"),
            (9.99, "+999.0 %"),
            (10.0, "x 11.0"),
        ] {
            assert_eq!(signed_percent(Fraction(value)), text);
        }
    }

    #[test]
    fn a_probability_is_never_dressed_up_as_certainty() {
        for (value, text) in [
            (0.0, "<1 %"),
            (0.004, "<1 %"),
            (0.943, "94 %"),
            (0.996, ">99 %"),
            (1.0, ">99 %"),
        ] {
            assert_eq!(probability(Probability(value)), text);
        }
    }

    #[test]
    fn marks_lose_the_decimals_they_do_not_need() {
        assert_eq!(marked_watt(Watt(6.0)), "6 W");
        assert_eq!(marked_watt(Watt(3.75)), "3.75 W");
        assert_eq!(volt(Volt(70.7)), "70.7 V");
        assert_eq!(metre(Metre(100.0)), "100 m");
        assert_eq!(decibel(Decibel(-0.0001)), "0.00 dB");
    }

    #[test]
    fn text_that_would_steer_a_terminal_is_shown_and_its_lines_stay_lines() {
        assert_eq!(
            harmless_lines("a\u{1b}[2J\n\tb\u{202e}\n"),
            "a\\u{1b}[2J\n\tb\\u{202e}\n"
        );
    }

    #[test]
    fn one_thing_has_no_s() {
        assert_eq!(count(1, "line"), "1 line");
        assert_eq!(count(0, "line"), "0 lines");
        assert_eq!(count(42, "amplifier output"), "42 amplifier outputs");
    }
}
