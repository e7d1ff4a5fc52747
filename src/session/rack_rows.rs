//! The rows of the rack list, and how each stands by the log.

use super::Session;
use super::keys::Place;
use super::tick_row::{TickId, TickRow};
use crate::review::{Late, ListRow, ListStands, Lists};
use crate::site::{Do, LEADS_ZEROED, OutputId, Ref, in_order};

impl Session {
    /// Places in the plan of the lines of an amplifier.
    pub(super) fn lines_of_amplifier(&self, amplifier: usize) -> Vec<usize> {
        let plan = self.site.plan();
        plan.outputs[plan.amplifiers[amplifier].outputs.clone()]
            .iter()
            .flat_map(|output| output.lines.clone())
            .collect()
    }

    /// Every row of the list of the amplifier under the cursor.
    pub(super) fn tick_rows(&self) -> Vec<TickRow<'_>> {
        let Some(amplifier) = self.amplifier_under() else {
            return Vec::new();
        };
        let plan = self.site.plan();
        let output_of = |row: &TickRow| row.lines.first().map(|at| plan.lines[*at].output);
        let mut out = Vec::new();
        let rows = Lists::of(&self.site).rows(amplifier);
        for rows in rows.chunk_by(|a, b| a.place == b.place) {
            let each: Vec<TickRow> = rows.iter().map(|row| self.tick_row(row)).collect();
            if rows.iter().all(|row| row.line.is_none()) {
                out.extend(each);
                continue;
            }
            if each.len() > 1 {
                out.push(together(&each, None));
            }
            let by_output =
                each.chunk_by(|a, b| output_of(a) == output_of(b) && output_of(a).is_some());
            let by_output: Vec<&[TickRow]> = by_output.collect();
            for rows in &by_output {
                if by_output.len() > 1 && rows.len() > 1 {
                    let output = output_of(&rows[0]).map(|at| plan.outputs[at].id.clone());
                    out.push(together(rows, output));
                }
                out.extend(rows.iter().cloned());
            }
        }
        out
    }

    /// Behind a known resistor that was read on its own row: on as behind a tick, and where nothing waits
    /// after it to the first of this part that does, since it may be read before the rest is ticked.
    pub(super) fn after_resistor(&mut self) {
        let from = self.tick_at.clone();
        if self.place != Place::Rack || from.item != LEADS_ZEROED {
            return;
        }
        self.next_tick_row();
        let rows = self.tick_rows();
        let at = self.tick_at(&rows);
        let waits = |row: &&TickRow| {
            row.item.when == rows[at].item.when && row.stands.waits() && row.id != from
        };
        let first = rows.iter().find(waits).map(|row| row.id.clone());
        if let Some(id) = first.filter(|_| self.tick_at == from) {
            self.tick_at = id;
        }
    }

    fn tick_row<'a>(&self, row: &ListRow<'a>) -> TickRow<'a> {
        TickRow {
            id: TickId {
                item: row.item.item.to_owned(),
                line: row.line.map(|at| self.site.plan().lines[at].id.clone()),
                output: None,
            },
            item: row.item,
            lines: row.line.into_iter().collect(),
            read_since: row.read_since,
            late: row.late,
            stands: row.stands,
        }
    }

    /// On to the next row of this part of the list that waits, if any does: whoever has ticked what
    /// comes before a line is touched does not tick on into handing it back. From a line's own row
    /// to what waits of that line first.
    pub(super) fn next_tick_row(&mut self) {
        let sent = |row: &TickRow| {
            self.pending.iter().any(|pending| {
                matches!(&pending.entry.what, Do::Tick(tick)
                if tick.item == row.id.item && (row.lines.is_empty()
                    || row.lines.iter().all(|at| {
                        tick.of.contains(&Ref::Line(self.site.plan().lines[*at].id.clone()))
                    })))
            })
        };
        let rows = self.tick_rows();
        let at = self.tick_at(&rows);
        let here = rows.get(at).map(|row| (row.item.when, row.id.line.clone()));
        let Some((when, line)) = here else { return };
        let wanted = |row: &&TickRow| row.item.when == when && row.stands.waits() && !sent(row);
        let rest = || rows.iter().skip(at + 1).filter(wanted);
        let own = rest().find(|row| line.is_some() && row.id.line == line);
        // Then the next line from its first row that waits: its joints come before its cores. From a line's own row
        // never on to one of several lines: one more Space would put all of them back.
        let plan = self.site.plan();
        let place = |row: &TickRow| row.id.line.as_ref().and_then(|id| plan.line(id));
        let here = line.as_ref().and_then(|id| plan.line(id));
        let following = || {
            let waits = rows.iter().filter(wanted);
            waits
                .filter(|row| here.is_some() && place(row) > here)
                .min_by_key(|row| place(row))
        };
        let next = own
            .or_else(following)
            .or_else(|| rest().find(|row| line.is_none() || row.id.line.is_some()));
        if let Some(id) = next.map(|row| row.id.clone()) {
            self.tick_at = id;
        }
    }
}

/// Several lines' rows of one item as one: those that wait, else those that were read since they were
/// ticked, else all of them. What stands is not ticked once more by another name.
fn together<'a>(rows: &[TickRow<'a>], output: Option<OutputId>) -> TickRow<'a> {
    let of = |wanted: fn(&TickRow<'_>) -> bool| {
        let rows = rows.iter().filter(|row| wanted(row));
        rows.flat_map(|row| row.lines.clone()).collect::<Vec<_>>()
    };
    let waiting = of(|row| row.stands.waits());
    let due = of(|row| row.is_due());
    let ticked = rows.iter().filter_map(|row| row.stands.done());
    let stands = match (waiting.is_empty(), ticked.max_by(|a, b| in_order(a, b))) {
        (true, Some(entry)) => ListStands::Done(entry),
        (true, None) => ListStands::Nothing("none is off"),
        (false, _) => ListStands::Waits,
    };
    TickRow {
        id: TickId {
            item: rows[0].id.item.clone(),
            line: None,
            output,
        },
        item: rows[0].item,
        lines: match (waiting.is_empty(), due.is_empty()) {
            (false, _) => waiting,
            (true, false) => due,
            (true, true) => of(|_| true),
        },
        read_since: rows.iter().find_map(|row| row.read_since),
        late: rows.iter().filter_map(|row| row.late).reduce(Late::and),
        stands,
    }
}
