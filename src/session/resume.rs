//! Where the engineer stood: cursor, open branches, what was half typed. Text for the user's state
//! folder, never for the site file.

use super::keys::Place;
use super::mode::{Draft, Words};
use super::order::Arrangement;
use super::rack::TickId;
use super::tree::RowId;
use crate::site::{EntryId, InstrumentId, NodeId, Ref};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Where the engineer stood.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resume {
    /// Version of this text.
    pub version: u32,
    /// The row the cursor was on.
    pub cursor: RowId,
    /// Branches that were folded.
    pub folded: BTreeSet<RowId>,
    /// What was half typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draft: Option<Draft>,
    /// Words of a repair that were half typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<Words>,
    /// Page of the panel.
    pub page: usize,
    /// Where on its cable the line under the cursor was being walked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walking: Option<NodeId>,
    /// The place worked in.
    #[serde(default)]
    pub place: Place,
    /// The row of instruments, visits and figures, where those were open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kit: Option<Ref>,
    /// The row of the rack list, where that was open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ticking: Option<TickId>,
    /// Whether the review was open.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub reviewing: bool,
    /// What the review's row was about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reviewed: Option<Ref>,
    /// Order and filter.
    #[serde(default)]
    pub arranged: Arrangement,
    /// Instruments chosen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub chosen: Vec<InstrumentId>,
    /// Entries of the act done last: the next sitting may still take it back.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub last: Vec<EntryId>,
}

impl Resume {
    /// The version written now.
    pub const VERSION: u32 = 1;

    /// As text.
    #[must_use]
    pub fn to_text(&self) -> String {
        ron::to_string(self).unwrap_or_default()
    }

    /// From text. A text of another version, or damaged, is no place to stand: the engineer starts
    /// at the first unread line, and nothing recorded is touched by that.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        ron::from_str::<Self>(text)
            .ok()
            .filter(|resume| resume.version == Self::VERSION)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::mode::DraftKind;
    use crate::session::order::{Only, Order};

    #[test]
    fn where_the_engineer_stood_survives_as_text() {
        let resume = Resume {
            version: Resume::VERSION,
            cursor: RowId::Line("R-04".into()),
            folded: [RowId::Output("A1/2".into())].into(),
            draft: Some(Draft::new("R-04".into(), DraftKind::Impedance, "41x")),
            words: None,
            page: 1,
            walking: Some("R-04/LS-7".into()),
            place: Place::Kit,
            kit: Some(Ref::Figure("tolerance".into())),
            ticking: Some(TickId {
                item: "told".into(),
                line: None,
                output: None,
            }),
            reviewing: true,
            reviewed: Some(Ref::Line("R-04".into())),
            arranged: Arrangement {
                order: Order::Worst,
                sorted: vec!["R-04".into()],
                only: Only::Unread,
                shown: vec!["R-04".into()],
            },
            chosen: vec!["meter".into()],
            last: vec!["w-7".into()],
        };
        assert_eq!(Resume::from_text(&resume.to_text()), Some(resume));
        assert_eq!(Resume::from_text("(version: 9)"), None);
        assert_eq!(Resume::from_text("\u{0}"), None);
    }
}
