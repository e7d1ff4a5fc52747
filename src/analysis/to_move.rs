//! Lines that were tried out on another output and applied: the drawing moved, the cores did not. Each
//! stands until somebody says that they went over, by the tick that the cores are back on or a repair; until
//! then its load is on the output where its cores are.
//!
//! Never here: what is drawn; who moves them; how it is said.

use super::Analyst;
use crate::site::{
    CORES_ON, Design, Do, Edit, Entry, LineId, OutputId, Ref, Site, TRIED_OUT, Tick, TickIs,
    in_order,
};
use std::collections::BTreeMap;

/// Of each line whose cores are still to be moved the output that they are on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ToMove(BTreeMap<LineId, OutputId>);

impl ToMove {
    /// Of a site, by what was applied and what was ticked or repaired after it.
    #[must_use]
    pub fn of(site: &Site) -> Self {
        let log = site.log();
        let mut moves: BTreeMap<&LineId, Vec<(&Entry, &Edit)>> = BTreeMap::new();
        for entry in log.beside_lines().filter(|entry| log.counts(&entry.id)) {
            if let Do::Edit(edit) = &entry.what
                && let Ref::Line(line) = &edit.of
                && outputs(edit).is_some_and(|(was, now)| was != now)
            {
                moves.entry(line).or_default().push((entry, edit));
            }
        }
        let mut out = BTreeMap::new();
        for (id, mut edits) in moves {
            edits.sort_by(|a, b| in_order(a.0, b.0));
            let Some(at) = site.plan().line(id) else {
                continue;
            };
            let history = site.history(id);
            let said = history.entries().iter().rev();
            let said = said.copied().find(|entry| says_moved(entry, id));
            let mut on: Option<&OutputId> = None;
            for (entry, edit) in edits {
                let Some((was, now)) = outputs(edit) else {
                    continue;
                };
                let before = said.is_some_and(|said| in_order(entry, said).is_lt());
                on = match on {
                    _ if before || !is_tried(site, entry, edit) => None,
                    None => Some(was),
                    on => on,
                };
                on = on.filter(|on| *on != now);
            }
            let drawn = &site.plan().outputs[site.plan().lines[at].output].id;
            if let Some(on) = on.filter(|on| *on != drawn) {
                out.insert(id.clone(), on.clone());
            }
        }
        Self(out)
    }

    /// Whether the cores of a line are still to be moved.
    #[must_use]
    pub fn has(&self, line: &LineId) -> bool {
        self.0.contains_key(line)
    }

    /// The output that the cores of a line are on, where it is drawn on another.
    #[must_use]
    pub fn on(&self, line: &LineId) -> Option<&OutputId> {
        self.0.get(line)
    }

    /// Lines whose cores are still to be moved, each with the output that they are on.
    pub fn all(&self) -> impl Iterator<Item = (&LineId, &OutputId)> {
        self.0.iter()
    }
}

impl Analyst {
    /// Lines whose cores are still to be moved.
    #[must_use]
    pub const fn to_move(&self) -> &ToMove {
        &self.to_move
    }

    /// The output that the cores of a line are on, both by their place in the plan. One that is OFF goes back
    /// where it is drawn.
    #[must_use]
    pub fn output_of(&self, site: &Site, line: usize) -> usize {
        let plan = site.plan();
        let drawn = &plan.lines[line];
        let on = self.to_move.on(&drawn.id);
        on.filter(|_| !self.line(line).off)
            .and_then(|on| plan.outputs.iter().position(|it| it.id == *on))
            .unwrap_or(drawn.output)
    }

    /// Lines whose cores are on an output, or go back on it, by their place in the plan.
    #[must_use]
    pub fn lines_on(&self, site: &Site, output: usize) -> Vec<usize> {
        let plan = site.plan();
        let others = self.to_move.all().filter_map(|(line, _)| plan.line(line));
        let mut out: Vec<usize> = plan.outputs[output].lines.clone().collect();
        out.extend(others);
        out.sort_unstable();
        out.dedup();
        out.retain(|line| self.output_of(site, *line) == output);
        out
    }
}

/// The outputs that an edit of a line moves it from and to.
fn outputs(edit: &Edit) -> Option<(&OutputId, &OutputId)> {
    match (edit.was.first().map(|(_, design)| design), &edit.now) {
        (Some(Design::Line(was)), Design::Line(now)) => Some((&was.output, &now.output)),
        _ => None,
    }
}

/// Whether it was tried out and applied, or does such a one again.
fn is_tried(site: &Site, entry: &Entry, edit: &Edit) -> bool {
    let tried = |entry: &Entry| {
        let why = entry.why.as_deref();
        why.is_some_and(|why| why.starts_with(TRIED_OUT))
    };
    let before = |edit: &Edit| -> Option<&Entry> { site.log().get(edit.undoes.as_ref()?) };
    let (mut entry, mut edit) = (entry, edit);
    // What takes back what was taken back does it again.
    for _ in 0..site.log().entries().len() {
        if tried(entry) {
            return true;
        }
        let twice = before(edit).and_then(|undone| match &undone.what {
            Do::Edit(undone) => before(undone),
            _ => None,
        });
        match twice.map(|again| (again, &again.what)) {
            Some((again, Do::Edit(next))) => (entry, edit) = (again, next),
            _ => return false,
        }
    }
    false
}

/// Whether an entry says that the cores of a line are where they are drawn.
fn says_moved(entry: &Entry, line: &LineId) -> bool {
    match &entry.what {
        Do::Tick(Tick { item, of, is, .. }) => {
            item == CORES_ON && *is == TickIs::Done && of.contains(&Ref::Line(line.clone()))
        }
        Do::Repair(_) => true,
        _ => false,
    }
}
