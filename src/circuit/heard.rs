//! What the ear is expected to hear changed, loudspeaker by loudspeaker.
//!
//! The ear judges the power a loudspeaker takes, L = 10 log10(|V|^2 Re y), V per volt at the
//! rack, y its own admittance (a short across its terminals is no part of it). The tone's source
//! has a resistance, so that a low line pulls the tone down everywhere.
//!
//! Never here: answers and how probable they are.

use super::solve::Solution;
use crate::quantity::{Decibel, Ohm};

/// The level of a loudspeaker that gets nothing or cannot sound.
pub const FLOOR: Decibel = Decibel(-200.0);

impl Solution {
    /// Level of a loudspeaker, dB re one watt at one volt at the rack, not below [`FLOOR`]; none
    /// where no loudspeaker stands.
    #[must_use]
    pub fn level(&self, node: usize) -> Option<Decibel> {
        let load = self.network.elements.get(node)?.load?;
        let power = self.at[node].v.norm_sqr() * self.network.acting(&load).re;
        Some(if load.silent || self.at[node].cut || power <= 0.0 {
            FLOOR
        } else {
            Decibel((10.0 * power.log10()).max(FLOOR.get()))
        })
    }
}

/// Change of the tone at the rack between two states of a line, from a source of this resistance:
/// 20 log10 |Z (Z0 + Rs) / (Z0 (Z + Rs))|, finite for open lines too.
#[must_use]
pub fn tone_change(sound: &Solution, changed: &Solution, source: Ohm) -> Decibel {
    let source = source.get();
    let ratio = (1.0 + source * sound.y_in()) / (1.0 + source * changed.y_in());
    Decibel(20.0 * ratio.norm().log10())
}

/// Predicted change of level at every node against the sound line; none where no loudspeaker
/// stands.
#[must_use]
pub fn level_changes(sound: &Solution, changed: &Solution, source: Ohm) -> Vec<Option<Decibel>> {
    let tone = tone_change(sound, changed, source).get();
    (0..sound.network().len())
        .map(|node| {
            let (before, after) = (sound.level(node)?, changed.level(node)?);
            Some(Decibel(after.get() - before.get() + tone))
        })
        .collect()
}
