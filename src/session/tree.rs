//! The rows of the tree: site, amplifiers, outputs, zones, lines.
//!
//! A level with one member is folded into the row above it: an amplifier with one output is that
//! output's row, an output that feeds one zone carries the zone's name, a zone of one line is that
//! line's row. Lines under a zone's row are set in. Zone by zone and worst first the racks give way
//! to the zones of the building, or to nothing.

use super::order::Order;
use crate::site::{AmplifierId, LineId, OutputId, Plan, ZoneId};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeSet, HashSet};
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
    /// A zone of the building, over all outputs.
    WholeZone(ZoneId),
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
    pub lines: Vec<usize>,
    /// Place of its output in the plan, for an output, a zone or a line.
    pub output: Option<usize>,
    /// Whether rows hang on it, and are shown.
    pub branch: Branch,
    /// The row it hangs on.
    pub parent: Option<RowId>,
    /// Set in under a zone's row.
    pub inset: bool,
}

/// Which lines stand in the tree, and how.
#[derive(Clone, Debug, Default)]
pub struct Shape {
    /// The order.
    pub order: Order,
    /// Every line, in that order.
    pub lines: Vec<usize>,
    /// The lines to be shown; none: all of them.
    pub shown: Option<HashSet<LineId>>,
}

impl Shape {
    fn shows(&self, plan: &Plan, line: usize) -> bool {
        self.shown
            .as_ref()
            .is_none_or(|shown| shown.contains(&plan.lines[line].id))
    }

    fn shows_any(&self, plan: &Plan, lines: Range<usize>) -> bool {
        self.shown.is_none() || lines.into_iter().any(|line| self.shows(plan, line))
    }
}

/// Every row in order, open branches unfolded.
#[must_use]
pub fn rows(plan: &Plan, label: &str, folded: &BTreeSet<RowId>, shape: &Shape) -> Vec<TreeRow> {
    let mut out = vec![TreeRow {
        id: RowId::Site,
        title: label.to_owned(),
        lines: (0..plan.lines.len()).collect(),
        output: None,
        branch: Branch::Not,
        parent: None,
        inset: false,
    }];
    match shape.order {
        Order::Rack => rack_rows(plan, folded, shape, &mut out),
        Order::Zone => zone_rows(plan, folded, shape, &mut out),
        Order::Worst => {
            let shown = shape.lines.iter().filter(|at| shape.shows(plan, **at));
            out.extend(shown.map(|at| line_row(plan, *at, RowId::Site, false)));
        }
    }
    out
}

fn line_row(plan: &Plan, at: usize, parent: RowId, inset: bool) -> TreeRow {
    TreeRow {
        id: RowId::Line(plan.lines[at].id.clone()),
        title: plan.lines[at].label.clone(),
        lines: vec![at],
        output: Some(plan.lines[at].output),
        branch: Branch::Not,
        parent: Some(parent),
        inset,
    }
}

fn zone_rows(plan: &Plan, folded: &BTreeSet<RowId>, shape: &Shape, out: &mut Vec<TreeRow>) {
    for lines in shape
        .lines
        .chunk_by(|a, b| plan.lines[*a].zone == plan.lines[*b].zone)
    {
        let shown: Vec<usize> = lines
            .iter()
            .copied()
            .filter(|at| shape.shows(plan, *at))
            .collect();
        let Some(first) = shown.first().map(|at| &plan.lines[*at]) else {
            continue;
        };
        let id = RowId::WholeZone(first.zone.clone());
        let is_folded = folded.contains(&id);
        out.push(TreeRow {
            id: id.clone(),
            title: first.zone_label.clone(),
            lines: lines.to_vec(),
            output: None,
            branch: Branch::folded(is_folded),
            parent: Some(RowId::Site),
            inset: false,
        });
        if !is_folded {
            out.extend(
                shown
                    .iter()
                    .map(|at| line_row(plan, *at, id.clone(), false)),
            );
        }
    }
}

fn rack_rows(plan: &Plan, folded: &BTreeSet<RowId>, shape: &Shape, out: &mut Vec<TreeRow>) {
    for amplifier in &plan.amplifiers {
        let outputs = &plan.outputs[amplifier.outputs.clone()];
        let alone = outputs.len() == 1;
        let mut hidden = false;
        let mut parent = RowId::Site;
        let lines = match (outputs.first(), outputs.last()) {
            (Some(first), Some(last)) => first.lines.start..last.lines.end,
            _ => 0..0,
        };
        if !shape.shows_any(plan, lines.clone()) {
            continue;
        }
        if !alone {
            let id = RowId::Amplifier(amplifier.id.clone());
            hidden = folded.contains(&id);
            out.push(TreeRow {
                id: id.clone(),
                title: amplifier.label.clone(),
                lines: lines.collect(),
                output: None,
                branch: Branch::folded(hidden),
                parent: Some(RowId::Site),
                inset: false,
            });
            parent = id;
        }
        if !hidden {
            for at in amplifier.outputs.clone() {
                output_rows(plan, at, &parent, (folded, shape), out);
            }
        }
    }
}

fn output_rows(
    plan: &Plan,
    at: usize,
    parent: &RowId,
    (folded, shape): (&BTreeSet<RowId>, &Shape),
    out: &mut Vec<TreeRow>,
) {
    let output = &plan.outputs[at];
    if !shape.shows_any(plan, output.lines.clone()) {
        return;
    }
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
        lines: output.lines.clone().collect(),
        output: Some(at),
        branch: Branch::folded(is_folded),
        parent: Some(parent.clone()),
        inset: false,
    });
    if is_folded {
        return;
    }
    for zone in &zones {
        if !shape.shows_any(plan, zone.clone()) {
            continue;
        }
        let mut under = id.clone();
        if zones.len() > 1 && zone.len() > 1 {
            let first = &plan.lines[zone.start];
            under = RowId::Zone(output.id.clone(), first.id.clone());
            let is_folded = folded.contains(&under);
            out.push(TreeRow {
                id: under.clone(),
                title: first.zone_label.clone(),
                lines: zone.clone().collect(),
                output: Some(at),
                branch: Branch::folded(is_folded),
                parent: Some(id.clone()),
                inset: false,
            });
            if is_folded {
                continue;
            }
        }
        let shown = zone.clone().filter(|line| shape.shows(plan, *line));
        out.extend(shown.map(|line| line_row(plan, line, under.clone(), under != id)));
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
        output.name()
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
