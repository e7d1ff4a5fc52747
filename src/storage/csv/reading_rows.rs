//! Rows of a readings CSV -> rows as understood: what every kind of row has, its labels found on the site.
//! What only some kinds have is read in `what.rs`.
//!
//! Never here: state and id of what is read.

mod what;

use super::log::LogRows;
use super::near::Near;
use super::problem::{Fault, RowProblem, Warning, by_line, not_too_many};
use super::reading_columns::{COLUMNS, KINDS, OF_SOME_KINDS, Row, WhatRow};
use super::site_labels::SiteLabels;
use super::table::{self, Table, read_table};
use super::within::turns;
use crate::site::{
    EntryId, InstrumentId, LineId, NodeId, RACK, Reads, Site, VisitId, whole_second,
};
use crate::storage::format1::LONGEST_NOTE;
use jiff::Timestamp;
use std::collections::HashSet;

/// Reads every row that is not on the site already, by time (a blank one is `now`), each behind what it
/// corrects; gives how many are.
pub(super) fn read_rows(
    file: &str,
    bytes: &[u8],
    (site, now): (&Site, Timestamp),
    log: &LogRows,
) -> Result<(Vec<Row>, usize, Vec<Warning>), Vec<RowProblem>> {
    let mut table = read_table(file, bytes, &COLUMNS)?;
    let rows = std::mem::take(&mut table.rows);
    let labels = SiteLabels::of(site);
    let ids: HashSet<&str> = rows.iter().map(|row| table.cell(row, "id")).collect();
    let (mut out, mut known, mut problems) = (Vec::new(), 0, Vec::new());
    for row in &rows {
        let id = table.cell(row, "id").to_owned();
        if let Some(same) = log.same(&id, |column| table.cell_if_any(row, column)) {
            known += 1;
            if !same {
                let what = format!(
                    "{id} is on the site with other words: not read; to change it, add a row with {id} in corrects"
                );
                table.warn(Some(row.line), Some("id"), what);
            }
            continue;
        }
        let mut reader = RowReader {
            table: &mut table,
            row,
            site,
            labels: &labels,
            ids: &ids,
            problems: Vec::new(),
        };
        if let Some(read) = reader.read() {
            out.push(read);
        }
        problems.append(&mut reader.problems);
    }
    if !problems.is_empty() {
        return Err(by_line(problems));
    }
    out.sort_by_key(|row| (row.at.unwrap_or(now), row.number));
    let turn = turns(&out, now, (&table, &rows)).map_err(by_line)?;
    let mut out: Vec<Option<Row>> = out.into_iter().map(Some).collect();
    let out = turn.into_iter().filter_map(|at| out[at].take()).collect();
    Ok((out, known, not_too_many(table.warnings)))
}

struct RowReader<'t, 'a> {
    table: &'t mut Table,
    row: &'a table::Row,
    site: &'a Site,
    labels: &'a SiteLabels<'a>,
    ids: &'a HashSet<&'a str>,
    problems: Vec<Fault>,
}

impl RowReader<'_, '_> {
    fn cell(&self, column: &str) -> String {
        self.table.cell(self.row, column).to_owned()
    }

    fn some(&self, column: &str) -> Option<String> {
        Some(self.cell(column)).filter(|text| !text.is_empty())
    }

    fn refuse<T>(
        &mut self,
        column: &str,
        wanted: impl Into<String>,
        advice: impl Into<String>,
    ) -> Option<T> {
        let problem = self.table.problem(self.row, column, wanted, advice);
        self.problems.push(problem);
        None
    }

    fn keep<T>(&mut self, result: Result<T, Fault>) -> Option<T> {
        result.map_err(|problem| self.problems.push(problem)).ok()
    }

    fn read(&mut self) -> Option<Row> {
        let kind = self.cell("kind").to_lowercase();
        let Some((kind, uses)) = KINDS.iter().find(|(name, _)| *name == kind) else {
            let names: Vec<&str> = KINDS.iter().map(|(name, _)| *name).collect();
            let advice = Near::new(names.iter().copied()).advice(&kind, "");
            return self.refuse("kind", format!("one of {}", names.join(", ")), advice);
        };
        let kind = *kind;
        let corrects = self.corrects();
        let is_void = self.cell("value").eq_ignore_ascii_case("void");
        let line = self.line(kind, is_void);
        let at = self.when();
        let visit = self.visit();
        let place = line.as_ref().and_then(|line| self.place(line));
        let mut instrument = Some(InstrumentId::default());
        let mut text = self.cell("value");
        let is = if is_void {
            match corrects {
                Some(None) => {
                    let wanted = "the id of the entry that this row strikes";
                    self.refuse("corrects", wanted, "log prints the ids")
                }
                _ => Some(WhatRow::Void),
            }
        } else {
            match kind {
                "impedance" | "dc" => {
                    instrument = self.instrument(kind);
                    self.read_ohms(kind == "dc", place, &mut text)
                }
                "insulation" => {
                    instrument = self.instrument(kind);
                    self.insulate(&mut text)
                }
                "check" => {
                    instrument = self.instrument(kind);
                    self.check(&mut text)
                }
                "listen" => self.listen(place),
                _ => self.repair(place),
            }
        };
        for column in ["value", "person", "note"] {
            if self.cell(column).chars().count() > LONGEST_NOTE {
                let wanted = format!("a text of at most {LONGEST_NOTE} characters");
                self.refuse::<()>(column, wanted, "shorten it");
            }
        }
        if !is_void {
            for column in OF_SOME_KINDS {
                self.unused(column, uses, kind);
            }
        }
        let (is, line, at, visit, corrects) = (is?, line?, at?, visit?, corrects?);
        let instrument = instrument?;
        if !self.problems.is_empty() {
            return None;
        }
        let facts = self.facts(kind, &text, &is, at);
        Some(Row {
            number: self.row.number,
            own_id: self.some("id"),
            line,
            text,
            visit,
            instrument,
            at,
            person: self.some("person"),
            note: self.some("note"),
            corrects,
            is,
            facts,
        })
    }

