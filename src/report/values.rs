//! Figures as scripts get them, and these in words.
//!
//! Never here: how a figure comes about.

use crate::quantity::{Fraction, Ohm, Value, show};

/// Ohms as scripts get them.
pub(super) fn ohms(value: Value) -> serde_json::Value {
    match value {
        Value::Ohm(ohm) => ohm.get().into(),
        Value::Open => "open".into(),
        Value::Short => "short".into(),
    }
}

/// `412 ohm`, `open`, `short`, empty where there is none.
pub(super) fn ohms_text(value: &serde_json::Value) -> String {
    match (value.as_f64(), value.as_str()) {
        (Some(ohm), _) => show::ohm(Ohm(ohm)),
        (None, Some(word)) => word.to_owned(),
        (None, None) => String::new(),
    }
}

/// `+3.1 %`, empty where there is none.
pub(super) fn signed(it: Option<f64>) -> String {
    it.map_or_else(String::new, |it| show::signed_percent(Fraction(it)))
}
