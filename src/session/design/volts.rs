//! A line on an output of another line voltage: its taps take other watts there, and that is asked about
//! before it counts.

use super::built::Built;
use super::describe;
use super::drawn::Drawn;
use crate::quantity::{Volt, show};
use crate::session::Session;
use crate::session::keys::Action;
use crate::site::{Design, Elements, OutputId, Ref};

/// A line that changes to another voltage.
struct Crossing {
    label: String,
    was: Volt,
    output: String,
    now: Volt,
}

/// The first line that these changes put on an output of another line voltage than its own has.
fn crossing(elements: &Elements, built: &Built) -> Option<Crossing> {
    let drawn = Drawn(elements);
    let volts = |id: &OutputId| match drawn.standing(&Ref::Output(id.clone())) {
        Some(Design::Output(it)) => Some(it.volts),
        _ => None,
    };
    built.changes.iter().find_map(|(of, now)| {
        let (Design::Line(now), Some(Design::Line(was))) = (now, drawn.standing(of)) else {
            return None;
        };
        let (before, after) = (volts(&was.output)?, volts(&now.output)?);
        (before != after).then(|| Crossing {
            label: was.label.clone(),
            was: before,
            output: describe::output_text(drawn, &now.output),
            now: after,
        })
    })
}

impl Session {
    /// Whether a line that goes to an output of another voltage is asked about first.
    pub(super) fn asks_of_volts(&mut self, ahead: &Elements, built: &Built) -> bool {
        let Some(it) = crossing(ahead, built) else {
            return false;
        };
        let question = format!(
            "{} is a {} line, {} gives {}: its taps are other watts there. Enter once more does it",
            it.label,
            show::volt(it.was),
            it.output,
            show::volt(it.now)
        );
        self.asks_first(Action::Enter, question)
    }

    /// The same for the panel, while it is typed.
    pub(in crate::session) fn volts_words(&self, built: &Built) -> Option<String> {
        let it = crossing(&self.elements_ahead(), built)?;
        Some(format!(
            "from {} to {}: its taps are other watts there",
            show::volt(it.was),
            show::volt(it.now)
        ))
    }
}
