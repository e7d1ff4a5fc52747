//! Loudspeaker schedule CSV -> design items.
//!
//! Rows are read one by one (`schedule_node.rs`), then held against each other (`schedule_rows.rs`); only a schedule without a problem
//! becomes items (`schedule_items.rs`).

use super::column::{Column, Holds, needed, optional};
use super::odd::odd;
use super::problem::{RowProblem, Warning, by_line, not_too_many};
use super::schedule_items::items;
use super::schedule_node::{Node, read_row};
use super::schedule_rows::{agree, feeds, nearly_the_same, rings, twice};
use super::table::read_table;
use super::unsaid::Unsaid;
use crate::site::{Cable, Item, SiteId};
use std::collections::BTreeMap;

const COLUMNS: [Column; 20] = [
    needed("amplifier", Holds::Text),
    optional("output", Holds::Text),
    optional("rated_w", Holds::Number),
    optional("line_v", Holds::Number),
    needed("zone", Holds::Text),
    needed("line", Holds::Text),
    needed("loudspeaker", Holds::Text),
    optional("what", Holds::Text),
    needed("tap_w", Holds::Number),
    optional("taps_w", Holds::Numbers),
    optional("type", Holds::Text),
    optional("dc_block", Holds::Text),
    optional("control", Holds::Text),
    optional("device", Holds::Parts),
    optional("from", Holds::Text),
    optional("run_m", Holds::Number),
    optional("cable", Holds::Text),
    optional("voice_alarm", Holds::Text),
    optional("elv", Holds::Text),
    optional("insulation", Holds::Text),
];

/// A schedule as understood.
#[derive(Clone, Debug)]
pub struct Schedule {
    /// The new site's id: a hash of the schedule as understood. The same schedule with other separators or
    /// decimal signs gives the same id, and so copies of one site know each other.
    pub id: SiteId,
    /// All items of the new site.
    pub items: Vec<Item>,
    /// What was left blank, for a site that knows better.
    pub unsaid: Unsaid,
    /// What there is to say of cells that were read.
    pub warnings: Vec<Warning>,
}

/// Reads a loudspeaker schedule. `cables` are those of the site's own that its cells may name beside the
/// standard sizes; `site_label` is what the building is called.
///
/// # Errors
/// Every row that is wrong, and every contradiction between rows, by line.
pub fn read_schedule(
    file_name: &str,
    bytes: &[u8],
    cables: &[Cable],
    site_label: &str,
) -> Result<Schedule, Vec<RowProblem>> {
    let mut table = read_table(file_name, bytes, &COLUMNS)?;
    let rows = std::mem::take(&mut table.rows);
    let mut problems = Vec::new();
    if rows.is_empty() {
        return Err(vec![RowProblem {
            file: file_name.to_owned(),
            line: 2,
            column: None,
            found: String::new(),
            wanted: "a row for each loudspeaker".to_owned(),
            advice: String::new(),
        }]);
    }
    let nodes: Vec<Option<Node>> = rows
        .iter()
        .map(|row| read_row(&mut table, row, cables, &mut problems))
        .collect();
    let feeds = feeds(&table, &rows, &mut problems);
    agree(&table, &rows, &mut problems);
    twice(&table, &rows, &mut problems);
    if problems.is_empty() {
        rings(&table, &rows, &feeds, &mut problems);
    }
    if !problems.is_empty() {
        return Err(by_line(problems));
    }
    nearly_the_same(&mut table, &rows);
    let mut nodes: Vec<Node> = nodes.into_iter().flatten().collect();
    for (node, from) in nodes.iter_mut().zip(feeds) {
        node.from = from;
    }
    odd(&mut table, &nodes);
    let unsaid = Unsaid::of(&table, &rows, &nodes);
    let (id, items) = items(&nodes, cables, site_label);
    let mut unrated: BTreeMap<(&str, &str), (usize, bool)> = BTreeMap::new();
    for node in &nodes {
        let first = (node.line_no, false);
        let output = unrated
            .entry((&node.amplifier, &node.output))
            .or_insert(first);
        output.1 |= node.rated.is_some();
    }
    let mut unrated: Vec<_> = unrated
        .into_iter()
        .filter(|(_, (_, rated))| !rated)
        .collect();
    unrated.sort_by_key(|(_, (line, _))| *line);
    for ((amplifier, output), (line, _)) in unrated {
        let what = format!("no rating of output {amplifier} {output}: it cannot be judged");
        table.warn(Some(line), Some("rated_w"), what);
    }
    Ok(Schedule {
        id,
        items,
        unsaid,
        warnings: not_too_many(table.warnings),
    })
}
