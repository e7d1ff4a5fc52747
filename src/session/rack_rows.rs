//! The rows of the rack list, and how each stands by the log.

use super::Session;
use super::rack::{Stands, TickId, TickRow};
use crate::site::{
    CORES_OFF, CORES_ON, Do, Entry, LEADS_ZEROED, LISTS, ListItem, ListOf, OutputId, Ref,
};

impl Session {
    fn lines_of_amplifier(&self, amplifier: usize) -> Vec<usize> {
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
        let made = &plan.amplifiers[amplifier];
        let lines = self.lines_of_amplifier(amplifier);
        let latest = self.ticks_of_no_line(&Ref::Amplifier(made.id.clone()));
        let output_of = |row: &TickRow| row.lines.first().map(|at| plan.lines[*at].output);
        let mut out = Vec::new();
        for item in &LISTS {
            let row = |line: Option<usize>, lines, stands| TickRow {
                id: TickId {
                    item: item.item.to_owned(),
                    line: line.map(|at| plan.lines[at].id.clone()),
                    output: None,
                },
                item,
                lines,
                stands,
            };
            match item.of {
                ListOf::VoiceAlarm if !made.voice_alarm => {}
                ListOf::Visit | ListOf::Amplifier | ListOf::VoiceAlarm => {
                    let tick = latest.iter().rfind(|entry| names(entry, item.item));
                    let stands = tick.map_or(Stands::Waits(1), |entry| Stands::Done(entry));
                    out.push(row(None, Vec::new(), stands));
                }
                ListOf::Line | ListOf::InsulationLine => {
                    let asked: Vec<usize> = lines
                        .iter()
                        .copied()
                        .filter(|at| item.of == ListOf::Line || plan.lines[*at].insulation_asked)
                        .collect();
                    let each: Vec<TickRow> = asked
                        .iter()
                        .map(|at| row(Some(*at), vec![*at], self.line_stands(*at, item)))
                        .collect();
                    if each.len() > 1 {
                        out.push(together(&each, None));
                    }
                    let by_output = each
                        .chunk_by(|a, b| output_of(a) == output_of(b) && output_of(a).is_some());
                    let by_output: Vec<&[TickRow]> = by_output.collect();
                    for rows in &by_output {
                        if by_output.len() > 1 && rows.len() > 1 {
                            let output = output_of(&rows[0]).map(|at| plan.outputs[at].id.clone());
                            out.push(together(rows, output));
                        }
                        out.extend(rows.iter().cloned());
                    }
                }
            }
        }
        out
    }

    /// The counting ticks of this visit that belong to the visit or to an amplifier, in order; a
    /// known resistor that was read counts as the leads zeroed.
    fn ticks_of_no_line(&self, amplifier: &Ref) -> Vec<&Entry> {
        let visit = self.site.visit();
        let log = self.site.log();
        let belongs = |entry: &&Entry| match &entry.what {
            Do::Tick(tick) => {
                tick.visit == visit
                    && tick
                        .of
                        .iter()
                        .any(|of| of == amplifier || matches!(of, Ref::Visit(_)))
            }
            Do::Check(check) => check.visit == visit,
            _ => false,
        };
        log.beside_lines()
            .filter(belongs)
            .filter(|entry| log.counts(&entry.id))
            .collect()
    }

    fn line_stands(&self, at: usize, item: &ListItem) -> Stands<'_> {
        let line = &self.site.plan().lines[at];
        let visit = self.site.visit();
        let log = self.site.log();
        let tick = log.of_line(&line.id).into_iter().rfind(|entry| {
            matches!(&entry.what, Do::Tick(tick) if tick.visit == visit) && names(entry, item.item)
        });
        let off = self.analyst.line(at).off;
        match (item.item, tick) {
            (CORES_OFF, None) if !off => Stands::Waits(1),
            (CORES_ON, _) if off => Stands::Waits(1),
            (_, Some(entry)) => Stands::Done(entry),
            // Taken off on an earlier visit, or by another list.
            (CORES_OFF, None) => Stands::Nothing("off"),
            (CORES_ON, None) => Stands::Nothing("not off"),
            _ => Stands::Waits(1),
        }
    }
}

/// Several lines' rows of one item as one: those that wait, or all of them where none does.
fn together<'a>(rows: &[TickRow<'a>], output: Option<OutputId>) -> TickRow<'a> {
    let of = |waits: bool| {
        let rows = rows.iter().filter(move |row| !waits || row.stands.waits());
        rows.flat_map(|row| row.lines.clone()).collect::<Vec<_>>()
    };
    let waiting = of(true);
    let stands = match (waiting.len(), rows.iter().find_map(|row| done(&row.stands))) {
        (0, Some(entry)) => Stands::Done(entry),
        (0, None) => Stands::Nothing("none is off"),
        (waiting, _) => Stands::Waits(waiting),
    };
    TickRow {
        id: TickId {
            item: rows[0].id.item.clone(),
            line: None,
            output,
        },
        item: rows[0].item,
        lines: if waiting.is_empty() {
            of(false)
        } else {
            waiting
        },
        stands,
    }
}

fn names(entry: &Entry, item: &str) -> bool {
    match &entry.what {
        Do::Tick(tick) => tick.item == item,
        Do::Check(_) => item == LEADS_ZEROED,
        _ => false,
    }
}

const fn done<'a>(stands: &Stands<'a>) -> Option<&'a Entry> {
    match stands {
        Stands::Done(entry) => Some(entry),
        Stands::Waits(_) | Stands::Nothing(_) => None,
    }
}
