//! Under what conditions a line is reckoned: frequency, temperature, and what is assumed.
//!
//! Never here: cables, networks.

use crate::quantity::{Admittance, Celsius, Fraction, Hertz, Metre, Volt, Watt};
use crate::site::{Figure, Figures};

/// What a network is built under.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Test frequency; 0 is direct current.
    pub hz: Hertz,
    /// Temperature of the cables.
    pub temperature: Celsius,
    /// Winding resistance of a loudspeaker's primary over its impedance. \[assumed 0.08\]
    pub winding_ratio: Fraction,
    /// What a run of unknown length counts as. \[assumed 15 m\]
    pub unknown_run: Metre,
}

impl Conditions {
    /// The conditions that the site's figures set, at this frequency.
    #[must_use]
    pub fn of(figures: &Figures, hz: Hertz) -> Self {
        Self {
            hz,
            temperature: Celsius(figures.get(Figure::TemperatureC)),
            winding_ratio: Fraction(figures.get(Figure::WindingRatio)),
            unknown_run: Metre(figures.get(Figure::UnknownRunM)),
        }
    }

    /// Whether the line is read with direct current.
    #[must_use]
    pub fn is_dc(&self) -> bool {
        self.hz.get() == 0.0
    }

    /// Angular frequency, rad/s.
    #[must_use]
    pub fn omega(&self) -> f64 {
        2.0 * std::f64::consts::PI * self.hz.get()
    }

    /// Admittance of a loudspeaker designed for one tap and set to another, without a blocking
    /// capacitor.
    ///
    /// With a tone it is resistive, P / V^2. With direct current it is its winding,
    /// rho |z design| sqrt(|z tap| / |z design|): turns go with the square root of |z|.
    #[must_use]
    pub fn load(&self, volts: Volt, design: Watt, tap: Watt) -> Admittance {
        let square = volts.get() * volts.get();
        let siemens = if self.is_dc() {
            (design.get() * tap.get()).sqrt() / (square * self.winding_ratio.get())
        } else {
            tap.get() / square
        };
        Admittance::new(siemens, 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_winding_follows_the_square_root_of_the_impedance_of_its_tap() {
        let dc = Conditions::of(&Figures::default(), Hertz(0.0));
        // 10 W at 100 V is 1000 ohm, so its winding is 80 ohm; on 2.5 W (4000 ohm) twice that.
        let ohms = |tap| 1.0 / dc.load(Volt(100.0), Watt(10.0), Watt(tap)).re;
        assert!((ohms(10.0) - 80.0).abs() < 1e-12);
        assert!((ohms(2.5) - 160.0).abs() < 1e-12);
    }

    #[test]
    fn with_a_tone_a_tap_is_its_power_over_the_square_of_the_voltage() {
        let tone = Conditions::of(&Figures::default(), Hertz(1000.0));
        let y = tone.load(Volt(100.0), Watt(10.0), Watt(2.5));
        assert!((1.0 / y.re - 4000.0).abs() < 1e-9 && y.im == 0.0);
    }
}
