//! Where the tone comes from that is listened to on a walk: a meter's own, or the amplifier's. What it
//! cannot reach is not answered for.

use super::Session;
use super::mode::DraftKind;
use crate::review::Unheard;
use crate::site::{AMPLIFIER_TONE, Instrument, InstrumentId, NodeId, Reads};

impl Session {
    /// What drives the line: the instrument chosen for that, or `amplifier`. A meter reads a line that
    /// is off the amplifier, so its tone is the one that is taken where nobody chose.
    pub(super) fn tone(&self) -> String {
        let amplifier = InstrumentId::from(AMPLIFIER_TONE);
        // No meter goes on a line that the amplifier may drive.
        if self.walked().is_some_and(|at| self.is_back_on(at)) {
            return AMPLIFIER_TONE.to_owned();
        }
        match self.instrument(DraftKind::Impedance) {
            Some((meter, _)) if !self.chosen.contains(&amplifier) => meter.to_string(),
            _ => AMPLIFIER_TONE.to_owned(),
        }
    }

    /// The tone in words, for the head of the walk.
    pub(super) fn tone_words(&self) -> String {
        let tone = self.tone();
        match self.site.plan().instrument(&tone.as_str().into()) {
            Some(made) => made.label.clone(),
            None => tone,
        }
    }

    /// What is asked at the beginning of a walk.
    pub(super) fn say_tone(&mut self, at: usize) {
        let on = self.on_words(at);
        let text = match (self.tone() == AMPLIFIER_TONE, self.is_off_ahead(at)) {
            (true, true) => {
                "this line is OFF, the tone the amplifier's: t takes a meter's".to_owned()
            }
            (false, false) => match on {
                Some(on) => {
                    format!("{on}: no meter's tone on a driven line; t takes the amplifier's")
                }
                None => format!(
                    "tone of {}: is the amplifier off the line? Space heard, or a letter below",
                    self.tone_words()
                ),
            },
            _ => format!(
                "tone of {} on the line? what is heard here: Space, or a letter",
                self.tone_words()
            ),
        };
        self.say(&text);
    }

    /// `t` on a walk: the tone of the next meter, behind the last that of the amplifier.
    pub(super) fn next_tone(&mut self) {
        let meters: Vec<(InstrumentId, Instrument)> = self
            .site
            .plan()
            .instruments
            .iter()
            .filter(|(_, it)| it.reads == Reads::Impedance)
            .cloned()
            .collect();
        if let Some(at) = self.walked().filter(|at| self.is_back_on(*at)) {
            let label = &self.site.plan().lines[at].label;
            let text = format!(
                "{label} is back ON: the tone is the amplifier's; a meter's only while it is OFF, g r"
            );
            return self.say(&text);
        }
        let now = self.tone();
        let at = meters.iter().position(|(id, _)| id.as_str() == now);
        let next = meters.get(at.map_or(0, |at| at + 1));
        let off = self.walked().is_some_and(|at| self.analyst.line(at).off);
        self.chosen
            .retain(|id| id.as_str() != AMPLIFIER_TONE && !meters.iter().any(|it| it.0 == *id));
        match next {
            Some((id, made)) => {
                self.chosen.push(id.clone());
                self.say(&format!(
                    "the tone is that of {}: only on a line off the amplifier",
                    made.label
                ));
            }
            None => {
                self.chosen.push(AMPLIFIER_TONE.into());
                self.say(if off {
                    "the tone is the amplifier's: this line is OFF and hears none of it; t again"
                } else {
                    "the tone is the amplifier's; no hands on the line, no meter on it"
                });
            }
        }
    }

    /// Why nothing can be heard at a place of a line, whatever is wrong with it; none where the tone
    /// gets there.
    pub(super) fn unheard_of(&self, at: usize, node: usize) -> Option<String> {
        let why = self.situation().unheard(at, node, &self.tone())?;
        Some(match why {
            Unheard::Off(_) => format!("{why}. t: a meter's tone; g r: put it back"),
            Unheard::Opened { .. } => format!("{why}; b when closed again"),
        })
    }

    /// Where a line stands opened, by what is on the disk and what is on its way there.
    pub(super) fn open_split_ahead(&self, at: usize) -> Option<NodeId> {
        self.situation().open_split(at)
    }

    /// Whether a line is off the amplifier, by the same two.
    pub(super) fn is_off_ahead(&self, at: usize) -> bool {
        self.situation().is_off(at)
    }
}
