//! Flagged lines beside a tick for handing back: said before it is ticked and after, since a tick says
//! nothing of their load.

use super::Session;
use super::rack::TickRow;
use super::view::text::few;
use crate::review::{flagged_beside, lines_in};
use crate::site::{Do, Entry, ListOf, TickIs, list_item};

/// So many lines are named on the message line, whose eighty cells hold the lines ticked as well.
const MOST_NAMED: usize = 1;

impl Session {
    /// Flagged lines that a row of the rack list is ticked for, each with why: `TH-1 reads open`.
    pub(super) fn flagged_under(&self, row: &TickRow<'_>) -> Vec<String> {
        let lines = match (row.item.of, self.amplifier_under()) {
            (ListOf::Amplifier | ListOf::VoiceAlarm, Some(at)) => self.lines_of_amplifier(at),
            _ => row.lines.clone(),
        };
        let flagged = flagged_beside(&self.site, &self.analyst, row.item, &lines);
        let words = flagged
            .iter()
            .map(|(label, why)| format!("{label} {}", why.words()));
        words.collect()
    }

    /// The same of a tick that was recorded, for the message.
    pub(super) fn flagged_words(&self, entry: &Entry) -> Option<String> {
        let Do::Tick(tick) = &entry.what else {
            return None;
        };
        if tick.is != TickIs::Done {
            return None;
        }
        let lines = tick.of.iter().flat_map(|of| lines_in(&self.site, of));
        let lines: Vec<usize> = lines.collect();
        let item = list_item(&tick.item)?;
        let flagged = flagged_beside(&self.site, &self.analyst, item, &lines);
        let labels: Vec<String> = flagged.into_iter().map(|(label, _)| label).collect();
        (!labels.is_empty()).then(|| format!("flagged: {}", few(&labels, MOST_NAMED)))
    }
}
