//! What stands in the way of a tick or of an answer: what cannot be so as things stand is not said,
//! whoever says it, at the keyboard or by a command. What is said is still no proof.
//!
//! Never here: what to do about it, which differs with where it is said.

use super::list_rows::has_insulation;
use crate::analysis::{Analyst, ToMove};
use crate::quantity::show::few;
use crate::site::{
    AMPLIFIER_TONE, AmplifierId, CORES_OFF, CORES_ON, Decision, Do, FIRST_POWER, JOINTS_CLOSED,
    LEADS_ZEROED, ListItem, ListOf, ListWhen, NodeId, Ref, SPLIT_CLOSED, SPLIT_OPENED, Site, Tick,
    TickIs,
};
use jiff::Timestamp;
use std::fmt;

/// First power at low level is how lines come back one after the other: it may be done with some OFF.
const WITH_SOME_OFF: &str = FIRST_POWER;

/// So many labels are named, and so many of loudspeakers behind an opening.
pub(super) const MOST_LABELS: usize = 4;
const MOST_SILENT: usize = 2;

/// Why a tick cannot be so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stop {
    /// No known resistor was read on the visit.
    NoResistor,
    /// These lines read short and must not be connected.
    Short(Vec<String>),
    /// These lines read short before they were repaired, and were not read since.
    NotReadAgain(Vec<String>),
    /// These lines stand opened for a split.
    Opened(Vec<String>),
    /// These lines are off the amplifier, and nobody said why they stay so.
    Off(Vec<String>),
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let told = |f: &mut fmt::Formatter<'_>, labels: &[String], one, several| {
            let verb = if labels.len() == 1 { one } else { several };
            write!(f, "{} {verb}", few(labels, MOST_LABELS))
        };
        match self {
            Self::NoResistor => f.write_str("no known resistor was read on this visit"),
            Self::Short(labels) => {
                let one = "reads short: it must not be connected";
                told(f, labels, one, "read short: they must not be connected")
            }
            Self::NotReadAgain(labels) => {
                let one = "read short before its repair: read it first";
                told(
                    f,
                    labels,
                    one,
                    "read short before their repair: read them first",
                )
            }
            Self::Opened(labels) => told(f, labels, "stands opened", "stand opened"),
            Self::Off(labels) => told(f, labels, "is OFF", "are OFF"),
        }
    }
}

/// Why nothing can be heard at a loudspeaker, whatever is wrong with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unheard {
    /// The line of this label is off the amplifier, and the tone is the amplifier's.
    Off(String),
    /// The line stands opened before a place, and these hang behind it.
    Opened {
        /// The place.
        before: String,
        /// Loudspeakers behind it.
        silent: Vec<String>,
    },
}

impl fmt::Display for Unheard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Off(line) => write!(f, "{line} is OFF: no amplifier plays on it"),
            Self::Opened { before, silent } => {
                let silent = few(silent, MOST_SILENT);
                write!(f, "opened before {before}: {silent} cannot play")
            }
        }
    }
}

/// Whether the cores of a line are on its amplifier, as far as ticks tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cores {
    /// Ticked off, and not back on.
    Off,
    /// Ticked back on: the amplifier may drive it.
    BackOn,
    /// Lines of this site are ticked off before they are touched, and this one was not.
    NotTicked,
    /// Nobody ticks lines off here: nothing is known.
    Untold,
}

/// How things stand: by the log, by what is on its way to it, at a time.
#[derive(Clone, Debug)]
pub struct Situation<'a> {
    pub(super) site: &'a Site,
    pub(super) sent: Vec<&'a Do>,
    until: Option<Timestamp>,
}

impl<'a> Situation<'a> {
    /// By the log of a site.
    #[must_use]
    pub const fn of(site: &'a Site) -> Self {
        Self {
            site,
            sent: Vec::new(),
            until: None,
        }
    }

    /// And by what is on its way to it and counts, in order.
    #[must_use]
    pub fn with(mut self, sent: impl IntoIterator<Item = &'a Do>) -> Self {
        self.sent.extend(sent);
        self
    }

    /// As it stood at a time: what was ticked later had not happened.
    #[must_use]
    pub const fn at(mut self, until: Timestamp) -> Self {
        self.until = Some(until);
        self
    }

