//! What rows of the assessment are called, and what sort they are of, in the words of every page.
//!
//! Never here: what is worse than what.

use super::record_rows::{DriftRow, ReviewRow};
use super::rows::{HintRow, LineRow, OutputRow};
use crate::diagnosis::FaultKind;
use crate::review::{Matter, Why};
use crate::site::Decision;
use crate::verdict::{LineWord, OutputWord};

fn output_name(amplifier: &str, output: &str) -> String {
    format!("{amplifier} out {output}")
}

impl OutputRow {
    /// As people call it: `A1 out 2`.
    #[must_use]
    pub fn name(&self) -> String {
        output_name(&self.amplifier, &self.output)
    }

    /// Whether it carries more than its rating, every line on, or must not be on at all.
    pub(super) fn is_overloaded(&self) -> bool {
        self.verdict == OutputWord::Over.as_str()
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
        self.kind == FaultKind::None
    }
}

impl LineRow {
    /// The output that it is drawn on, as people call it: `A1 out 2`.
    pub(super) fn output_name(&self) -> String {
        output_name(&self.amplifier, &self.output)
    }

    /// Whether it is out of tolerance.
    pub(super) fn is_out(&self) -> bool {
        self.verdict == Some(LineWord::Out.as_str())
    }

    /// Nothing was read of it; a line that is to be read again was.
    pub(super) fn is_unread(&self) -> bool {
        self.verdict == Some("unmeasured") && !self.reread
    }

    /// Its verdict as it is printed.
    pub(super) fn verdict_told(&self) -> Option<&'static str> {
        match self.reread || self.doubted {
            true => Some("read-again"),
            false => self.verdict,
        }
    }

    /// What it is counted as: readings that do not agree make no line right, nor one that is out less so.
    pub(super) fn counted_as(&self) -> Option<&'static str> {
        match self.verdict {
            Some("in-tolerance" | "unmeasured") => self.verdict_told(),
            verdict => verdict,
        }
    }

    /// Loudspeakers that were listened to and gave no sound, or not the one that was wanted, each with what
    /// was heard: `LS-6 silent`.
    pub(super) fn not_heard_well(&self) -> Vec<String> {
        let nodes = self.nodes.iter().filter_map(|node| {
            let wrong = node.gives.filter(|it| it.is_wrong())?;
            Some(format!("{} {}", node.at, wrong.word()))
        });
        nodes.collect()
    }
}

impl ReviewRow {
    /// It is about a fault, or about what may be one: not merely unread, OFF, or not listened to.
    pub(super) const fn is_about_a_fault(&self) -> bool {
        !matches!(
            self.matter,
            Matter::Unread | Matter::Off | Matter::NotListened | Matter::NoInsulation
        )
    }

    /// It is on the snag list, of this visit or of an earlier one.
    pub(super) fn is_snag(&self) -> bool {
        let said = self.said.as_ref();
        said.is_some_and(|it| matches!(it.is, Decision::Snag { .. }))
    }
}

impl DriftRow {
    /// Whether it is to be looked at, as found or as left.
    pub(super) fn is_called(&self) -> bool {
        self.left.called || self.as_found.as_ref().is_some_and(|it| it.called)
    }
}
