//! What rows of the assessment are called, in the words of every page.
//!
//! Never here: what is worse than what.

use super::record_rows::DriftRow;
use super::rows::{HintRow, LineRow, OutputRow, SiteWideRow};
use crate::diagnosis::FaultKind;
use crate::review::Why;

impl OutputRow {
    /// As people call it: `A1 out 2`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} out {}", self.amplifier, self.output)
    }

    /// Its verdict in the words of every page.
    pub(super) fn word(&self) -> &'static str {
        match self.verdict {
            "unknown" => "no rating known",
            "overloaded" => Why::Over.words(),
            "short-of-headroom" => Why::Tight.words(),
            word => word,
        }
    }
}

impl HintRow {
    /// It is that nothing is wrong.
    pub(super) fn is_no_fault(&self) -> bool {
        self.fault == FaultKind::None.as_str()
    }
}

impl SiteWideRow {
    /// What it would be: its sentence without the test at its end.
    pub(super) fn claim(&self) -> &str {
        self.text.rsplit_once("; ").map_or(&self.text, |it| it.0)
    }

    /// The test at its end.
    pub(super) fn test(&self) -> &str {
        self.text.rsplit_once("; ").map_or(&self.text, |it| it.1)
    }
}

impl LineRow {
    /// Loudspeakers that were listened to and gave no sound, or not the one that was wanted, each with what
    /// was heard: `LS-6 silent`.
    #[must_use]
    pub fn not_heard_well(&self) -> Vec<String> {
        let nodes = self.nodes.iter().filter_map(|node| {
            let wrong = node.gives.filter(|it| it.is_wrong())?;
            Some(format!("{} {}", node.at, wrong.word()))
        });
        nodes.collect()
    }
}

impl DriftRow {
    /// Whether it is to be looked at, as found or as left.
    pub(super) fn is_called(&self) -> bool {
        self.left.called || self.as_found.as_ref().is_some_and(|it| it.called)
    }
}
