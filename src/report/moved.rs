//! Lines that were moved to another output on this visit, on paper.
//!
//! Never here: where their cores are.

use crate::review::label_of;
use crate::site::{Design, Do, Edit, Entry, Ref, Site, in_order};

/// A line that is drawn on another output than when the visit began.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MovedRow {
    /// Its label.
    pub line: String,
    /// The output it was on.
    pub from: String,
    /// The one it is on.
    pub to: String,
}

/// Those of a site, in rack order.
pub(super) fn moved(site: &Site) -> Vec<MovedRow> {
    let log = site.log();
    let edits = log.entries().iter().filter_map(|entry| match &entry.what {
        Do::Edit(edit) if log.counts(&entry.id) => Some((entry, edit)),
        _ => None,
    });
    let mut edits: Vec<(&Entry, &Edit)> = edits.collect();
    edits.sort_by(|a, b| in_order(a.0, b.0));
    let visit = Ref::Visit(site.visit());
    let began = edits.iter().position(|(_, edit)| edit.of == visit);
    let of_visit = &edits[began.unwrap_or_default()..];
    let plan = site.plan();
    let mut out = Vec::new();
    for line in &plan.lines {
        let of = Ref::Line(line.id.clone());
        let first = of_visit.iter().find(|(_, edit)| edit.of == of);
        let Some((_, Design::Line(was))) = first.and_then(|(_, edit)| edit.was.first()) else {
            continue;
        };
        let now = &plan.outputs[line.output].id;
        if was.output != *now {
            out.push(MovedRow {
                line: line.label.clone(),
                from: label_of(site, &Ref::Output(was.output.clone())),
                to: label_of(site, &Ref::Output(now.clone())),
            });
        }
    }
    out
}
