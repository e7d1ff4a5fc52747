//! An older record as baseline: the JSON that `assess --json` and `report` write, read back.
//!
//! What it says of a reading's meter is taken as it stands there. A record from before that was
//! written has the reading's uncertainty alone: then the meter's factor is that of the hint of a
//! common factor, where one names the instrument, else none.
//!
//! Never here: files.

use crate::analysis::{Analyst, Earlier, Pair, Taken};
use crate::diagnosis::SiteFault;
use crate::quantity::{Ohm, Value};
use crate::review::label_of;
use crate::site::{LineId, LinePlan, PLAIN_ACCURACY, Ref, Site};
use crate::verdict::{Datum, Factor};
use serde::Deserialize;
use serde_json::Value as Json;
use thiserror::Error;

/// An older record that cannot be a baseline.
#[derive(Debug, Error)]
pub enum OlderError {
    /// It is no such JSON.
    #[error(
        "line {line}, column {column}: {why}; the JSON of `assess --json` or of `report --to FILE.json` \
         was wanted"
    )]
    NotOne {
        /// Line of the text, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong.
        why: String,
    },
    /// Its shape is of another version.
    #[error("\"schema\" is {0}, 1 was wanted; it was written by a newer program")]
    Schema(u64),
    /// A reading is none.
    #[error(
        "line {line:?}: \"ohms\" is {found}; ohms above zero, \"open\" or \"short\" were wanted"
    )]
    Ohms {
        /// Label of the line.
        line: String,
        /// What stands there.
        found: Json,
    },
}

#[derive(Debug, Deserialize)]
struct Told {
    schema: u64,
    #[serde(default)]
    site: Option<String>,
    #[serde(default)]
    visit: Option<String>,
    #[serde(default)]
    visit_id: Option<String>,
    #[serde(default)]
    site_id: Option<String>,
    #[serde(default)]
    outputs: Vec<ToldOutput>,
    lines: Vec<ToldLine>,
    #[serde(default)]
    instruments: Vec<ToldInstrument>,
    #[serde(default)]
    site_hints: Vec<ToldHint>,
}

#[derive(Debug, Deserialize)]
struct ToldOutput {
    amplifier: String,
    output: String,
    #[serde(default)]
    line_v: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct ToldLine {
    line: String,
    #[serde(default)]
    id: Option<String>,
    #[serde(default)]
    amplifier: Option<String>,
    #[serde(default)]
    output: Option<String>,
    #[serde(default)]
    expected: Option<ToldExpected>,
    #[serde(default)]
    measured: Option<ToldMeasured>,
    #[serde(default)]
    u_rel: Option<f64>,
    #[serde(default)]
    reading: Option<ToldReading>,
    #[serde(default)]
    nodes: Vec<ToldNode>,
}

#[derive(Debug, Deserialize)]
struct ToldExpected {
    ohms: Json,
}

#[derive(Debug, Deserialize)]
struct ToldMeasured {
    ohms: Json,
    #[serde(default)]
    when: Option<String>,
    #[serde(default)]
    instrument: Option<String>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
struct ToldReading {
    step_ohm: f64,
    ln_factor: f64,
    u_ln_factor: f64,
}

#[derive(Debug, Deserialize)]
struct ToldNode {
    at: String,
    #[serde(default)]
    from: Option<String>,
    what: String,
    #[serde(default)]
    tap_w: Option<f64>,
    #[serde(default)]
    run_m: Option<f64>,
    cable: String,
    #[serde(default)]
    control: bool,
}

#[derive(Debug, Deserialize)]
struct ToldInstrument {
    instrument: String,
    accuracy: f64,
}

#[derive(Debug, Deserialize)]
struct ToldHint {
    fault: String,
    #[serde(default)]
    instrument: Option<String>,
    #[serde(default)]
    factor: Option<f64>,
}

/// An older record.
#[derive(Debug)]
pub struct Older {
    told: Told,
    values: Vec<Option<Value>>,
}

fn value_of(line: &str, ohms: &Json) -> Result<Value, OlderError> {
    let wrong = || OlderError::Ohms {
        line: line.to_owned(),
        found: ohms.clone(),
    };
    match (ohms.as_f64(), ohms.as_str()) {
        (Some(it), _) if it > 0.0 && it.is_finite() => Ok(Value::Ohm(Ohm(it))),
        (_, Some("open")) => Ok(Value::Open),
        (_, Some("short")) => Ok(Value::Short),
        _ => Err(wrong()),
    }
}

impl Older {
    /// Reads one.
    ///
    /// # Errors
    /// When the text is no such JSON, is of another version, or holds a reading that is none.
    pub fn read(text: &str) -> Result<Self, OlderError> {
        let told: Told = serde_json::from_str(text).map_err(|error| OlderError::NotOne {
            line: error.line(),
            column: error.column(),
            why: without_place(&error.to_string()).to_owned(),
        })?;
        if told.schema != 1 {
            return Err(OlderError::Schema(told.schema));
        }
        let values = told
            .lines
            .iter()
            .map(|line| {
                let measured = line.measured.as_ref();
                measured
                    .map(|it| value_of(&line.line, &it.ohms))
                    .transpose()
            })
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Self { told, values })
    }

