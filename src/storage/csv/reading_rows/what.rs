//! What a row of a readings CSV says, kind by kind: a reading, insulation, a known resistor, what was
//! heard, a repair.

use super::super::near::Near;
use super::super::reading_columns::{HEARD, WhatRow};
use super::RowReader;
use crate::quantity::{DecimalSign, Degree, Hertz, Value, Volt, insulation, ohms, reading};
use crate::site::{Cut, Leg, NodeId};

impl RowReader<'_, '_> {
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

    pub(super) fn read_ohms(
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

    pub(super) fn insulate(&mut self, text: &mut String) -> Option<WhatRow> {
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

    pub(super) fn check(&mut self, text: &mut String) -> Option<WhatRow> {
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

    pub(super) fn listen(&mut self, place: Option<Option<NodeId>>) -> Option<WhatRow> {
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

    pub(super) fn repair(&mut self, place: Option<Option<NodeId>>) -> Option<WhatRow> {
        if self.cell("value").is_empty() {
            return self.refuse("value", "what was done, in words", "");
        }
        Some(WhatRow::Repair { place: place? })
    }
}
