//! Cells of a readings CSV -> rows as understood: labels found on the site, figures read.
//!
//! Never here: order, state and id of what is read.

use super::log::LogRows;
use super::near::Near;
use super::problem::{Fault, RowProblem, Warning, by_line};
use super::reading_columns::{COLUMNS, HEARD, KINDS, OF_SOME_KINDS, Row, WhatRow};
use super::readings::whole_second;
use super::site_labels::SiteLabels;
use super::table::{self, Table, read_table};
use crate::quantity::{DecimalSign, Degree, Hertz, Value, Volt, insulation, ohms, reading};
use crate::site::{Cut, EntryId, InstrumentId, Leg, LineId, NodeId, RACK, Reads, Site, VisitId};
use crate::storage::format1::LONGEST_NOTE;
use jiff::Timestamp;
use std::collections::HashSet;

/// Reads every row that is not on the site already; gives how many are.
pub(super) fn read_rows(
    file: &str,
    bytes: &[u8],
    site: &Site,
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
    if problems.is_empty() {
        Ok((out, known, table.warnings))
    } else {
        Err(by_line(problems))
    }
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
        let (reads, words) = match kind {
            "dc" => (Reads::Dc, "direct current"),
            "insulation" => (Reads::Insulation, "insulation"),
            _ => (Reads::Impedance, "impedance"),
        };
        let wanted = format!("the label of an instrument that reads {words}");
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

    /// The value cell as a figure: text with a decimal point, refused where it is damaged.
    fn figure<T, E: std::fmt::Display>(
        &mut self,
        column: &str,
        wanted: &str,
        text: &mut String,
        read: impl Fn(&str) -> Result<T, E>,
    ) -> Option<T> {
        let cell = self.cell(column);
        let sound = self.table.sound(self.row, column, wanted);
        self.keep(sound)?;
        let one_way = self.table.one_way(self.row, column, &cell, wanted);
        self.keep(one_way)?;
        *text = self.table.numbers().with_point(&cell);
        match read(text) {
            Ok(value) => Some(value),
            Err(_) if cell.is_empty() => self.refuse(column, wanted, ""),
            Err(error) => self.refuse(column, wanted, error.to_string()),
        }
    }

    fn read_ohms(
        &mut self,
        dc: bool,
        place: Option<Option<NodeId>>,
        text: &mut String,
    ) -> Option<WhatRow> {
        let wanted = "a reading such as 412, 4.1k, 41 x10, open or short";
        let sign = DecimalSign::Point;
        let value = self.figure("value", wanted, text, |text| reading(text, sign));
        let degrees = "a phase of -180 to 180 in degrees";
        let phase = self.phase(degrees);
        let above = "a frequency above 0 in hertz";
        let hz = self.table.number(self.row, "hz", "Hz", above, |v| v > 0.0);
        let hz = self.keep(hz);
        let side = self.cell("side").to_lowercase();
        let cut = match (place?, side.as_str()) {
            (None, "") => Some(None),
            (Some(at), "") => Some(Some(Cut::Whole(at))),
            (Some(at), "near") => Some(Some(Cut::Near(at))),
            (Some(at), "far") => Some(Some(Cut::Far(at))),
            (None, "near" | "far") => self.refuse(
                "at",
                "the label of the place where the line is opened",
                "a side belongs to a split",
            ),
            _ => self.refuse("side", "near, far or blank", ""),
        };
        Some(WhatRow::Read {
            value: value?,
            hz: if dc { Some(Hertz(0.0)) } else { hz?.map(Hertz) },
            phase: phase?.map(Degree).filter(|_| !dc),
            cut: cut?,
        })
    }

    /// A phase may be below zero.
    fn phase(&mut self, wanted: &str) -> Option<Option<f64>> {
        let cell = self.cell("phase_deg");
        let (sign, digits) = match cell.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (-1.0, rest.trim().to_owned()),
            None => (1.0, cell.trim_start_matches('+').to_owned()),
        };
        if digits.is_empty() {
            return if cell.is_empty() {
                Some(None)
            } else {
                self.refuse("phase_deg", wanted, "")
            };
        }
        let digits = digits
            .trim_end_matches('\u{b0}')
            .trim_end_matches("deg")
            .trim();
        let number = self.table.plain("phase_deg", digits);
        match number {
            Ok(value) if value <= 180.0 => Some(Some(sign * value)),
            Ok(_) => self.refuse("phase_deg", wanted, ""),
            Err(advice) => self.refuse("phase_deg", wanted, advice),
        }
    }

    fn insulate(&mut self, text: &mut String) -> Option<WhatRow> {
        let wanted = "an insulation reading with its unit, such as 200M or >999M";
        let sign = DecimalSign::Point;
        let value = self.figure("value", wanted, text, |text| insulation(text, sign));
        let leg = match self.cell("leg").to_lowercase().as_str() {
            "" | "both" => Some(Leg::Both),
            "a" => Some(Leg::A),
            "b" => Some(Leg::B),
            _ => self.refuse("leg", "both, a or b", ""),
        };
        let volts = "a test voltage above 0 in volts DC";
        let test_v = self
            .table
            .number(self.row, "test_v", "V", volts, |v| v > 0.0);
        let test_v = match self.keep(test_v) {
            Some(None) => self.refuse("test_v", volts, ""),
            other => other.flatten(),
        };
        Some(WhatRow::Insulate {
            value: value?,
            leg: leg?,
            test_v: Volt(test_v?),
        })
    }

    fn check(&mut self, text: &mut String) -> Option<WhatRow> {
        let sign = DecimalSign::Point;
        let wanted = "what the meter showed, in ohms, such as 325";
        let value = match self.figure("value", wanted, text, |text| reading(text, sign)) {
            Some(typed) if !matches!(typed.value, Value::Ohm(_)) => self.refuse(
                "value",
                wanted,
                "a check that reads open or short tells nothing",
            ),
            other => other,
        };
        let wanted = "the value of the known resistor in ohms";
        let mut unused = String::new();
        let known = self.figure("known_ohms", wanted, &mut unused, |text| ohms(text, sign));
        Some(WhatRow::Check {
            known: known?.0,
            value: value?,
        })
    }

    fn listen(&mut self, place: Option<Option<NodeId>>) -> Option<WhatRow> {
        let word = self.cell("value").to_lowercase();
        let gives = match HEARD.iter().find(|(name, _)| *name == word) {
            Some((_, gives)) => Some(*gives),
            None => {
                let names: Vec<&str> = HEARD.iter().map(|(name, _)| *name).collect();
                let advice = Near::new(names.iter().copied()).advice(&word, "");
                self.refuse("value", format!("one of {}", names.join(", ")), advice)
            }
        };
        let at = match place {
            Some(None) => self.refuse("at", "the label of the loudspeaker", ""),
            other => other.flatten(),
        };
        let tone = match self.some("instrument") {
            Some(label) if label.eq_ignore_ascii_case("amplifier") => Some("amplifier".to_owned()),
            Some(label) => match self.labels.instrument(&label) {
                Ok((id, _)) => Some(id.0),
                Err(advice) => {
                    let wanted = "amplifier, or the label of the instrument that gave the tone";
                    self.refuse("instrument", wanted, advice)
                }
            },
            None => self.instrument("impedance").map(|id| id.0),
        };
        Some(WhatRow::Listen {
            at: at?,
            gives: gives?,
            tone: tone?,
        })
    }

    fn repair(&mut self, place: Option<Option<NodeId>>) -> Option<WhatRow> {
        if self.cell("value").is_empty() {
            return self.refuse("value", "what was done, in words", "");
        }
        Some(WhatRow::Repair { place: place? })
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
