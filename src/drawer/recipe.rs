//! What buildings are drawn: how large, how faulty, and how far from what the program assumes.
//!
//! Never here: chance.

use crate::quantity::Fraction;
use crate::site::{Figures, PLAIN_ACCURACY};

/// What a drawn building is like.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Lines of it.
    pub lines: usize,
    /// Fewest and most loudspeakers of a line.
    pub loudspeakers: (usize, usize),
    /// How many loudspeaker types.
    pub types: usize,
    /// Rates, spreads and the like, as the program has them.
    pub figures: Figures,
    /// How often no, one and two faults are drawn; none draws them as often as the rates make them.
    pub faults: Option<[f64; 3]>,
    /// The meter's accuracy; its factor is drawn Normal of spread accuracy / sqrt 3.
    pub accuracy: Fraction,
    /// Significant digits that it shows.
    pub digits: u32,
    /// How the building differs from what the program assumes.
    pub unlike: Unlike,
}

/// How a building differs from what the program assumes of it. The default does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unlike {
    /// Every load has a phase, even up to so many radians either way.
    pub phase: f64,
    /// Every type is off its marking by so much more, up or down.
    pub types: Fraction,
    /// Tolerances of loudspeakers and runs are so many times the assumed.
    pub tolerances: f64,
    /// Share of lines on which a loudspeaker stands that the schedule does not have.
    pub missing: Fraction,
    /// Share of lines on which two loudspeakers next to each other stand in the schedule in each
    /// other's place.
    pub swapped: Fraction,
}

impl Default for Unlike {
    fn default() -> Self {
        Self {
            phase: 0.0,
            types: Fraction(0.0),
            tolerances: 1.0,
            missing: Fraction(0.0),
            swapped: Fraction(0.0),
        }
    }
}

impl Default for Recipe {
    fn default() -> Self {
        Self {
            lines: 60,
            loudspeakers: (3, 16),
            types: 4,
            figures: Figures::default(),
            faults: None,
            accuracy: PLAIN_ACCURACY,
            digits: 3,
            unlike: Unlike::default(),
        }
    }
}
