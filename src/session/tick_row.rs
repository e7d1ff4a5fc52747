//! A row of the rack list as data: what it is of, and how it stands.

use crate::review::{Late, ListStands};
use crate::site::{Entry, LineId, ListItem, OutputId};
use serde::{Deserialize, Serialize};

/// Items that are told or done once for the building, and ticked for each amplifier all the same.
const OF_BUILDING: [&str; 4] = ["told", "cover", "cover-down", "signed"];

/// Whether one tick may serve every amplifier: what is done at each of them is ticked at each.
pub(super) fn is_of_building(item: &ListItem) -> bool {
    OF_BUILDING.contains(&item.item)
}

/// A row of the rack list; the cursor there holds one of these.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TickId {
    /// The item's name.
    pub item: String,
    /// The line it is for; none for the amplifier, for the visit, and for several lines at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<LineId>,
    /// The output whose lines it is for at once, where the amplifier has several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub output: Option<OutputId>,
}

/// A row of the rack list as it stands.
#[derive(Clone, Debug)]
pub(super) struct TickRow<'a> {
    /// Which row.
    pub id: TickId,
    /// Its item.
    pub item: &'static ListItem,
    /// Lines that it is of: one, or of several those that wait, or all where none does; none of an item of the
    /// amplifier or of the visit.
    pub lines: Vec<usize>,
    /// How it stands; of several lines that it waits where any of them does.
    pub stands: ListStands<'a>,
    /// What was read of it since it was ticked.
    pub read_since: Option<&'a Entry>,
    /// What was read before it was ticked.
    pub late: Option<Late>,
}

impl TickRow<'_> {
    /// Whether a tick of it is wanted, by the rule of the lists: none yet, or a reading since.
    pub const fn is_due(&self) -> bool {
        self.stands.waits() || self.read_since.is_some()
    }
}
