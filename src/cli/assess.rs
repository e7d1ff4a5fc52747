//! Commands that only look: `assess`, `report`.

use super::site_file::store_failure;
use super::{Failure, print, say};
use crate::analysis::Analyst;
use crate::report::{self, Assessment};
use crate::site::Site;
use crate::storage::{self, Disk};
use std::path::Path;

/// What is said when a label is not on the site.
fn unknown_line(site: &Site, label: &str) -> Failure {
    let near = site
        .plan()
        .lines
        .iter()
        .map(|line| line.label.as_str())
        .find(|other| other.eq_ignore_ascii_case(label.trim()));
    let advice = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
    Failure::input(format!(
        "--line: found {label:?}, the label of a line of this site was wanted{advice}"
    ))
}

/// A site with the suspects of every line reckoned, or of the one line labelled `only`.
pub(super) fn reckon(site: &Site, only: Option<&str>) -> Analyst {
    let mut analyst = Analyst::new(site);
    let lines = &site.plan().lines;
    for at in (0..lines.len()).filter(|at| only.is_none_or(|label| lines[*at].label == label)) {
        analyst.look(site, at);
    }
    analyst
}

/// `assess`.
pub(super) fn assess(
    path: &Path,
    json: bool,
    line: Option<&str>,
    strict: bool,
) -> Result<u8, Failure> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    let site = &looked.site;
    if let Some(label) = line.filter(|label| site.plan().line_labelled(label).is_none()) {
        return Err(unknown_line(site, label));
    }
    let analyst = reckon(site, line);
    let assessment = Assessment::of(site, &analyst, line);
    if json {
        print(&json_text(&assessment)?)?;
    } else {
        print(&report::text(site, &analyst, &assessment))?;
    }
    Ok(u8::from(strict && assessment.is_bad()))
}

fn json_text(assessment: &Assessment) -> Result<String, Failure> {
    assessment
        .to_json()
        .map_err(|error| Failure::disk(format!("a figure has no JSON form: {error}")))
}

/// `report`.
pub(super) fn report(path: &Path, to: &Path) -> Result<u8, Failure> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    let analyst = reckon(&looked.site, None);
    let assessment = Assessment::of(&looked.site, &analyst, None);
    let ending = to
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    let text = match ending.as_deref() {
        Some("md") => report::text(&looked.site, &analyst, &assessment),
        Some("json") => json_text(&assessment)?,
        _ => {
            return Err(Failure::input(format!(
                "--to: found {:?}, a file ending in .md or .json was wanted",
                to.display().to_string()
            )));
        }
    };
    storage::write_whole(&Disk, to, text.as_bytes()).map_err(store_failure)?;
    say(format!("{} written", to.display()));
    Ok(0)
}
