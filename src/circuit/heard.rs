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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::testing::{line, loudspeaker, network};
    use crate::circuit::{Change, Load, Network};
    use crate::quantity::{Admittance, Impedance};

    fn three() -> Network {
        let nodes = vec![
            loudspeaker(10.0, None, 0.0),
            loudspeaker(10.0, Some(0), 0.0),
            loudspeaker(10.0, Some(1), 0.0),
        ];
        network(&line(nodes), 1000.0)
    }

    fn changes(change: Change, source: f64) -> Vec<f64> {
        let (sound, changed) = (three().solve(), three().with(&[change]).solve());
        level_changes(&sound, &changed, Ohm(source))
            .into_iter()
            .map(|db| db.unwrap().get())
            .collect()
    }

    #[test]
    fn an_amplifier_holds_the_tone_and_a_meter_does_not() {
        // No cable: 1000 / 3 ohm; with 10 ohm across it, 9.708738 ohm.
        let short = Change::short_at(1, Ohm(10.0));
        assert!(changes(short, 0.0).iter().all(|db| db.abs() < 1e-9));
        let (before, after) = (1000.0 / 3.0, 1.0 / (0.1 + 3e-3));
        let want = 20.0 * f64::log10(after * (before + 100.0) / (before * (after + 100.0)));
        for db in changes(short, 100.0) {
            assert!((db - want).abs() < 1e-9, "{db} {want}");
        }
    }

    #[test]
    fn twice_the_power_is_three_decibels_and_the_short_across_it_none_of_its_own() {
        let tap = Change::Load {
            at: 1,
            is: Load {
                y: Admittance::new(2e-3, 0.0),
                silent: false,
                transformer: true,
            },
        };
        let got = changes(tap, 0.0);
        assert!((got[1] - 10.0 * 2f64.log10()).abs() < 1e-9 && got[0].abs() < 1e-12);
    }

    #[test]
    fn what_cannot_sound_and_what_gets_nothing_lie_on_the_floor() {
        let shorted = Change::Load {
            at: 1,
            is: Load {
                y: Impedance::new(190.0, 90.0).inv(),
                silent: true,
                transformer: true,
            },
        };
        let got = changes(shorted, 100.0);
        assert!(got[1] < -150.0 && got[0] > -6.0);
        let got = changes(Change::Break { run: 1 }, 100.0);
        assert!(got[1] < -150.0 && got[2] < -150.0);
        // One third of the load is left, and the tone rises: 1000 / 3 to 1000 ohm behind 100.
        let want = 20.0 * f64::log10((1000.0 / 1100.0) / ((1e3 / 3.0) / (1e3 / 3.0 + 100.0)));
        assert!((got[0] - want).abs() < 1e-9);
    }

    #[test]
    fn an_open_line_lets_the_whole_tone_stand() {
        let (sound, changed) = (
            three().solve(),
            three().with(&[Change::Break { run: 0 }]).solve(),
        );
        // (Z0 + Rs) / Z0 with Z0 = 1000 / 3 ohm: 1.3.
        let got = tone_change(&sound, &changed, Ohm(100.0)).get();
        assert!((got - 20.0 * 1.3f64.log10()).abs() < 1e-12);
    }
}
