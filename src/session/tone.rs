//! Where the tone comes from that is listened to on a walk: a meter's own, or the amplifier's. What it
//! cannot reach is not answered for.

use super::Session;
use super::mode::DraftKind;
use super::view::text::few;
use crate::site::{
    AMPLIFIER_TONE, CORES_OFF, CORES_ON, Do, Instrument, InstrumentId, LinePlan, NodeId, Reads,
    Ref, SPLIT_CLOSED, SPLIT_OPENED, Tick,
};

impl Session {
    /// What drives the line: the instrument chosen for that, or `amplifier`. A meter reads a line that
    /// is off the amplifier, so its tone is the one that is taken where nobody chose.
    pub(super) fn tone(&self) -> String {
        let amplifier = InstrumentId::from(AMPLIFIER_TONE);
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
        let text = match (self.tone() == AMPLIFIER_TONE, self.is_off_ahead(at)) {
            (true, true) => {
                "this line is OFF, the tone the amplifier's: t takes a meter's".to_owned()
            }
            (false, false) => format!(
                "tone of {}: is the amplifier off the line? Space heard, or a letter below",
                self.tone_words()
            ),
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
        let line = &self.site.plan().lines[at];
        if self.is_off_ahead(at) && self.tone() == AMPLIFIER_TONE {
            return Some(format!(
                "{} is OFF: no amplifier plays on it. t: a meter's tone; g r: put it back",
                line.label
            ));
        }
        let open = self.open_split_ahead(at)?;
        let cut = line.node(&open)?;
        let behind = behind(line, cut);
        if !behind.contains(&node) {
            return None;
        }
        let silent: Vec<String> = behind
            .into_iter()
            .filter(|node| line.nodes[*node].is_loudspeaker())
            .map(|node| line.nodes[node].label.clone())
            .collect();
        Some(format!(
            "opened before {}: {} cannot play; b when closed again",
            line.nodes[cut].label,
            few(&silent, 2)
        ))
    }

    /// Where a line stands opened, by what is on the disk and what is on its way there.
    pub(super) fn open_split_ahead(&self, at: usize) -> Option<NodeId> {
        match self.tick_ahead(at, &[SPLIT_OPENED, SPLIT_CLOSED]) {
            Some(tick) if tick.item == SPLIT_CLOSED => None,
            Some(tick) => tick.of.iter().find_map(|of| match of {
                Ref::Node(node) => Some(node.clone()),
                _ => None,
            }),
            None => self.analyst.line(at).open_split.clone(),
        }
    }

    /// Whether a line is off the amplifier, by the same two.
    pub(super) fn is_off_ahead(&self, at: usize) -> bool {
        match self.tick_ahead(at, &[CORES_OFF, CORES_ON]) {
            Some(tick) => tick.item == CORES_OFF,
            None => self.analyst.line(at).off,
        }
    }

    /// The last tick of one of these items that is on its way to the disk for a line.
    fn tick_ahead(&self, at: usize, items: &[&str]) -> Option<&Tick> {
        let line = Ref::Line(self.site.plan().lines[at].id.clone());
        let sent = self.pending.iter().rev();
        sent.filter(|pending| !self.is_struck_ahead(&pending.entry.id))
            .find_map(|pending| match &pending.entry.what {
                Do::Tick(tick)
                    if items.contains(&tick.item.as_str()) && tick.of.contains(&line) =>
                {
                    Some(tick)
                }
                _ => None,
            })
    }
}

/// A place and all that hangs on it.
fn behind(line: &LinePlan, from: usize) -> Vec<usize> {
    (from..line.nodes.len())
        .filter(|node| {
            let mut at = Some(*node);
            while let Some(place) = at {
                if place == from {
                    return true;
                }
                at = line.nodes[place].from;
            }
            false
        })
        .collect()
}
