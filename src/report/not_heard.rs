//! Loudspeakers that were listened to and gave no sound, or not the one that was wanted.
//!
//! Never here: what that may come of.

use super::rows::LineRow;
use crate::site::Heard;

impl LineRow {
    /// Those of the line, each with what was heard: `LS-6 silent`.
    #[must_use]
    pub fn not_heard_well(&self) -> Vec<String> {
        let wrong = [Heard::Silent, Heard::Quiet, Heard::Loud, Heard::Distorted];
        let nodes = self.nodes.iter().filter_map(|node| {
            let word = node.heard?;
            let is_wrong = wrong.iter().any(|it| it.word() == word);
            is_wrong.then(|| format!("{} {word}", node.at))
        });
        nodes.collect()
    }
}
