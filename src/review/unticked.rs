//! What is not ticked, of the amplifiers and lines that were worked on.
//!
//! Never here: what a tick means.

use super::list_rows::{ListRow, Lists, insulated};
use super::scope::{amplifiers_in, lines_in};
use crate::quantity::show::few;
use crate::site::{CORES_OFF, CORES_ON, Do, ListItem, ListOf, Ref, Site};

/// So many items that a reading came after are named, and lines of each.
const MOST_ITEMS: usize = 3;
const MOST_LABELS: usize = 4;

/// Whether something was read on a line, or it was taken off, on the latest visit.
#[must_use]
pub fn worked_on(site: &Site, line: usize) -> bool {
    let visit = site.visit();
    let history = site.history(&site.plan().lines[line].id);
    let states = history.states(&visit);
    states
        .iter()
        .any(|state| history.in_state(site, state).next().is_some())
        || history.entries().iter().any(|entry| {
            matches!(&entry.what, Do::Tick(tick) if tick.item == CORES_OFF && tick.visit == visit)
        })
}

/// Whether an item that is ticked line by line is asked of a line: once that was worked on, and before
/// insulation once that was read, on the latest visit.
#[must_use]
pub fn is_asked(site: &Site, item: &ListItem, line: usize) -> bool {
    worked_on(site, line) && (item.of != ListOf::InsulationLine || insulated(site, line))
}

/// Items that wait, by their place in [`LISTS`](crate::site::LISTS), with what they are of and in
/// words. What is asked of a line is asked once it was worked on, and before insulation once that was
/// read.
pub(super) fn unticked(site: &Site, scope: &Ref) -> Vec<(usize, Ref, String)> {
    let plan = site.plan();
    let lists = Lists::of(site);
    let in_scope = lines_in(site, scope);
    let mut out = Vec::new();
    let mut of_visit: Vec<(usize, Ref, String)> = Vec::new();
    for at in amplifiers_in(site, scope) {
        let amplifier = &plan.amplifiers[at];
        let mut lines = plan.outputs[amplifier.outputs.clone()]
            .iter()
            .flat_map(|output| output.lines.clone());
        if !lines.any(|line| worked_on(site, line)) {
            continue;
        }
        let asked = |row: &ListRow<'_>, line: usize| {
            // That a line is back on is another matter: it is OFF until then.
            row.item.item != CORES_ON && in_scope.contains(&line) && is_asked(site, row.item, line)
        };
        let waits: Vec<ListRow<'_>> = lists
            .rows(at)
            .into_iter()
            .filter(|row| row.stands.waits())
            .filter(|row| row.line.is_none_or(|line| asked(row, line)))
            .collect();
        for rows in waits.chunk_by(|a, b| a.place == b.place) {
            let (place, item) = (rows[0].place, rows[0].item);
            let words = format!("not ticked: {}", item.words);
            if item.of == ListOf::Visit {
                if of_visit.iter().all(|(known, ..)| *known != place) {
                    of_visit.push((place, Ref::Visit(site.visit()), words));
                }
                continue;
            }
            let lines = rows.iter().filter_map(|row| row.line);
            let labels: Vec<&str> = lines.map(|line| plan.lines[line].label.as_str()).collect();
            let words = if labels.is_empty() {
                words
            } else {
                format!("{words}, {}", labels.join(", "))
            };
            out.push((place, Ref::Amplifier(amplifier.id.clone()), words));
        }
    }
    out.extend(of_visit);
    out
}

/// Of each amplifier what was ticked before a reading came, with the place of the first such item: the same
/// rows that the list on the screen marks with `again`. It was so then.
pub(super) fn again(site: &Site, scope: &Ref) -> Vec<(usize, Ref, String)> {
    let plan = site.plan();
    let lists = Lists::of(site);
    let in_scope = lines_in(site, scope);
    let mut out = Vec::new();
    for at in amplifiers_in(site, scope) {
        let rows = lists.rows(at);
        // What is ticked once a visit is told once.
        let told = |row: &ListRow<'_>| row.item.of == ListOf::Visit && !out.is_empty();
        let due = |row: &&ListRow<'_>| {
            row.read_since.is_some()
                && !told(row)
                && row.line.is_none_or(|line| in_scope.contains(&line))
        };
        let rows: Vec<&ListRow<'_>> = rows.iter().filter(due).collect();
        let Some(first) = rows.first() else { continue };
        let items: Vec<String> = rows
            .chunk_by(|a, b| a.place == b.place)
            .map(|rows| {
                let lines = rows.iter().filter_map(|row| row.line);
                let labels: Vec<String> = lines.map(|it| plan.lines[it].label.clone()).collect();
                match labels.is_empty() {
                    true => rows[0].item.words.to_owned(),
                    false => format!("{} ({})", rows[0].item.words, few(&labels, MOST_LABELS)),
                }
            })
            .collect();
        let words = format!(
            "read since it was ticked, again? {}",
            few(&items, MOST_ITEMS)
        );
        out.push((
            first.place,
            Ref::Amplifier(plan.amplifiers[at].id.clone()),
            words,
        ));
    }
    out
}
