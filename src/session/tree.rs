//! The rows of the tree: site, amplifiers, outputs, zones, lines.
//!
//! A level with one member is folded into the row above it: an amplifier with one output is that
//! output's row, an output that feeds one zone carries the zone's name, a zone of one line is that
//! line's row. Lines under a zone's row are set in.

use crate::site::{AmplifierId, LineId, OutputId, Plan};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::ops::Range;

/// What a row stands for; the cursor holds one of these, never a row number.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum RowId {
    /// The whole site.
    #[default]
    Site,
    /// An amplifier with several outputs.
    Amplifier(AmplifierId),
    /// An output.
    Output(OutputId),
    /// Neighbouring lines of one zone on an output that feeds several, named by the first of them.
    Zone(OutputId, LineId),
    /// A line.
    Line(LineId),
}

/// Whether rows hang on a row, and are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// None do: the site, a line.
    Not,
    /// They are shown.
    Open,
    /// They are folded away.
    Folded,
}

impl Branch {
    const fn folded(folded: bool) -> Self {
        if folded { Self::Folded } else { Self::Open }
    }
}

/// A row of the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeRow {
    /// What it stands for.
    pub id: RowId,
    /// What it says.
    pub title: String,
    /// Lines of the plan under it; for a line, itself.
    pub lines: Range<usize>,
    /// Place of its output in the plan, for an output, a zone or a line.
    pub output: Option<usize>,
    /// Whether rows hang on it, and are shown.
    pub branch: Branch,
    /// The row it hangs on.
    pub parent: Option<RowId>,
    /// Set in under a zone's row.
    pub inset: bool,
}

/// Every row in order, open branches unfolded.
#[must_use]
pub fn rows(plan: &Plan, label: &str, folded: &BTreeSet<RowId>) -> Vec<TreeRow> {
    let mut out = vec![TreeRow {
        id: RowId::Site,
        title: label.to_owned(),
        lines: 0..plan.lines.len(),
        output: None,
        branch: Branch::Not,
        parent: None,
        inset: false,
    }];
    for amplifier in &plan.amplifiers {
        let outputs = &plan.outputs[amplifier.outputs.clone()];
        let alone = outputs.len() == 1;
        let mut hidden = false;
        let mut parent = RowId::Site;
        if !alone {
            let id = RowId::Amplifier(amplifier.id.clone());
            hidden = folded.contains(&id);
            let lines = match (outputs.first(), outputs.last()) {
                (Some(first), Some(last)) => first.lines.start..last.lines.end,
                _ => 0..0,
            };
            out.push(TreeRow {
                id: id.clone(),
                title: amplifier.label.clone(),
                lines,
                output: None,
                branch: Branch::folded(hidden),
                parent: Some(RowId::Site),
                inset: false,
            });
            parent = id;
        }
        if !hidden {
            for at in amplifier.outputs.clone() {
                output_rows(plan, at, &parent, folded, &mut out);
            }
        }
    }
    out
}

fn output_rows(
    plan: &Plan,
    at: usize,
    parent: &RowId,
    folded: &BTreeSet<RowId>,
    out: &mut Vec<TreeRow>,
) {
    let output = &plan.outputs[at];
    let zones = zones(plan, &output.lines);
    let id = RowId::Output(output.id.clone());
    let is_folded = folded.contains(&id);
    let mut title = output_title(plan, at);
    if let [only] = &zones[..] {
        title = format!("{title}  {}", plan.lines[only.start].zone_label);
    }
    out.push(TreeRow {
        id: id.clone(),
        title,
        lines: output.lines.clone(),
        output: Some(at),
        branch: Branch::folded(is_folded),
        parent: Some(parent.clone()),
        inset: false,
    });
    if is_folded {
        return;
    }
    for zone in &zones {
        let mut under = id.clone();
        if zones.len() > 1 && zone.len() > 1 {
            let first = &plan.lines[zone.start];
            under = RowId::Zone(output.id.clone(), first.id.clone());
            let is_folded = folded.contains(&under);
            out.push(TreeRow {
                id: under.clone(),
                title: first.zone_label.clone(),
                lines: zone.clone(),
                output: Some(at),
                branch: Branch::folded(is_folded),
                parent: Some(id.clone()),
                inset: false,
            });
            if is_folded {
                continue;
            }
        }
        out.extend(zone.clone().map(|line| TreeRow {
            id: RowId::Line(plan.lines[line].id.clone()),
            title: plan.lines[line].label.clone(),
            lines: line..line + 1,
            output: Some(at),
            branch: Branch::Not,
            parent: Some(under.clone()),
            inset: under != id,
        }));
    }
}

/// How an output is called: by its amplifier, and by its own label where there are several.
#[must_use]
pub fn output_title(plan: &Plan, at: usize) -> String {
    let output = &plan.outputs[at];
    let siblings = plan.amplifiers.iter().find(|it| it.outputs.contains(&at));
    if siblings.is_some_and(|amplifier| amplifier.outputs.len() == 1) {
        output.amplifier.clone()
    } else {
        format!("{} out {}", output.amplifier, output.label)
    }
}

/// Runs of neighbouring lines that share a zone.
fn zones(plan: &Plan, lines: &Range<usize>) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = Vec::new();
    for at in lines.clone() {
        match out.last_mut() {
            Some(run) if plan.lines[run.start].zone == plan.lines[at].zone => run.end = at + 1,
            _ => out.push(at..at + 1),
        }
    }
    out
}
