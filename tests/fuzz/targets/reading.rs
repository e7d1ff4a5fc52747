//! Whatever is typed as a reading is a figure, open, short, or an error: never a panic, no NaN.

#![no_main]

use libfuzzer_sys::fuzz_target;
use layers::quantity::{DecimalSign, Value, decimal, insulation, reading};

fuzz_target!(|text: &str| {
    for sign in [DecimalSign::Point, DecimalSign::Comma, DecimalSign::Either] {
        if let Ok(typed) = reading(text, sign)
            && let Value::Ohm(ohm) = typed.value
        {
            assert!(ohm.get().is_finite() && ohm.get() >= 0.0, "{text:?}");
            assert!(typed.step.get().is_finite() && typed.step.get() > 0.0, "{text:?}");
        }
        if let Ok(number) = decimal(text, sign) {
            assert!(number.value.is_finite(), "{text:?}");
        }
        let _ = insulation(text, sign);
    }
});
