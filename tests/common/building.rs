//! The lines of a building as its schedule lists them, and figures held against expected ones.
#![allow(dead_code)]

use super::{line, node, standard};
use linewright::diagnosis::{FaultKind, Posterior};
use linewright::quantity::{Metre, Watt};
use linewright::site::{LinePlan, NodeIs};
use serde_json::Value;
use std::collections::HashMap;

/// Rows of a CSV without quotes, by the names of its header.
pub fn rows(text: &str) -> Vec<HashMap<String, String>> {
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines
        .map(|line| {
            header
                .iter()
                .zip(line.split(','))
                .map(|(name, cell)| ((*name).to_owned(), cell.to_owned()))
                .collect()
        })
        .collect()
}

/// The lines of a schedule.
pub fn plans(schedule: &str) -> Vec<LinePlan> {
    let mut out: Vec<LinePlan> = Vec::new();
    for row in rows(schedule) {
        let label = row["line"].as_str();
        if out.last().is_none_or(|it| it.label != label) {
            let mut plan = line(row["line_v"].parse().unwrap(), Vec::new());
            label.clone_into(&mut plan.label);
            out.push(plan);
        }
        let plan = out.last_mut().unwrap();
        let from = match row["from"].as_str() {
            "" => plan.nodes.len().checked_sub(1),
            "rack" => None,
            feeds => plan.nodes.iter().position(|it| it.label == feeds),
        };
        let is = if row["what"] == "junction" {
            NodeIs::Junction
        } else {
            let taps: Option<Vec<Watt>> = (!row["taps_w"].is_empty()).then(|| {
                let taps = row["taps_w"].split([' ', '|', '/']);
                taps.map(|tap| Watt(tap.parse().unwrap())).collect()
            });
            let of = if row["type"].is_empty() {
                let mut taps: Vec<f64> = taps.iter().flatten().map(|tap| tap.get()).collect();
                taps.sort_by(f64::total_cmp);
                let taps: Vec<String> = taps.iter().map(ToString::to_string).collect();
                format!("taps {}", taps.join(" "))
            } else {
                row["type"].clone()
            };
            NodeIs::Loudspeaker {
                tap: Watt(row["tap_w"].parse().unwrap()),
                taps,
                of: of.into(),
                dc_block: false,
            }
        };
        let cable = if row["cable"].is_empty() {
            "1.5 mm2"
        } else {
            &row["cable"]
        };
        let mut stand = node(&row["loudspeaker"], from, 0.0, standard(cable), is);
        stand.run = row["run_m"].parse().ok().map(Metre);
        stand.control = row["control"] == "yes";
        plan.nodes.push(stand);
    }
    out
}

/// The farthest off of many figures.
#[derive(Default)]
pub struct Worst(Vec<(f64, String)>);

impl Worst {
    pub fn note(&mut self, off: f64, what: String) {
        self.0.push((off, what));
    }

    #[track_caller]
    pub fn check(mut self, least: usize, within: f64, of: &str) {
        assert!(
            self.0.len() >= least,
            "{of}: only {} compared",
            self.0.len()
        );
        self.0.sort_by(|a, b| b.0.total_cmp(&a.0));
        let (off, what) = &self.0[0];
        assert!(*off <= within, "{of}: {what} is off by {off}");
    }
}

/// How far posteriors are off from those that were reckoned outside the program.
#[derive(Default)]
pub struct Posteriors {
    classes: Worst,
    places: Worst,
    misfits: Worst,
}

impl Posteriors {
    pub fn note(&mut self, label: &str, got: &Posterior, want: &Value) {
        for (name, p) in want["classes"].as_object().unwrap() {
            let kind = FaultKind::named(name).unwrap();
            let off = (got.probability(kind).get() - p.as_f64().unwrap()).abs();
            self.classes.note(off, format!("{label} {name}"));
        }
        let listed = want["places"].as_object().unwrap();
        for (_, place, p) in &got.places {
            let want = listed.get(&**place).map_or(0.0, |it| it.as_f64().unwrap());
            let off = (p.get() - want).abs();
            self.places.note(off, format!("{label} {place}"));
        }
        let off = (got.misfit.get() - want["misfit"].as_f64().unwrap()).abs();
        self.misfits.note(off, label.to_owned());
    }

    /// At least so many lines, classes and places were compared, and those two are off by no more
    /// than `within`.
    #[track_caller]
    pub fn check(self, [lines, classes, places]: [usize; 3], within: f64) {
        self.misfits.check(lines, 5e-4, "misfit");
        self.classes.check(classes, within, "classes");
        self.places.check(places, within, "places");
    }
}
