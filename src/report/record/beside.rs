//! What was read beside the lines whole: insulation, direct current, parts of a split, and what others took
//! the place of.
//!
//! Never here: what a reading is worth.

use super::super::document::{Document, Table};
use super::super::rows::{Assessment, InsulationRow, LineRow};
use super::super::values::ohms_text;
use super::cells::{minute, verdict_words};
use crate::quantity::{Volt, show};
use crate::site::Reads;

/// Behind a reading after which a repair came.
const fn before(repair: bool) -> &'static str {
    if repair { ", before the repair" } else { "" }
}

/// Insulation that counts, with its verdict, as the last of its line; before it that of before a repair.
fn insulation_rows(data: &Assessment, table: &mut Table) {
    for row in &data.lines {
        if let Some(it) = &row.insulation_found {
            let words = verdict_words(Some(it.verdict));
            insulation_row(row, it, format!("{words}, before the repair"), table);
        }
        let (it, verdict) = match (&row.insulation, &row.insulation_before) {
            (Some(it), _) => {
                let words = verdict_words(Some(it.verdict));
                match &it.later {
                    Some(later) => (
                        it,
                        format!("{words}; then {later}, nothing repaired since: it stands"),
                    ),
                    None => (it, words),
                }
            }
            (None, Some(it)) => (it, "read before the repair, wants reading again".to_owned()),
            (None, None) => continue,
        };
        insulation_row(row, it, verdict, table);
        if let Some(other) = &it.other {
            let words = verdict_words(Some(other.verdict));
            insulation_row(row, other, words, table);
        }
    }
}

/// One reading of insulation, with who read it and when.
fn insulation_row(row: &LineRow, it: &InsulationRow, verdict: String, table: &mut Table) {
    let mut said = row.done.beside.iter();
    let (when, by) = said
        .rfind(|said| said.reads == Reads::Insulation && said.said.at == it.at)
        .map_or_else(Default::default, |it| {
            (minute(&it.said.at), it.said.by.clone())
        });
    table.strong_row(
        vec![
            row.line.clone(),
            it.cores.words().to_owned(),
            it.figure(),
            show::volt(Volt(it.test_v)),
            verdict,
            when,
            by,
        ],
        it.is_low(),
    );
}

/// The chapter on insulation and other readings.
pub(super) fn insulation(data: &Assessment, out: &mut Document) {
    out.chapter("Insulation, and other readings");
    let mut table = Table::new(&[
        "line",
        "cores",
        ">insulation",
        ">test voltage",
        "verdict",
        "when, UTC",
        "by",
    ]);
    insulation_rows(data, &mut table);
    if table.rows.is_empty() {
        out.text("No insulation reading was recorded.");
    } else {
        out.text("Insulation against earth:");
        out.table(table);
    }
    also_read(data, out);
    let mut table = Table::new(&[
        "line",
        "measured with",
        ">reads",
        ">as drawn",
        "taken",
        "when, UTC",
        "by",
    ]);
    let mut dc = false;
    for row in &data.lines {
        for it in row
            .done
            .beside
            .iter()
            .filter(|it| it.reads != Reads::Insulation)
        {
            dc |= it.reads == Reads::Dc;
            table.row(vec![
                row.line.clone(),
                it.reads.words().to_owned(),
                it.text.clone(),
                it.drawn.clone(),
                format!("{}{}", it.how, before(it.before_repair)),
                minute(&it.said.at),
                it.said.by.clone(),
            ]);
        }
    }
    if !table.rows.is_empty() {
        let direct = match dc {
            true => {
                "; at direct current by end-of-line devices, what capacitors block left out; about, where windings count: \
                 they are not drawn and taken as a share of the impedance (assumed), so that half or twice that is no \
                 finding; none behind a level control, or with a device of which nothing is drawn"
            }
            false => "",
        };
        out.text(format!(
            "Readings that no verdict hangs on; they weigh in what is suspected. As drawn: what the drawing gives for the same \
             part{direct}:"
        ));
        out.table(table);
    }
}

/// Readings of the lines whole that others took the place of.
fn also_read(data: &Assessment, out: &mut Document) {
    let mut table = Table::new(&["line", ">also read", "", "when, UTC", "by"]);
    for row in &data.lines {
        for it in &row.also_read {
            table.strong_row(
                vec![
                    row.line.clone(),
                    ohms_text(&it.ohms),
                    format!("{}{}", it.text, before(it.before_repair)),
                    minute(&it.when),
                    it.by.clone(),
                ],
                !it.agrees,
            );
        }
    }
    if !table.rows.is_empty() {
        out.text("Read at the rack, line whole, beside what stands under Lines; of one state the last reading counts:");
        out.table(table);
    }
}
