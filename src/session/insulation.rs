//! What is said of an insulation reading: what it is worth while it is typed and when it is recorded, that
//! its voltage was assumed, and what is done with the cores after it.
//!
//! Never here: what a low one outlives (`analysis`).

use super::Session;
use super::mode::{Draft, DraftKind, Reads};
use super::view::Tone;
use crate::analysis::InsulationResult;
use crate::quantity::{Insulation, Ohm, Volt, show};
use crate::review::Cores;
use crate::site::{EntryId, Insulate};
use crate::verdict::{self, InsulationWord};

/// Said wherever an insulation reading was just taken.
const DISCHARGE: &str = "Discharge both cores";

/// How the other of the two usual voltages is typed.
const fn other(volts: Volt) -> &'static str {
    if volts.get() == 500.0 { "v250" } else { "v500" }
}

impl Session {
    /// Whether the voltage of what stands of a line was assumed in this sitting.
    pub(super) fn is_assumed(&self, at: usize, stands: &InsulationResult) -> bool {
        let line = &self.site.plan().lines[at].id;
        let mut assumed = self.assumed_volts.iter().filter_map(|id| self.sent(id));
        assumed.any(|entry| entry.at == stands.at && entry.what.line() == Some(line))
    }

    /// The voltage that a test of a line of the plan is taken to be at where none is typed. IEC 60364-6:
    /// 250 V for SELV and PELV circuits, 500 V up to 500 V.
    pub(super) fn usual_test_v(&self, at: usize) -> Volt {
        Volt(if self.is_elv(at) { 250.0 } else { 500.0 })
    }

    fn is_elv(&self, at: usize) -> bool {
        self.site.plan().outputs[self.site.plan().lines[at].output].elv
    }

    /// `LOW, least 1 Mohm`, and whether it wants a look.
    fn insulation_worth(&self, at: usize, value: Insulation, volts: Volt) -> (String, bool) {
        let (limits, elv) = (self.analyst.limits(), self.is_elv(at));
        let least: Ohm = verdict::least_insulation(elv, Some(volts), limits);
        let word = verdict::insulation(value, elv, Some(volts), limits);
        let said = match word {
            InsulationWord::In => "ok",
            InsulationWord::Unknown => "not told",
            InsulationWord::Low => "LOW",
        };
        let words = format!("{said}, least {}", show::ohm(least));
        (words, word == InsulationWord::Low)
    }

    /// The panel's words for one that is typed; none where it does not read yet, or of something else.
    pub(super) fn insulation_typed(&self, at: usize, draft: &Draft) -> Option<(String, Tone)> {
        let Ok(Reads::Insulation(value, leg, said)) = draft.read() else {
            return None;
        };
        let volts = said.unwrap_or_else(|| self.usual_test_v(at));
        let assumed = match said {
            None => format!(", assumed ({} typed behind it says another)", other(volts)),
            Some(_) => String::new(),
        };
        let (worth, low) = self.insulation_worth(at, value, volts);
        let words = format!(
            "insulation {} at {}{}{assumed}: {worth}",
            show::insulation(value),
            show::volt(volts),
            leg.behind()
        );
        Some((words, if low { Tone::Alarm } else { Tone::Draft }))
    }

    /// What follows its title in the message once it is recorded, and whether it wants a look.
    pub(super) fn insulation_outcome(&self, entry: &EntryId, it: &Insulate) -> (String, bool) {
        let Some(at) = self.site.plan().line(&it.line) else {
            return (String::new(), false);
        };
        let assumed = match self.assumed_volts.contains(entry) {
            true => format!(
                ", assumed (u, then {} behind it: another)",
                other(it.test_v)
            ),
            false => String::new(),
        };
        let (worth, low) = self.insulation_worth(at, it.value, it.test_v);
        let stands = self.analyst.line(at).insulation.as_ref();
        if let Some(before) = stands.filter(|it| !low && it.later.is_some()) {
            let words = format!(
                "{}; LOW {} at {}{} of {} stands: j if repaired. {DISCHARGE}",
                if assumed.is_empty() { "" } else { ", assumed" },
                show::insulation(before.value),
                show::volt(before.test_v),
                before.leg.behind(),
                self.clock(before.at)
            );
            return (words, true);
        }
        (format!("{assumed}: {worth}. {DISCHARGE}"), low)
    }

    /// What is asked of one of a line that others were ticked OFF beside, and this not.
    pub(super) fn question_of_tester(&self, draft: &Draft) -> Option<String> {
        if draft.kind != DraftKind::Insulation {
            return None;
        }
        let labels = self.drafted(draft, |at| self.situation().cores(at) == Cores::NotTicked);
        let verb = if labels.len() == 1 { "is" } else { "are" };
        (!labels.is_empty()).then(|| {
            format!(
                "{} {verb} not ticked OFF: 250-500 V goes into what is on it. Was it OFF?",
                show::few(&labels, 3)
            )
        })
    }
}
