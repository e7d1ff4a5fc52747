//! Rows of one file that correct each other: each is taken behind what it corrects, and one that names itself
//! or a row that comes after it is refused.
//!
//! Never here: corrections of what the site holds.

use super::in_turn::in_turn;
use super::problem::Fault;
use super::reading_columns::Row;
use super::table::{self, Table};
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
    let mut by_id: HashMap<&str, Vec<usize>> = HashMap::new();
    for (at, row) in rows.iter().enumerate() {
        if let Some(id) = &row.own_id {
            by_id.entry(id).or_default().push(at);
        }
    }
    let named = |at: usize| -> &[usize] {
        let id = rows[at].corrects.as_ref();
        id.and_then(|id| by_id.get(id.as_str()))
            .map_or(&[], Vec::as_slice)
    };
    let turn = in_turn(rows.len(), |at| named(at).to_vec());
    let place: HashMap<usize, usize> = turn.iter().copied().zip(0..).collect();
    let refuse = |row: &Row, advice: String| {
        let cells = cells.iter().find(|it| it.number == row.number)?;
        Some(table.problem(cells, "corrects", WANTED, advice))
    };
    let mut problems = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        let named = named(at);
        let Some(last) = named.last().map(|last| &rows[*last]) else {
            continue;
        };
        let time = |row: &Row| (row.at.unwrap_or(now), row.number);
        let comes_after = |other: &usize| {
            let other = &rows[*other];
            other.number > row.number && time(other) > time(row)
        };
        let line = cells.iter().find(|it| it.number == last.number);
        let line = line.map_or(0, |it| it.line);
        if named.contains(&at) {
            problems.extend(refuse(row, "that is the id of this row itself".to_owned()));
        } else if named.iter().all(comes_after) {
            problems.extend(refuse(
                row,
                format!("that is row {line}: put it above this one"),
            ));
        } else if named.iter().all(|other| place[other] > place[&at]) {
            problems.extend(refuse(
                row,
                format!("that is row {line}, which corrects this one"),
            ));
        }
    }
    match problems.is_empty() {
        true => Ok(turn),
        false => Err(problems),
    }
}
