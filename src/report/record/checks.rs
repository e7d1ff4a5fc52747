//! The lists at the rack and at handing back, over all amplifiers that were worked on.
//!
//! Never here: whether something is safe.

use super::super::document::{Document, Table};
use super::super::record_rows::TickedRow;
use super::super::rows::Assessment;
use super::cells::minute;
use super::left;
use crate::quantity::show;
use crate::review::{not_here_words, says_all_heard};
use crate::site::{LEADS_ZEROED, ListOf, list_item};

/// So many amplifiers in a cell.
const MOST_NAMED: usize = 30;

/// So many amplifiers are not named one by one where none is missing.
const MANY: usize = 6;

/// Labels of amplifiers; where there are many and none of `all` is missing, told in a word.
fn named(labels: &[String], all: usize) -> String {
    if labels.len() == all && all > MANY && labels.iter().all(|it| !it.contains(" of ")) {
        return "all that were worked on".to_owned();
    }
    show::few(labels, MOST_NAMED)
}

/// One item of a list over all amplifiers: in full, of which it is done and by whom, of which not.
fn item_over_amplifiers(data: &Assessment, rows: &[&TickedRow]) -> Vec<String> {
    // Of the visit it is one tick, not one at each amplifier.
    let once = list_item(rows[0].item).is_some_and(|it| it.of == ListOf::Visit);
    let rows = if once { &rows[..1] } else { rows };
    let with = match data.checks.last() {
        Some(it) if rows[0].item == LEADS_ZEROED => format!(", {}", it.instrument),
        _ => String::new(),
    };
    let name = |row: &TickedRow| match once {
        true => format!("{}{with}", data.visit),
        false => row.amplifier.clone(),
    };

    let mut done: Vec<(String, Vec<String>)> = Vec::new();
    let mut waits: Vec<String> = Vec::new();
    for row in rows {
        let lines = match row.worked {
            Some([_, 0]) => continue,
            Some([done, of]) => format!(" {done} of {of}"),
            None => String::new(),
        };
        if row.worked.is_some_and(|[done, of]| done < of) || row.is.is_none() {
            let left = row
                .worked
                .map(|[done, of]| format!(" {} of {of}", of - done));
            waits.push(format!("{}{}", name(row), left.unwrap_or_default()));
        }
        let Some(is) = row.is else { continue };
        let by = row.by.as_deref().unwrap_or_default();
        let at = row.at.as_deref().map_or_else(String::new, minute);
        let why = row
            .why
            .as_ref()
            .map_or_else(String::new, |why| match says_all_heard(row.item) {
                true => format!("{}; ", not_here_words(row.item, why)),
                false => format!("{is}, {why}; "),
            });
        let late = row.late.as_ref().map(|(count, first)| {
            let readings = show::count(*count, "reading");
            format!(", after {readings}, the first {}", minute(first))
        });
        let zeroed = match row.by_check {
            true => "; nobody ticked that its leads were zeroed",
            false => "",
        };
        let each = row.by_each.iter();
        let each: Vec<String> = each
            .map(|(by, day, count)| format!("{count} by {by}, {day}"))
            .collect();
        // One name over what several have ticked would be somebody else's word.
        let who = match each.is_empty() {
            true => format!("{by}, {at}"),
            false => each.join("; "),
        };
        let says = format!(" ({why}{who}{}{zeroed})", late.unwrap_or_default());
        let label = format!("{}{lines}", name(row));
        match done.iter_mut().find(|it| it.0 == says) {
            Some(known) => known.1.push(label),
            None => done.push((says, vec![label])),
        }
    }
    let done: Vec<String> = done
        .iter()
        .map(|(says, labels)| format!("{}{says}", named(labels, rows.len())))
        .collect();
    vec![
        rows[0].text.to_owned(),
        if done.is_empty() && waits.is_empty() {
            "nothing to tick".to_owned()
        } else {
            done.join("; ")
        },
        named(&waits, rows.len()),
    ]
}

/// The chapter on the lists.
pub(super) fn checks(data: &Assessment, out: &mut Document) {
    out.chapter("Checks");
    let untouched = left::untouched(data);
    out.text(
        "Counts are lines that were read or taken off; of cores back on, those taken off; before insulation, those it was \
         read on. A tick records that a thing was done, by whom and when; it is no statement that anything is safe.",
    );
    let mut table = Table::new(&["item", "ticked, by whom and when, UTC", "not ticked"]);
    for (list, title) in [
        ("rack", "At the rack, before a meter went on"),
        ("insulation", "Before insulation was read"),
        ("hand-back", "Handing back"),
    ] {
        let rows: Vec<&TickedRow> = data
            .ticks
            .iter()
            .filter(|row| row.list == list && !untouched.contains(&row.amplifier.as_str()))
            .collect();
        let mut items: Vec<&str> = Vec::new();
        for row in &rows {
            if !items.contains(&row.item) {
                items.push(row.item);
            }
        }
        if items.is_empty() {
            continue;
        }
        table.strong_row(vec![title.to_owned(), String::new(), String::new()], true);
        for item in items {
            let of: Vec<&TickedRow> = rows
                .iter()
                .copied()
                .filter(|row| row.item == item)
                .collect();
            table.row(item_over_amplifiers(data, &of));
        }
    }
    out.table(table);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_amplifiers_are_told_in_a_word_only_where_none_is_missing() {
        let labels = |count: usize| (1..=count).map(|at| format!("A{at}")).collect::<Vec<_>>();
        assert_eq!(named(&labels(2), 2), "A1, A2");
        assert_eq!(named(&labels(7), 7), "all that were worked on");
        assert!(named(&labels(7), 8).ends_with("A6, A7"));
        assert!(named(&labels(33), 40).ends_with("A30 and 3 more"));
        // Where lines are counted each amplifier says its own.
        let counted: Vec<String> = labels(7).iter().map(|it| format!("{it} 2 of 3")).collect();
        assert!(named(&counted, 7).starts_with("A1 2 of 3, "));
    }
}
