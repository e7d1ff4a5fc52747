//! A line that is on its amplifier, as far as ticks tell: a meter on it dies, and hands on it meet its
//! voltage. That is said, and asked about, before anything of it is recorded.
//!
//! Never here: that a line is dead. No tick proves that; it is proved at the line.

use super::Session;
use super::keys::Action;
use super::mode::{Draft, DraftKind};
use super::view::Tone;
use crate::quantity::show;
use crate::review::Cores;

impl Session {
    /// Whether a line of the plan went back on the amplifier, what is on its way to the disk counted in.
    pub(super) fn is_back_on(&self, at: usize) -> bool {
        self.stands().cores(at) == Cores::BackOn
    }

    /// What is said of a line that may be driven; none of one that is off, nor where nobody ticks that.
    pub(super) fn on_words(&self, at: usize) -> Option<String> {
        let label = &self.site.plan().lines[at].label;
        match self.stands().cores(at) {
            Cores::BackOn => Some(format!("{label} is back ON the amplifier")),
            Cores::NotTicked => Some(format!("{label} is not ticked OFF")),
            Cores::Off | Cores::Untold => None,
        }
    }

    /// The row of the panel while a reading of such a line is typed.
    pub(super) fn on_row(&self, at: usize, draft: &Draft) -> Option<(&'static str, Tone)> {
        let insulation = draft.kind == DraftKind::Insulation;
        match self.stands().cores(at) {
            _ if draft.corrects.is_some() => None,
            Cores::BackOn => Some(("back ON the amplifier: no meter on it", Tone::Alarm)),
            Cores::NotTicked if insulation => {
                Some(("not ticked OFF: no tester on it", Tone::Plain))
            }
            _ if insulation => Some(("250 to 500 V on it; discharge after", Tone::Plain)),
            _ => None,
        }
    }

    /// What is asked of a reading of a line that went back on.
    pub(super) fn question_of_line_on(&self, draft: &Draft) -> Option<String> {
        let labels = self.drafted(draft, |at| self.is_back_on(at));
        let verb = if labels.len() == 1 { "is" } else { "are" };
        (!labels.is_empty()).then(|| {
            format!(
                "{} {verb} back ON the amplifier: no meter on it. Read while it was OFF?",
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
