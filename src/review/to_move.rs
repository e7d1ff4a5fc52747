//! Lines that were tried out on another output and applied: the drawing moved, the cores did not. Each
//! stands until somebody says that they went over, by the tick that the cores are back on or a repair.
//!
//! Never here: what is drawn; who moves them.

use super::scope::label_of;
use crate::site::{
    CORES_ON, Design, Do, Edit, Entry, LineId, OutputId, Ref, Site, TRIED_OUT, Tick, TickIs,
    in_order,
};
use std::collections::BTreeMap;

/// Of each line whose cores are still to be moved the output that they are on.
#[derive(Clone, Debug, Default)]
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

    /// What the load of an output says that its lines are drawn, not where their cores are, in words:
    /// `; LH-3 counted as drawn, cores still on A2 out 1`. Nothing where all cores are where they are
    /// drawn, or OFF.
    #[must_use]
    pub fn beside(&self, site: &Site, output: usize) -> String {
        let plan = site.plan();
        let own = &plan.outputs[output].id;
        let label = |id: &OutputId| label_of(site, &Ref::Output(id.clone()));
        let mut words = String::new();
        for (line, on) in &self.0 {
            let drawn = plan.line(line).map(|at| &plan.lines[at]);
            let Some(drawn) = drawn.filter(|_| !site.history(line).is_off()) else {
                continue;
            };
            let name = &drawn.label;
            if plan.outputs[drawn.output].id == *own {
                words.push_str(&format!(
                    "; {name} counted as drawn, cores still on {}",
                    label(on)
                ));
            } else if on == own {
                words.push_str(&format!("; {name} not counted, its cores are still on it"));
            }
        }
        words
    }

    /// What is still to be done of a line, in words: `cores still on A1 out 2, drawn on A2 out 1`.
    #[must_use]
    pub fn words(&self, site: &Site, line: &LineId) -> Option<String> {
        let on = self.0.get(line)?;
        let plan = site.plan();
        let drawn = &plan.outputs[plan.lines[plan.line(line)?].output].id;
        let label = |id: &OutputId| label_of(site, &Ref::Output(id.clone()));
        Some(match site.history(line).is_off() {
            true => format!(
                "its cores go back on {}, not on {}",
                label(drawn),
                label(on)
            ),
            false => format!("cores still on {}, drawn on {}", label(on), label(drawn)),
        })
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
