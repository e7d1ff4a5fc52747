//! A line as it stands: what was read, what it is worth, what it carries.

use super::Common;
use super::agree::InDoubt;
use super::design::Design;
use super::insulation::InsulationResult;
use super::redrawn::Redrawn;
use super::repaired::Repaired;
use crate::quantity::{Degree, Fraction, Ohm, Value, Watt};
use crate::site::{
    Decision, Do, Entry, EntryId, InstrumentId, LinePlan, NodeId, Read, Site, StateId,
};
use crate::verdict::{self, Factor, InsulationWord, Limits, LineVerdict, LineWord};
use jiff::Timestamp;

/// A rack reading with the figures that follow from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The entry; none for a reading that is being typed.
    pub entry: Option<EntryId>,
    /// What the meter showed.
    pub value: Value,
    /// What one step of the last digit is worth.
    pub step: Ohm,
    /// As typed.
    pub text: String,
    /// The load it makes.
    pub load: Option<Watt>,
    /// Load over expected load, less one.
    pub deviation: Option<Fraction>,
    /// Phase, where the meter shows it.
    pub phase: Option<Degree>,
    /// When it was read; of a correction when the figure that it mends was.
    pub at: Option<Timestamp>,
    /// With what.
    pub instrument: Option<InstrumentId>,
    /// In whose hands, where one name may stand for the meters of several.
    pub hand: Option<String>,
}

/// A line as it stands in its latest state.
#[derive(Clone, Debug)]
pub struct LineResult {
    /// As drawn.
    pub design: Design,
    /// The latest state.
    pub state: StateId,
    /// The rack reading of that state.
    pub taken: Option<Taken>,
    /// What it is worth.
    pub verdict: Option<LineVerdict>,
    /// The last rack reading of the visit's first state that has one, where that is the visit's own or was
    /// ended by a repair.
    pub as_found: Option<Taken>,
    /// That of its last state.
    pub as_left: Option<Taken>,
    /// The latest ohmmeter reading of that state.
    pub dc: Option<Value>,
    /// Loudspeakers that gave any sound at their latest answer.
    pub heard: usize,
    /// Loudspeakers whose latest answer tells: those heard and those silent.
    pub asked: usize,
    /// Loudspeakers on the line.
    pub loudspeakers: usize,
    /// Some latest answer is neither heard, nor noisy, nor reversed.
    pub not_all_well: bool,
    /// Insulation.
    pub insulation: Option<InsulationResult>,
    /// That of the first state of the visit before the last repair in which it was read.
    pub insulation_found: Option<InsulationResult>,
    /// Off the amplifier and not back.
    pub off: bool,
    /// Opened before this node for a split, and not closed again.
    pub open_split: Option<NodeId>,
    /// The word on it, for this state.
    pub decision: Option<Decision>,
    /// Two designs stand for something it is made of.
    pub question: bool,
    /// What was drawn anew since it was read.
    pub redrawn: Option<Redrawn>,
    /// What it read before a repair that no reading followed yet.
    pub repaired: Option<Repaired>,
    /// Its last two readings at the rack do not agree.
    pub in_doubt: Option<InDoubt>,
}

impl LineResult {
    /// The line as the log has it.
    #[must_use]
    pub fn of(site: &Site, line: &LinePlan, common: &Common) -> Self {
        let limits = &common.limits;
        let history = site.history(&line.id);
        let state = history.state();
        let visit = site.visit();
        let design = Design::of(line, site.figures());
        let taken_in = |state: &StateId| {
            history
                .rack(site, state)
                .map(|(entry, read)| taken(site, entry, read, line, &design))
        };
        // Of a line repaired before anybody read it, what was read next is how it was found.
        let states = history.states(&visit);
        let earlier = || states.iter().filter(|it| **it != state || it.0 == visit.0);
        let as_found = earlier().find_map(taken_in);
        let current = taken_in(&state);
        let redrawn = history
            .rack(site, &state)
            .and_then(|(entry, _)| common.edits.since(site, &line.id, entry));
        let answers = history.answers(site, &state);
        let output = &site.plan().outputs[line.output];
        let insulation_in = |state: &StateId| {
            InsulationResult::of(&history.insulation(site, state), output.elv, limits)
        };
        let insulation = insulation_in(&state);
        let insulation_found = states
            .iter()
            .filter(|it| **it != state)
            .find_map(insulation_in);
        let words = || {
            let entries = history.entries().iter().rev();
            entries.filter_map(|entry| match &entry.what {
                Do::Decide(decide) if decide.state == state => Some(&decide.is),
                _ => None,
            })
        };
        // Of a line that was read a word that skips is on what was not done, and takes no other's place.
        let decision = words()
            .find(|is| current.is_some() && **is != Decision::Skipped)
            .or_else(|| words().next())
            .cloned();
        let entries = history.entries().iter().copied();
        let has_rivals = !site.log().rivals_among(entries).is_empty();
        let dc = history
            .reads(site, &state)
            .rfind(|(_, read)| read.is_dc() && read.cut.is_none())
            .map(|(_, read)| read.value);
        let mut result = Self {
            heard: answers.iter().filter(|(_, it)| it.gives.sounds()).count(),
            asked: answers.iter().filter(|(_, it)| it.gives.tells()).count(),
            loudspeakers: line.loudspeakers(),
            not_all_well: answers.iter().any(|(_, it)| it.gives.is_wrong()),
            insulation,
            insulation_found,
            off: history.is_off(),
            dc,
            open_split: history.open_split(),
            decision,
            question: common.is_in_question(&line.id) || has_rivals,
            redrawn,
            repaired: Repaired::of(site, &history, &state, output.elv, limits),
            in_doubt: InDoubt::of(site, &history, &state),
            verdict: None,
            as_found,
            as_left: current.clone(),
            taken: current,
            state,
            design,
        };
        result.judge_again(common);
        result
    }

