//! `load`: one reading, and what it means for an amplifier.
//!
//! Never here: a site.

use super::{Refusal, print};
use crate::quantity::{DecimalSign, Fraction, Ohm, Volt, decimal, reading};
use crate::report as papers;
use crate::site::Figure;
use anyhow::Result;

/// `load`.
pub(super) fn load(ohms: &str, volts: &str) -> Result<u8> {
    let typed = reading(ohms, DecimalSign::Either).map_err(|error| {
        Refusal::of(if ohms.trim().is_empty() {
            "OHMS: found nothing, a reading such as 412, 4.1k, 41x10, open or 0 for a short was \
             wanted"
                .to_owned()
        } else {
            format!("OHMS: {error}")
        })
    })?;
    let number = volts.trim_end_matches(['V', 'v', ' ']);
    let volts = decimal(number, DecimalSign::Either)
        .ok()
        .filter(|volts| volts.value > 0.0)
        .ok_or_else(|| {
            Refusal::of(format!(
                "--volts: found {volts:?}, a line voltage such as 100 or 70.7 was wanted"
            ))
        })?;
    let headroom = Fraction(Figure::Headroom.row().default);
    let stop = Ohm(Figure::StopOhm.row().default);
    print(&papers::one_reading(
        Volt(volts.value),
        typed.value,
        headroom,
        stop,
    ))
}
