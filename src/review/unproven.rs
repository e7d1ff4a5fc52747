//! What a line read before a repair after which nobody read it: that a fault was mended is only said until
//! a meter shows it. And two readings that differ though nothing was repaired between them.
//!
//! Never here: what stands in the way because of it (`stops`, `list`).

use crate::analysis::{InDoubt, Repaired};
use crate::quantity::{Value, show};

/// What it read before, in words: `0.60 ohm`, `short, insulation LOW 0.20 Mohm`; none where nothing was.
#[must_use]
pub fn was_before(it: &Repaired) -> Option<String> {
    let load = it.was.map(show::value);
    let low = it
        .was_low
        .map(|low| format!("insulation LOW {}", show::insulation(low)));
    let all: Vec<String> = load.into_iter().chain(low).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// Two readings that do not agree, in words: `read short, then 446 ohm, nothing repaired: read it again`.
#[must_use]
pub fn in_doubt_words(it: &InDoubt) -> String {
    let (before, after) = (show::value(it.before), show::value(it.after));
    match (it.before, it.after) {
        (Value::Ohm(_), Value::Ohm(_)) => {
            format!(
                "read {before}, then {after}, nothing repaired: they do not agree, read it again"
            )
        }
        _ => format!("read {before}, then {after}, nothing repaired: read it again"),
    }
}
