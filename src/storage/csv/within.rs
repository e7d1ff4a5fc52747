//! Rows of one file that correct each other: each is taken behind what it corrects, and one that names itself
//! or a row that comes after it is refused.
//!
//! Never here: corrections of what the site holds.

use super::in_turn::in_turn;
use super::problem::Fault;
use super::reading_columns::Row;
use super::table::{self, Table};
use crate::site::EntryId;
use jiff::Timestamp;
use std::collections::HashMap;

const WANTED: &str = "the id of an entry of the site or of a row before this one";

/// The places of rows that stand by time (a blank one is `now`), each behind what it corrects.
///
/// # Errors
/// Every row that corrects itself, one that comes after it in the file and by time, or one that corrects it.
pub(super) fn turns(
    rows: &[Row],
    now: Timestamp,
    (table, cells): (&Table, &[table::Row]),
) -> Result<Vec<usize>, Vec<Fault>> {
    // An id that several rows have, as a strike of several entries, is that of the first of them.
    let mut by_id: HashMap<&str, usize> = HashMap::new();
    for (at, row) in rows.iter().enumerate() {
        if let Some(id) = &row.own_id {
            let first = by_id.entry(id).or_insert(at);
            if rows[*first].number > row.number {
                *first = at;
            }
        }
    }
    let named = |at: usize| {
        let id = rows[at].corrects.as_ref();
        id.and_then(|id| by_id.get(id.as_str())).copied()
    };
    let turn = in_turn(rows.len(), |at| named(at).into_iter().collect());
    let mut place = vec![0; rows.len()];
    for (nth, at) in turn.iter().enumerate() {
        place[*at] = nth;
    }
    let cells_of = |row: &Row| {
        let at = cells.binary_search_by_key(&row.number, |it| it.number);
        at.ok().map(|at| &cells[at])
    };
    let mut problems = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        let Some(first) = named(at) else {
            continue;
        };
        let other = &rows[first];
        let time = |row: &Row| (row.at.unwrap_or(now), row.number);
        let line = cells_of(other).map_or(0, |it| it.line);
        let advice = if row.corrects.as_ref().map(EntryId::as_str) == row.own_id.as_deref() {
            "that is the id of this row itself".to_owned()
        } else if other.number > row.number && time(other) > time(row) {
            format!("that is row {line}: put it above this one")
        } else if place[first] > place[at] {
            format!("that is row {line}, which corrects this one")
        } else {
            continue;
        };
        let problem = |cells| table.problem(cells, "corrects", WANTED, advice);
        problems.extend(cells_of(row).map(problem));
    }
    match problems.is_empty() {
        true => Ok(turn),
        false => Err(problems),
    }
}
