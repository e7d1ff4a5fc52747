//! Two readings of one thing that do not agree, in words: by how much, and what to do.

use super::Session;
use crate::analysis::Disagreement;
use crate::quantity::show;
use crate::site::EntryId;

impl Session {
    /// Said of a line whose readings do not agree, one sentence a place.
    pub(super) fn disagreement_rows(&self, at: usize) -> Vec<String> {
        let all = self.analyst.disagreements(&self.site, at);
        let words = |it: &Disagreement| {
            let place = match (&it.cut, it.dc) {
                (Some(cut), _) => self.cut_words(cut),
                (None, true) => "ohmmeter".to_owned(),
                (None, false) => "the line whole".to_owned(),
            };
            let (before, time) = (show::value(it.before.0), self.clock(it.before.1));
            let apart = it.apart.map_or_else(String::new, |apart| {
                format!(
                    ", {} apart, {} explained",
                    show::percent(apart),
                    show::percent(it.explained)
                )
            });
            format!(
                "{place}: {before} at {time}, then {}{apart}: read it again; x corrects one; j if it was changed",
                show::value(it.after)
            )
        };
        all.iter().map(words).collect()
    }

    /// The same of a reading that was just recorded, for the message.
    pub(super) fn disagreement_words(&self, at: usize, entry: &EntryId) -> Option<String> {
        let all = self.analyst.disagreements(&self.site, at);
        let it = all.iter().find(|it| it.entry == *entry)?;
        let (before, time) = (show::value(it.before.0), self.clock(it.before.1));
        Some(format!(
            "; does not agree with {before} of {time}: read it again"
        ))
    }
}
