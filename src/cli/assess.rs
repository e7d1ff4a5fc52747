//! Commands that only look: `assess`, `report`.

use super::near::nearest;
use super::site_file::{store_failure, strikes_itself};
use super::{Refusal, print, say};
use crate::analysis::Analyst;
use crate::report::{self, Assessment};
use crate::site::Site;
use crate::storage::{self, Disk, StoreError};
use anyhow::{Context, Result, anyhow};
use std::path::Path;

/// What is said when a label is not on the site.
fn unknown_line<'a>(label: &str, labels: impl Iterator<Item = &'a str>) -> anyhow::Error {
    let advice =
        nearest(label, labels).map_or_else(String::new, |near| format!("; did you mean {near}?"));
    Refusal::of(format!(
        "--line: found {label:?}, the label of a line of this site was wanted{advice}"
    ))
}

/// A site with its figures at rest: the suspects of every line, or of the one labelled `only`.
pub(super) fn reckon(site: &Site, only: Option<&str>) -> Analyst {
    let mut analyst = Analyst::new(site);
    analyst.settle(
        site,
        only.and_then(|label| site.plan().line_labelled(label)),
    );
    analyst
}

/// `assess`.
pub(super) fn assess(path: &Path, json: bool, line: Option<&str>, strict: bool) -> Result<u8> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    let site = &looked.site;
    site.log()
        .rings()
        .first()
        .map(strikes_itself)
        .iter()
        .for_each(say);
    let analyst = reckon(site, line);
    let assessment = Assessment::of(site, &analyst, line);
    if let Some(label) = line.filter(|_| assessment.lines.is_empty()) {
        let whole = Assessment::of(site, &analyst, None);
        let labels = whole.lines.iter().map(|row| row.line.as_str());
        return Err(unknown_line(label, labels));
    }
    if json {
        print(&json_text(&assessment)?)?;
    } else {
        print(&report::text(site, &analyst, &assessment))?;
    }
    Ok(u8::from(strict && assessment.is_bad()))
}

fn json_text(assessment: &Assessment) -> Result<String> {
    assessment.to_json().context("a figure has no JSON form")
}

/// `report`.
pub(super) fn report(path: &Path, to: &Path) -> Result<u8> {
    let ending = to
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    let json = match ending.as_deref() {
        Some("md") => false,
        Some("json") => true,
        _ => {
            return Err(Refusal::of(format!(
                "--to: found {:?}, a file ending in .md or .json was wanted",
                to.display().to_string()
            )));
        }
    };
    if storage::is_same_file(&Disk, to, path) {
        return Err(Refusal::of(format!(
            "--to: found {:?}, the site file itself; another file was wanted",
            to.display().to_string()
        )));
    }
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    let analyst = reckon(&looked.site, None);
    let assessment = Assessment::of(&looked.site, &analyst, None);
    let text = if json {
        json_text(&assessment)?
    } else {
        report::text(&looked.site, &analyst, &assessment)
    };
    storage::write_whole(&Disk, to, text.as_bytes()).map_err(|error| match error {
        // The file that was asked for, not the one it is written to first.
        StoreError::Disk { why, .. } => {
            anyhow!("{} cannot be written: {why}", to.display())
        }
        other => store_failure(other),
    })?;
    say(format!("{} written", to.display()));
    Ok(0)
}
