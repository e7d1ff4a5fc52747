//! Newtypes that know their unit.
//!
//! A bare `f64` never crosses a public signature where a unit would tell more. The newtypes are
//! transparent in files: `volts: 100.0` stays `volts: 100.0`.

use serde::{Deserialize, Serialize};

macro_rules! unit {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The bare number, in the unit the type is named for.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }
        }
    )*};
}

unit! {
    /// Volts, rms.
    Volt;
    /// Ohms; the modulus of an impedance unless a complex type says otherwise.
    Ohm;
    /// Watts; volt-amperes where the phase is not known (a tapped line is close to resistive).
    Watt;
    /// Metres of cable.
    Metre;
    /// Hertz; 0 means direct current.
    Hertz;
    /// Decibels.
    Decibel;
    /// Degrees Celsius.
    Celsius;
    /// Degrees of phase.
    Degree;
    /// Farads.
    Farad;
    /// Ohms per kilometre of one conductor.
    OhmPerKm;
    /// Microhenries per metre of two-core cable, loop.
    MicroHenryPerMetre;
    /// Picofarads per metre of two-core cable.
    PicoFaradPerMetre;
    /// A share of one: 0.05 is 5 %.
    Fraction;
    /// A probability, 0 to 1.
    Probability;
    /// Minutes of work.
    Minutes;
}

/// A complex impedance in ohms.
pub type Impedance = num_complex::Complex64;
/// A complex admittance in siemens.
pub type Admittance = num_complex::Complex64;

/// A value with its relative standard uncertainty (JCGM 100 terms).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured<T> {
    /// The best estimate.
    pub value: T,
    /// Standard uncertainty over the estimate; 0.05 is 5 %.
    pub u_rel: f64,
}
