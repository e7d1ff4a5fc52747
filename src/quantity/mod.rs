//! Quantities: newtypes that know their unit, reading them as people type them, printing them.
//!
//! Never here: formulas of a line, files, the clock.

mod units;

pub use units::{
    Admittance, Celsius, Decibel, Degree, Farad, Fraction, Hertz, Impedance, Measured, Metre,
    MicroHenryPerMetre, Minutes, Ohm, OhmPerKm, PicoFaradPerMetre, Probability, Volt, Watt,
};
