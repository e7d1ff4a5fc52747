//! The flagged lines that a tick of the hand-back list is made for though nobody has said a word on them. A
//! tick says nothing of a line's load.
//!
//! Never here: whether it may be ticked.

use super::Why;
use crate::analysis::Analyst;
use crate::site::{Decision, ListItem, ListWhen, Site};

/// Labels of flagged lines among these, places in the plan, that an item is ticked for, each with why.
/// None for steps before a line is touched, nor of lines that are accepted or on the snag list.
#[must_use]
pub fn flagged_beside(
    site: &Site,
    analyst: &Analyst,
    item: &ListItem,
    lines: &[usize],
) -> Vec<(String, Why)> {
    if item.when != ListWhen::Back {
        return Vec::new();
    }
    let flagged = |at: &usize| {
        let why = super::line(analyst, *at)?;
        let said = &analyst.line(*at).decision;
        let settled = said.as_ref().is_some_and(Decision::leaves);
        let label = &site.plan().lines[*at].label;
        (!settled).then(|| (label.clone(), why))
    };
    lines.iter().filter_map(flagged).collect()
}
