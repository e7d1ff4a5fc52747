//! A mistake of the whole site as a row.
//!
//! Never here: whose it is likelier to be.

use crate::diagnosis::{SiteFault, SiteHint};
use crate::site::{LineId, Site};
use serde::Serialize;

/// What only the whole site shows.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SiteHintRow {
    /// The mistake, or `common-factor`, `common-type`.
    #[cfg_attr(test, schemars(with = "super::schema_words::SiteFaults"))]
    pub fault: &'static str,
    /// The same, for words: no part of the JSON.
    #[serde(skip)]
    pub kind: SiteFault,
    /// Labels of the lines it touches; empty where it touches all.
    pub lines: Vec<String>,
    /// How likely.
    pub probability: f64,
    /// In words, with what confirms or clears it.
    pub text: String,
    /// What it would be: its sentence without the test at its end. No part of the JSON.
    #[serde(skip)]
    pub claim: String,
    /// The test at its end: no part of the JSON.
    #[serde(skip)]
    pub test: String,
    /// The instrument whose factor it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// In whose hands it was, where several read with it and no serial number says that it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The visit it was used on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visit: Option<String>,
    /// The loudspeaker type whose factor it is.
    #[serde(rename = "type", skip_serializing_if = "Option::is_none")]
    pub of_type: Option<String>,
    /// Read over true of an instrument, a range left out or a digit too many, or true over marked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor: Option<f64>,
    /// Standard uncertainty of the factor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub u: Option<f64>,
    /// Which loudspeaker was moved.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<SitePlaceRow>,
}

/// A loudspeaker of a line.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SitePlaceRow {
    /// Label of the line it is listed on.
    pub line: String,
    /// Its label.
    pub at: String,
    /// Its probability.
    pub probability: f64,
}

/// One of them as a row.
pub(super) fn site_hint(site: &Site, hint: &SiteHint) -> SiteHintRow {
    let plan = site.plan();
    let label = |line: &LineId| {
        plan.line(line)
            .map_or_else(|| line.to_string(), |at| plan.lines[at].label.clone())
    };
    SiteHintRow {
        fault: hint.fault.as_str(),
        kind: hint.fault,
        lines: hint.lines.iter().map(label).collect(),
        probability: hint.probability.get(),
        text: hint.text.clone(),
        claim: hint.claim().to_owned(),
        test: hint.test().to_owned(),
        instrument: hint
            .meter
            .as_ref()
            .map(|meter| meter.instrument.to_string()),
        by: hint.meter.as_ref().and_then(|meter| meter.hand.clone()),
        visit: hint.meter.as_ref().map(|meter| meter.visit.to_string()),
        of_type: hint.of_type.as_ref().map(ToString::to_string),
        factor: hint.factor.map(|it| it.get()),
        u: hint.u.map(|it| it.get()),
        places: hint
            .places
            .iter()
            .map(|(line, _, at, probability)| SitePlaceRow {
                line: label(line),
                at: at.clone(),
                probability: probability.get(),
            })
            .collect(),
    }
}