    /// The last tick of one of these items for a line of the plan.
    fn tick(&self, at: usize, items: &[&str]) -> Option<&'a Tick> {
        let id = &self.site.plan().lines[at].id;
        let line = Ref::Line(id.clone());
        let of = |what: &'a Do| match what {
            Do::Tick(tick) if items.contains(&tick.item.as_str()) => Some(tick),
            _ => None,
        };
        let sent = self.sent.iter().rev();
        let sent = sent
            .filter_map(|what| of(what))
            .find(|tick| tick.of.contains(&line));
        sent.or_else(|| {
            let history = self.site.history(id);
            let entries = history.entries().iter().rev();
            entries
                .filter(|entry| self.until.is_none_or(|until| entry.at <= until))
                .find_map(|entry| of(&entry.what))
        })
    }

    /// Whether a line of the plan is off the amplifier.
    #[must_use]
    pub fn is_off(&self, at: usize) -> bool {
        self.cores(at) == Cores::Off
    }

    /// Whether the cores of a line of the plan are on the amplifier. A tick proves nothing; that one is
    /// missing where others stand is told all the same.
    #[must_use]
    pub fn cores(&self, at: usize) -> Cores {
        if let Some(tick) = self.tick(at, &[CORES_OFF, CORES_ON]) {
            return match tick.item == CORES_OFF {
                true => Cores::Off,
                false => Cores::BackOn,
            };
        }
        let off = |what: &Do| matches!(what, Do::Tick(tick) if tick.item == CORES_OFF);
        let ticked = self.sent.iter().any(|what| off(what)) || self.site.log().is_ticked(CORES_OFF);
        match ticked {
            true => Cores::NotTicked,
            false => Cores::Untold,
        }
    }

    /// The node before which a line of the plan stands opened.
    #[must_use]
    pub fn open_split(&self, at: usize) -> Option<NodeId> {
        let tick = self.tick(at, &[SPLIT_OPENED, SPLIT_CLOSED])?;
        tick.of.iter().find_map(|of| match of {
            Ref::Node(node) if tick.item == SPLIT_OPENED => Some(node.clone()),
            _ => None,
        })
    }

    /// Why an item is nothing that a line or an amplifier has as things stand; none where it is.
    #[must_use]
    pub fn nothing_of(&self, item: &ListItem, of: &Ref) -> Option<&'static str> {
        let plan = self.site.plan();
        let line = match of {
            Ref::Line(line) => plan.line(line),
            _ => None,
        };
        let plain = |id: &AmplifierId| {
            let mut amplifiers = plan.amplifiers.iter();
            amplifiers.any(|it| it.id == *id && !it.voice_alarm)
        };
        match (item.of, of, line) {
            (ListOf::VoiceAlarm, Ref::Amplifier(id), _) if plain(id) => Some("no voice alarm"),
            (ListOf::InsulationLine, _, Some(at)) if !has_insulation(self.site, at) => {
                Some("insulation neither asked for nor read")
            }
            (_, _, Some(at)) if item.item == CORES_ON && !self.is_off(at) => {
                let moves = ToMove::of(self.site).has(&plan.lines[at].id);
                (!moves).then_some("not off")
            }
            _ => None,
        }
    }

    /// Whether a known resistor was read in this visit, the leads zeroed before.
    #[must_use]
    pub fn resistor_was_read(&self) -> bool {
        let (log, visit) = (self.site.log(), self.site.visit());
        let check = |what: &Do| matches!(what, Do::Check(check) if check.visit == visit);
        let mut entries = log.beside_lines();
        entries.any(|entry| check(&entry.what) && log.counts(&entry.id))
            || self.sent.iter().any(|what| check(what))
    }

    /// Why an item cannot be ticked for these lines, places in the plan: its own, or all of the
    /// amplifiers that it is ticked for. That something is not here is no more stopped than what it
    /// would be about, but for lines that read short or stand opened going back on.
    #[must_use]
    pub fn stop(
        &self,
        analyst: &Analyst,
        item: &ListItem,
        is: &TickIs,
        lines: &[usize],
    ) -> Option<Stop> {
        if *is != TickIs::Done && item.item != CORES_ON {
            return None;
        }
        if item.item == LEADS_ZEROED {
            return (!self.resistor_was_read()).then_some(Stop::NoResistor);
        }
        let of_amplifier = matches!(item.of, ListOf::Amplifier | ListOf::VoiceAlarm);
        let handed_back = item.when == ListWhen::Back && of_amplifier;
        if !handed_back && ![CORES_ON, JOINTS_CLOSED].contains(&item.item) {
            return None;
        }
        let named = |wanted: &dyn Fn(usize) -> bool| -> Option<Vec<String>> {
            let lines = lines.iter().copied().filter(|at| wanted(*at));
            let labels = lines.map(|at| self.site.plan().lines[at].label.clone());
            let labels: Vec<String> = labels.collect();
            (!labels.is_empty()).then_some(labels)
        };
        if item.item == CORES_ON {
            let limits = analyst.limits();
            if let Some(short) = named(&|at| analyst.line(at).is_stop(limits)) {
                return Some(Stop::Short(short));
            }
            if let Some(short) = named(&|at| analyst.line(at).is_unproven_stop()) {
                return Some(Stop::NotReadAgain(short));
            }
        }
        if let Some(opened) = named(&|at| self.open_split(at).is_some()) {
            return Some(Stop::Opened(opened));
        }
        if item.item == WITH_SOME_OFF {
            let limits = analyst.limits();
            let short =
                |at: usize| self.cores(at) == Cores::BackOn && analyst.line(at).is_stop(limits);
            let unproven =
                |at: usize| self.cores(at) == Cores::BackOn && analyst.line(at).is_unproven_stop();
            return named(&short)
                .map(Stop::Short)
                .or_else(|| named(&unproven).map(Stop::NotReadAgain));
        }
        if !handed_back {
            return None;
        }
        // A line that stays off for a reason that was said stands in nobody's way.
        let said = |at: usize| {
            let decision = &analyst.line(at).decision;
            decision.as_ref().is_some_and(Decision::leaves)
        };
        named(&|at| self.is_off(at) && !said(at)).map(Stop::Off)
    }

    /// Why nothing can be heard at a node of a line of the plan with this tone.
    #[must_use]
    pub fn unheard(&self, at: usize, node: usize, tone: &str) -> Option<Unheard> {
        let line = &self.site.plan().lines[at];
        if tone == AMPLIFIER_TONE && self.is_off(at) {
            return Some(Unheard::Off(line.label.clone()));
        }
        let cut = line.node(&self.open_split(at)?)?;
        let behind = line.beyond(cut);
        if !behind[node] {
            return None;
        }
        let silent = line.nodes.iter().zip(&behind);
        let silent = silent
            .filter(|(node, behind)| **behind && node.is_loudspeaker())
            .map(|(node, _)| node.label.clone());
        Some(Unheard::Opened {
            before: line.nodes[cut].label.clone(),
            silent: silent.collect(),
        })
    }
}
