//! One reading without a site, in words: what the command `load` prints.
//!
//! Never here: figures of its own.

use crate::quantity::{Fraction, Ohm, Value, Volt, show};

/// One reading without a site: watts, and the rating that leaves the headroom. Under `stop` it is
/// no load but a fault.
#[must_use]
pub fn one_reading(volts: Volt, value: Value, headroom: Fraction, stop: Ohm) -> String {
    match value {
        Value::Open => format!("open at {}: no load\n", show::volt(volts)),
        Value::Short => format!("short at {}: must not be connected\n", show::volt(volts)),
        Value::Ohm(ohm) => {
            let load = crate::verdict::load(volts, ohm);
            let reading = format!(
                "{} at {} loads the amplifier with {}\n",
                show::ohm(ohm),
                show::volt(volts),
                show::watt(load)
            );
            if ohm.get() < stop.get() {
                return format!(
                    "{reading}under {}: as good as a short, must not be connected\n",
                    show::ohm(stop)
                );
            }
            let needed = crate::verdict::rating_needed(load, headroom);
            format!(
                "{reading}a rating of {} leaves {:.0} % headroom\n",
                show::watt(needed),
                headroom.get() * 100.0
            )
        }
    }
}