    /// What it calls itself: the building and its visit.
    #[must_use]
    pub fn name(&self) -> String {
        let part = |it: &Option<String>| it.clone().unwrap_or_default();
        match (part(&self.told.site), part(&self.told.visit)) {
            (site, visit) if visit.is_empty() => site,
            (site, visit) => format!("{site}, {visit}"),
        }
    }

    /// The reading of a line with what its meter shares.
    fn datum(&self, was: usize, analyst: &Analyst) -> Option<Datum> {
        let line = &self.told.lines[was];
        let Some(Value::Ohm(read)) = self.values[was] else {
            return None;
        };
        if let Some(it) = line.reading {
            return Some(Datum {
                read,
                step: Ohm(it.step_ohm),
                factor: Factor {
                    ln_mean: it.ln_factor,
                    ln_var: it.u_ln_factor * it.u_ln_factor,
                },
            });
        }
        let instrument = line.measured.as_ref().and_then(|it| it.instrument.as_ref());
        let hint = self.told.site_hints.iter().find(|it| {
            it.fault == SiteFault::CommonFactor.as_str()
                && it.instrument.is_some()
                && it.instrument.as_ref() == instrument
        });
        let factor = hint.and_then(|it| it.factor).filter(|it| *it > 0.0);
        let mut known = self.told.instruments.iter();
        let accuracy = known.find(|it| Some(&it.instrument) == instrument);
        let contacts = analyst.limits().contacts.get() / read.get();
        let ln_var = match line.u_rel {
            // The contacts are counted with the reading itself.
            Some(u) => (u * u - contacts * contacts).max(0.0),
            None => {
                let a = accuracy.map_or(PLAIN_ACCURACY.get(), |it| it.accuracy);
                a * a / 3.0
            }
        };
        Some(Datum {
            read,
            step: Ohm(0.0),
            factor: Factor {
                ln_mean: factor.map_or(0.0, f64::ln),
                ln_var,
            },
        })
    }

    /// Whether a line was drawn as one is now: by its nodes where they are told, else by what it
    /// should have read.
    fn same_design(&self, was: usize, site: &Site, analyst: &Analyst, at: usize) -> bool {
        let (line, plan) = (&self.told.lines[was], &site.plan().lines[at]);
        let output = self.told.outputs.iter().find(|it| {
            Some(&it.amplifier) == line.amplifier.as_ref()
                && Some(&it.output) == line.output.as_ref()
        });
        let volts = output.and_then(|it| it.line_v);
        if volts.is_some_and(|volts| volts != plan.volts.get()) {
            return false;
        }
        if !line.nodes.is_empty() {
            return same_nodes(&line.nodes, plan);
        }
        let now = analyst.line(at).design.expected.map(Ohm::get);
        let then = line.expected.as_ref().and_then(|it| it.ohms.as_f64());
        match (then, now) {
            (Some(then), Some(now)) => (then / now - 1.0).abs() < 1e-6,
            (then, now) => then.is_none() && now.is_none(),
        }
    }
}

fn same_nodes(then: &[ToldNode], plan: &LinePlan) -> bool {
    let place = |label: &Option<String>| {
        let label = label.as_ref()?;
        then.iter().position(|node| node.at == *label)
    };
    then.len() == plan.nodes.len()
        && then.iter().zip(&plan.nodes).all(|(then, now)| {
            then.what == now.is.word()
                && place(&then.from) == now.from
                && then.tap_w == now.tap().map(|it| it.get())
                && then.run_m == now.run.map(|it| it.get())
                && then.cable == now.cable
                && then.control == now.control
        })
}

/// The place is said apart.
fn without_place(why: &str) -> &str {
    why.split(" at line ").next().unwrap_or(why)
}

impl Earlier for &Older {
    fn lines(&self) -> Vec<(Option<LineId>, String)> {
        let lines = self.told.lines.iter();
        lines
            .map(|it| (it.id.as_deref().map(LineId::from), it.line.clone()))
            .collect()
    }

    fn pair(
        &self,
        was: usize,
        (site, analyst): (&Site, &Analyst),
        at: usize,
        now: Option<&Taken>,
    ) -> Pair {
        let told = self.told.lines[was].measured.as_ref();
        let when = told.and_then(|it| it.when.as_deref());
        let instrument = now.and_then(|it| it.instrument.as_ref());
        let instrument = instrument.map(|it| label_of(site, &Ref::Instrument(it.clone())));
        let one_meter = told.and_then(|it| it.instrument.as_ref()) == instrument.as_ref();
        Pair {
            then: self.values[was],
            datum: self.datum(was, analyst),
            same_reading: one_meter
                && when.is_some()
                && now.is_some_and(|it| {
                    it.at.map(|at| at.to_string()).as_deref() == when
                        && self.values[was] == Some(it.value)
                }),
            // Where the ids are not told it is taken for another: that claims less.
            same_meter: one_meter
                && self.told.site_id.as_deref() == Some(site.id().as_str())
                && self.told.visit_id.as_deref() == Some(site.visit().as_str()),
            same_design: self.same_design(was, site, analyst, at),
        }
    }
}