    fn unused(&mut self, column: &str, uses: &[&str], kind: &str) {
        let cell = self.cell(column);
        if !cell.is_empty() && !uses.contains(&column) {
            let what = format!("{cell:?} was not read: a {kind} row has no use for it");
            self.table.warn(Some(self.row.line), Some(column), what);
        }
    }

    fn line(&mut self, kind: &str, is_void: bool) -> Option<LineId> {
        let label = self.cell("line");
        if kind == "check" || (is_void && label.is_empty()) {
            if !label.is_empty() {
                let what = format!("{label:?} was not read: a check belongs to no line");
                self.table.warn(Some(self.row.line), Some("line"), what);
            }
            return Some(LineId::default());
        }
        match self.labels.line(&label) {
            Ok(id) => Some(id),
            Err(advice) => self.refuse("line", "the label of a line of the site", advice),
        }
    }

    /// The node in `at`; none is the rack.
    fn place(&mut self, line: &LineId) -> Option<Option<NodeId>> {
        let label = self.cell("at");
        if label.is_empty() || label.eq_ignore_ascii_case(RACK) || line.as_str().is_empty() {
            return Some(None);
        }
        match self.labels.node(line, &label) {
            Ok(id) => Some(Some(id)),
            Err(advice) => {
                let wanted = format!("a label of line {}", self.cell("line"));
                self.refuse("at", wanted, advice)
            }
        }
    }

    fn when(&mut self) -> Option<Option<Timestamp>> {
        let Some(text) = self.some("when") else {
            return Some(None);
        };
        match text.parse::<Timestamp>() {
            Ok(at) => Some(Some(whole_second(at))),
            Err(_) => self.refuse(
                "when",
                "a time with its zone such as 2026-11-24T08:50:25Z",
                "if a spreadsheet changed it, format the column as text",
            ),
        }
    }

    fn visit(&mut self) -> Option<Option<VisitId>> {
        let Some(label) = self.some("visit") else {
            return Some(None);
        };
        match self.labels.visit(&label) {
            Ok(id) => Some(Some(id)),
            Err(advice) => self.refuse("visit", "the label of a visit of the site", advice),
        }
    }

    fn corrects(&mut self) -> Option<Option<EntryId>> {
        let Some(text) = self.some("corrects") else {
            return Some(None);
        };
        let id = EntryId(text.clone());
        if self.site.log().get(&id).is_some() || self.ids.contains(text.as_str()) {
            return Some(Some(id));
        }
        self.refuse(
            "corrects",
            "the id of an entry of the site",
            "log prints the ids",
        )
    }

    /// The instrument named, else the only one of its kind.
    fn instrument(&mut self, kind: &str) -> Option<InstrumentId> {
        let reads = match kind {
            "dc" => Reads::Dc,
            "insulation" => Reads::Insulation,
            _ => Reads::Impedance,
        };
        let wanted = format!("the label of an instrument that reads {}", reads.words());
        match self.some("instrument") {
            Some(label) => match self.labels.instrument(&label) {
                // A known resistor may be read with an ohmmeter too.
                Ok((id, own)) if own == reads || (kind == "check" && own == Reads::Dc) => Some(id),
                Ok(_) => self.refuse("instrument", wanted, "that one reads something else"),
                Err(advice) => self.refuse("instrument", wanted, advice),
            },
            None => {
                let of_kind = self.labels.instruments_reading(reads);
                match &of_kind[..] {
                    [(_, only)] => Some((*only).clone()),
                    [] => self.refuse("instrument", wanted, "the site has none: add one"),
                    several => {
                        let names: Vec<&str> = several.iter().map(|(label, _)| *label).collect();
                        let advice = format!("the site has several: {}", names.join(", "));
                        self.refuse("instrument", wanted, advice)
                    }
                }
            }
        }
    }

    fn facts(&self, kind: &str, text: &str, is: &WhatRow, at: Option<Timestamp>) -> String {
        let number = |value: f64| value.to_string();
        let (mut figures, mut side) = (Vec::new(), self.cell("side").to_lowercase());
        match is {
            WhatRow::Read { hz, phase, .. } => {
                figures.push(hz.map_or(String::new(), |hz| number(hz.get())));
                figures.push(phase.map_or(String::new(), |phase| number(phase.get())));
            }
            WhatRow::Insulate { leg, test_v, .. } => {
                side = format!("{leg:?}");
                figures.push(number(test_v.get()));
            }
            WhatRow::Check { known, .. } => figures.push(number(known.get())),
            WhatRow::Listen { gives, .. } => figures.push(format!("{gives:?}")),
            WhatRow::Repair { .. } | WhatRow::Void => {}
        }
        let at = at.map_or_else(String::new, |at| at.to_string());
        let words = |column| self.cell(column);
        let mut facts = vec![
            kind.to_owned(),
            words("line"),
            if matches!(is, WhatRow::Listen { .. } | WhatRow::Void) {
                String::new()
            } else {
                text.to_owned()
            },
            format!("{}", matches!(is, WhatRow::Void)),
            words("at"),
            side,
            words("visit"),
            words("instrument"),
            at,
            words("person"),
            words("note"),
            words("corrects"),
        ];
        facts.extend(figures);
        serde_json::to_string(&facts).unwrap_or_else(|_| facts.join("\n"))
    }
}
