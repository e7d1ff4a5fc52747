//! A mistake of the whole site as a row.
//!
//! Never here: whose it is likelier to be.

use super::rows::{SiteHintRow, SitePlaceRow};
use crate::diagnosis::SiteHint;
use crate::site::{LineId, Site};

pub(super) fn site_hint(site: &Site, hint: &SiteHint) -> SiteHintRow {
    let plan = site.plan();
    let label = |line: &LineId| {
        plan.line(line)
            .map_or_else(|| line.to_string(), |at| plan.lines[at].label.clone())
    };
    SiteHintRow {
        fault: hint.fault.as_str(),
        lines: hint.lines.iter().map(label).collect(),
        probability: hint.probability.get(),
        text: hint.text.clone(),
        instrument: hint
            .meter
            .as_ref()
            .map(|meter| meter.instrument.to_string()),
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