    /// The verdict anew, after the factors that lines share have changed.
    pub(super) fn judge_again(&mut self, common: &Common) {
        let taken = self.taken.as_ref();
        let instrument = taken.and_then(|taken| taken.instrument.as_ref());
        let hand = taken.and_then(|taken| taken.hand.as_deref());
        let factor = common.factor(instrument, hand);
        self.judge(factor, &common.limits);
    }

    /// The same line, as if this had been read: what the panel shows before Enter.
    #[must_use]
    pub fn with_reading(
        &self,
        line: &LinePlan,
        value: Value,
        step: Ohm,
        factor: Factor,
        limits: &Limits,
    ) -> Self {
        let mut result = self.clone();
        // It would be read of the line as it is drawn now.
        result.redrawn = None;
        result.repaired = None;
        result.in_doubt = None;
        result.taken = Some(Taken {
            entry: None,
            value,
            step,
            text: String::new(),
            load: load_of(line, value),
            deviation: None,
            phase: None,
            at: None,
            instrument: None,
            hand: None,
        });
        result.judge(factor, limits);
        result
    }

    /// Whether its reading is held against its drawing: no question stands on that, and it is not one which
    /// is still to be done on site.
    #[must_use]
    pub fn is_judged(&self) -> bool {
        !self.question && !self.redrawn.as_ref().is_some_and(|it| it.to_be_done)
    }

    /// Whether it was read before taps were tried out and applied that are still to be set: its reading
    /// stays as load, is judged by nothing, and is to be taken again. In question it is first asked what is
    /// drawn.
    #[must_use]
    pub fn is_to_be_reread(&self) -> bool {
        self.is_read() && !self.question && self.redrawn.as_ref().is_some_and(|it| it.to_be_done)
    }

    /// A line in question has no word: what it is held against is not all of its drawing.
    pub(super) fn leave_unjudged(&mut self) {
        self.verdict = None;
        let readings = [&mut self.taken, &mut self.as_found, &mut self.as_left];
        for taken in readings.into_iter().flatten() {
            taken.deviation = None;
        }
    }

    fn judge(&mut self, factor: Factor, limits: &Limits) {
        if !self.is_judged() {
            return self.leave_unjudged();
        }
        self.verdict = self.taken.as_ref().map(|taken| {
            verdict::judge(
                self.design.expected,
                taken.value,
                taken.step,
                factor,
                limits,
            )
        });
        if let (Some(taken), Some(verdict)) = (&mut self.taken, &self.verdict) {
            taken.deviation = verdict.deviation;
        }
    }

    /// Whether a rack reading counts in the latest state.
    #[must_use]
    pub const fn is_read(&self) -> bool {
        self.taken.is_some()
    }

    /// Wants a look: not in tolerance, something not heard as it should be, insulation low, a
    /// question, a reading that is to be taken again.
    #[must_use]
    pub fn is_flagged(&self) -> bool {
        self.verdict
            .is_some_and(|verdict| verdict.word != LineWord::In)
            || self.not_all_well
            || self.insulation_is_low()
            || self.question
            || self.is_to_be_reread()
            || self.is_unproven()
            || self.in_doubt.is_some()
    }

    /// Whether it read short or open, or its insulation was low, and only a word says that this is mended.
    #[must_use]
    pub fn is_unproven(&self) -> bool {
        self.repaired.as_ref().is_some_and(Repaired::is_unproven)
    }

    /// Read so low before a repair that it must not be connected, and not read since.
    #[must_use]
    pub fn is_unproven_stop(&self) -> bool {
        self.repaired.as_ref().is_some_and(|it| it.was_stop)
    }

    /// Whether an insulation reading that stands is below what is wanted.
    #[must_use]
    pub fn insulation_is_low(&self) -> bool {
        self.insulation
            .as_ref()
            .is_some_and(|it| it.word == InsulationWord::Low)
    }

    /// Reads so low that it must not be connected.
    #[must_use]
    pub fn is_stop(&self, limits: &Limits) -> bool {
        let taken = self.taken.as_ref();
        taken.is_some_and(|taken| limits.is_stop(taken.value))
    }
}

fn load_of(line: &LinePlan, value: Value) -> Option<Watt> {
    match value {
        Value::Ohm(ohm) => Some(verdict::load(line.volts, ohm)),
        Value::Open => Some(Watt(0.0)),
        Value::Short => None,
    }
}

pub(super) fn taken(
    site: &Site,
    entry: &Entry,
    read: &Read,
    line: &LinePlan,
    design: &Design,
) -> Taken {
    let deviation = match (design.expected, read.value) {
        (Some(expected), Value::Ohm(ohm)) => Some(verdict::deviation(expected, ohm)),
        _ => None,
    };
    let measured = site.log().measured(entry);
    Taken {
        entry: Some(entry.id.clone()),
        value: read.value,
        step: read.step_ohm,
        text: read.text.clone(),
        load: load_of(line, read.value),
        deviation,
        phase: read.phase_deg,
        at: Some(measured.at),
        instrument: Some(read.instrument.clone()),
        hand: site
            .hands()
            .holder(&read.instrument, &site.visit(), &measured.by),
    }
}
