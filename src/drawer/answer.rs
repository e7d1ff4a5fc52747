//! What a meter and an ear say of the true line.
//!
//! Never here: what is concluded from it.

use super::random::Random;
use super::recipe::Recipe;
use super::truth::Truth;
use crate::circuit::{Network, level_changes};
use crate::quantity::{Hertz, Ohm, Value, normal};
use crate::site::{Figure, Heard};

/// Which reading is asked for; places are those of the true plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Impedance at the rack.
    Rack,
    /// Direct current at the rack.
    Dc,
    /// From the rack, the line opened on the rack side of a node.
    Near(usize),
    /// Outward from that opening.
    Far(usize),
}

/// What a meter showed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The value.
    pub value: Value,
    /// One step of its last digit; 0 for open and short.
    pub step: Ohm,
    /// It is a slip of the hand, and says nothing of the line.
    pub slip: bool,
}

/// Meters at hand, with their factors ln(read / true).
#[derive(Clone, Copy, Debug)]
pub(super) struct Bag {
    pub impedance: f64,
    pub direct: f64,
}

/// What is heard at d decibel from the expected level: silent, quiet, loud, heard, distorted.
const WORDS: [Heard; 5] = [
    Heard::Silent,
    Heard::Quiet,
    Heard::Loud,
    Heard::Heard,
    Heard::Distorted,
];

impl Truth {
    fn asked(&self, ask: Ask, recipe: &Recipe) -> Network {
        let hz = Hertz(recipe.figures.get(Figure::TestHz));
        match ask {
            Ask::Rack => self.network(hz, true),
            Ask::Dc => self.network(Hertz(0.0), true),
            Ask::Near(at) => self.network(hz, true).near_of(at),
            Ask::Far(at) => self.network(hz, true).far_of(at),
        }
    }

    pub(super) fn shown(&self, ask: Ask, recipe: &Recipe, bag: &Bag, random: &mut Random) -> Shown {
        let figures = &recipe.figures;
        if random.happens(figures.get(Figure::Slip)) {
            return slipped(recipe, random);
        }
        let factor = if ask == Ask::Dc {
            bag.direct
        } else {
            bag.impedance
        };
        let Some(ohm) = self.asked(ask, recipe).solve().input().modulus() else {
            return plain(Value::Open);
        };
        let contacts = figures.get(Figure::ContactOhm) * random.normal();
        let read = (ohm.get() * factor.exp() + contacts).max(0.0);
        if read > figures.get(Figure::RangeOhm) {
            plain(Value::Open)
        } else if read < figures.get(Figure::ShortOhm) {
            plain(Value::Short)
        } else {
            rounded(read, recipe.digits)
        }
    }

    pub(super) fn heard(&self, at: usize, recipe: &Recipe, random: &mut Random) -> Heard {
        let hz = Hertz(recipe.figures.get(Figure::TestHz));
        let source = Ohm(recipe.figures.get(Figure::SourceOhm));
        let (sound, changed) = (self.network(hz, false), self.network(hz, true));
        let levels = level_changes(&sound.solve(), &changed.solve(), source);
        let d = levels.get(at).copied().flatten().map_or(0.0, |it| it.get());
        WORDS[random.weighted(chances(d).into_iter())]
    }
}

/// Probabilities of the words at d decibel. \[assumed\]
fn chances(d: f64) -> [f64; 5] {
    let mut p = if d < -20.0 {
        [0.98, 0.02, 0.0, 0.0, 0.0]
    } else {
        let loud = normal::cdf((d - 4.0) / 1.5);
        let quiet = normal::cdf((-d - 4.0) / 1.5);
        [0.0, quiet, loud, 1.0 - loud - quiet, 0.0]
    };
    for it in &mut p {
        *it = it.max(0.01);
    }
    let sum: f64 = p.iter().sum();
    p.map(|it| it / sum)
}

const fn plain(value: Value) -> Shown {
    Shown {
        value,
        step: Ohm(0.0),
        slip: false,
    }
}

/// A reading to so many significant digits.
fn rounded(ohm: f64, digits: u32) -> Shown {
    let step = 10f64.powf(ohm.log10().floor() - f64::from(digits.max(1)) + 1.0);
    Shown {
        value: Value::Ohm(Ohm((ohm / step).round() * step)),
        step: Ohm(step),
        slip: false,
    }
}

fn slipped(recipe: &Recipe, random: &mut Random) -> Shown {
    let figures = &recipe.figures;
    let (open, short) = (
        figures.get(Figure::SlipOpen),
        figures.get(Figure::SlipShort),
    );
    let which = random.unit();
    let shown = if which < open {
        plain(Value::Open)
    } else if which < open + short {
        plain(Value::Short)
    } else {
        // Even over ln m from 0.1 ohm to 100 kohm.
        rounded(
            random.between(0.1f64.ln(), 1e5f64.ln()).exp(),
            recipe.digits,
        )
    };
    Shown {
        slip: true,
        ..shown
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meter_shows_so_many_digits_and_its_last_is_the_step() {
        for (ohm, digits, shows, step) in [
            (1234.0, 2, 1200.0, 100.0),
            (987.6, 3, 988.0, 1.0),
            (4.321, 2, 4.3, 0.1),
            (9.97, 2, 10.0, 0.1),
        ] {
            let shown = rounded(ohm, digits);
            let Value::Ohm(got) = shown.value else {
                panic!("{shown:?}")
            };
            assert!((got.get() - shows).abs() < 1e-9, "{ohm}: {got:?}");
            assert!((shown.step.get() - step).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_heard_follows_the_level() {
        assert!(chances(-60.0)[0] > 0.9);
        assert!(chances(0.0)[3] > 0.9);
        assert!(chances(9.0)[2] > 0.9);
        assert!((chances(4.0)[2] - chances(4.0)[3]).abs() < 0.02);
        for d in [-200.0, -19.0, 3.0] {
            assert!((chances(d).iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }
}
