//! A line that is on its amplifier, as far as ticks tell: a meter on it dies, and hands on it meet its
//! voltage. That is said, and asked about, before anything of it is recorded.
//!
//! Never here: that a line is dead. No tick proves that; it is proved at the line.

use super::Session;
use super::draft::INSULATION;
use super::keys::Action;
use super::mode::{Draft, DraftKind};
use super::view::Tone;
use crate::quantity::show;
use crate::review::{Cores, Lists};
use crate::site::AmplifierPlan;

/// The item of the rack list.
const DEVICES_OFF: &str = "devices-off";

impl Session {
    /// Whether a line of the plan went back on the amplifier, what is on its way to the disk counted in.
    pub(super) fn is_back_on(&self, at: usize) -> bool {
        self.situation().cores(at) == Cores::BackOn
    }

    /// What is said of a line that may be driven; none of one that is off, nor where nobody ticks that.
    pub(super) fn on_words(&self, at: usize) -> Option<String> {
        let label = &self.site.plan().lines[at].label;
        match self.situation().cores(at) {
            Cores::BackOn => Some(format!("{label} is back ON the amplifier")),
            Cores::NotTicked => Some(format!("{label} is not ticked OFF")),
            Cores::Off | Cores::Untold => None,
        }
    }

    /// The rows of the panel while a reading of such a line is typed.
    pub(super) fn on_rows(&self, at: usize, draft: &Draft) -> Vec<(&'static str, Tone)> {
        if draft.corrects.is_some() {
            return Vec::new();
        }
        let insulation = draft.kind == DraftKind::Insulation;
        let on = match self.situation().cores(at) {
            Cores::BackOn => Some(("back ON the amplifier: no meter on it", Tone::Alarm)),
            Cores::NotTicked if insulation => {
                Some(("not ticked OFF: no tester on it", Tone::Alarm))
            }
            _ => None,
        };
        let devices = (insulation && self.devices_wait(at))
            .then_some(("devices off is not ticked: g r", Tone::Alarm));
        let volts = insulation.then_some(("250 to 500 V on it; discharge after", Tone::Plain));
        on.into_iter().chain(devices).chain(volts).collect()
    }

    /// Whether nobody ticked that supervision, end-of-line devices and electronics are off a line whose
    /// insulation is asked for: the test voltage kills them, and they make it read low.
    fn devices_wait(&self, at: usize) -> bool {
        let plan = self.site.plan();
        let output = plan.lines[at].output;
        let own = |it: &AmplifierPlan| it.outputs.clone().any(|of| of == output);
        let amplifier = plan.amplifiers.iter().position(own);
        amplifier.is_some_and(|amplifier| {
            let rows = Lists::of(&self.site).rows(amplifier);
            let mut rows = rows.iter().filter(|row| row.line == Some(at));
            rows.any(|row| row.item.item == DEVICES_OFF && row.stands.waits())
        })
    }

    /// What is said of a reading that is taken up half typed: the caution that stood when it was begun.
    pub(super) fn caution_of_draft(&self, draft: &Draft) -> String {
        let at = self.site.plan().line(&draft.line);
        let on = at.and_then(|at| self.on_words(at));
        match (draft.kind, on) {
            _ if draft.corrects.is_some() => String::new(),
            // That it is not OFF has its row on the panel.
            (DraftKind::Insulation, _) => format!(". {INSULATION}"),
            (_, Some(on)) => format!(". {on}: no meter on it"),
            (_, None) => String::new(),
        }
    }

    /// What is asked of a reading of a line that went back on.
    pub(super) fn question_of_line_on(&self, draft: &Draft) -> Option<String> {
        let labels = self.drafted(draft, |at| self.is_back_on(at));
        let verb = if labels.len() == 1 { "is" } else { "are" };
        (!labels.is_empty()).then(|| {
            let what = match draft.kind {
                DraftKind::Insulation => "no tester, 250-500 V, on it",
                _ => "no meter on it",
            };
            format!(
                "{} {verb} back ON the amplifier: {what}. Read while it was OFF?",
                show::few(&labels, 3)
            )
        })
    }

    /// Whether opening a line that may be driven is asked about first.
    pub(super) fn asks_to_open(&mut self, at: usize) -> bool {
        let Some(on) = self.on_words(at) else {
            return false;
        };
        let volts = show::volt(self.site.plan().lines[at].volts);
        let question = format!(
            "{on}: up to {volts} on it. First off, locked, proved dead: g r; b again opens it"
        );
        self.asks_first(Action::Break, question)
    }
}
