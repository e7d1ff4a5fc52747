//! Quantities: newtypes that know their unit, reading them as people type them, printing them.
//!
//! Never here: formulas of a line, files, the clock.

mod formula;
pub mod lanes;
pub mod normal;
mod number;
mod reading;
pub mod show;
mod units;

pub use formula::{defuse, undefuse};
pub use number::{Decimal, DecimalSign, NumberError, decimal, two_ways};
pub use reading::{Insulation, ReadingError, TypedReading, Value, insulation, ohms, reading};
pub use units::{
    Admittance, Celsius, Decibel, Degree, Farad, Fraction, Hertz, Impedance, Measured, Metre,
    MicroHenryPerMetre, Minutes, Ohm, OhmPerKm, PicoFaradPerMetre, Probability, Volt, Watt,
};
