//! The command that looks: `assess`.

use super::near::nearest;
use super::site_file::{read, store_failure, strikes_itself};
use super::{Refusal, print, say};
use crate::analysis::{Analyst, compare};
use crate::report::{self, Assessment, BaselineRow, Older};
use crate::review::{self, Standing};
use crate::site::{Ref, Site};
use crate::storage::{self, Disk};
use anyhow::{Context, Result};
use std::io::{ErrorKind, IsTerminal, Write};
use std::path::Path;

/// The largest older record that is read: a thousand times the demo's.
const LARGEST_JSON: u64 = 256 * 1024 * 1024;

/// Endings of records that cannot be held against anything: figures rounded, meters not told.
const WRITE_ONLY: [&str; 5] = ["csv", "pdf", "html", "htm", "md"];

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
    let only = only.and_then(|label| site.plan().line_labelled(label));
    Analyst::at_rest(site, only)
}

/// `assess`.
pub(super) fn assess(
    path: &Path,
    json: bool,
    line: Option<&str>,
    strict: bool,
    baseline: Option<&Path>,
) -> Result<u8> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    let site = &looked.site;
    site.log()
        .rings()
        .first()
        .map(strikes_itself)
        .iter()
        .for_each(say);
    broken_seals(site).iter().for_each(say);
    let analyst = reckon(site, line);
    let mut assessment = Assessment::of(site, &analyst, line);
    if let Some(label) = line.filter(|_| assessment.lines.is_empty()) {
        let whole = Assessment::of(site, &analyst, None);
        let labels = whole.lines.iter().map(|row| row.line.as_str());
        return Err(unknown_line(label, labels));
    }
    match baseline {
        Some(old) => assessment.baseline = Some(against(old, site, &analyst, line)?),
        None => assessment = assessment.with_visit_before(site, &analyst, line),
    }
    if json {
        print_json(&assessment)?;
    } else {
        print(&report::text(site, &analyst, &assessment))?;
    }
    Ok(u8::from(strict && assessment.is_bad()))
}

/// What is said of every seal that is broken, the newest first, a line a change; one that was signed
/// again since is history, and the record's.
pub(super) fn broken_seals(site: &Site) -> Vec<String> {
    let mut out = Vec::new();
    for seal in review::latest_seals(site)
        .iter()
        .filter(|it| !it.is_intact())
    {
        let (name, at) = (&seal.seal.name, seal.entry.at);
        let of = review::scope_words(site, &seal.seal.scope);
        out.push(match seal.standing(site) {
            Standing::TakenBack => format!(
                "seal: figures as {name} signed them at {at} for {of}; changed and taken back since"
            ),
            _ => format!("SEAL BROKEN: what {name} signed at {at} for {of} has changed"),
        });
        out.extend(seal.breaks.iter().map(|it| format!("  {}", it.words(site))));
    }
    out
}

/// The same in one line a seal, for a screen: the lines first.
pub(super) fn broken_in_short(site: &Site) -> Vec<String> {
    const MOST: usize = 3;
    let seals = review::latest_seals(site);
    let broken = seals.iter().filter(|it| !it.is_intact());
    broken
        .map(|seal| {
            let mut labels = seal.labels(site);
            let more = match labels.len().saturating_sub(MOST) {
                0 => String::new(),
                count => format!(" and {count} more"),
            };
            labels.truncate(MOST);
            let day: String = seal.entry.at.to_string().chars().take(10).collect();
            let (labels, name) = (labels.join(", "), &seal.seal.name);
            match seal.standing(site) {
                Standing::TakenBack => format!(
                    "figures as signed {day} by {name}: {labels}{more} changed and taken back since"
                ),
                _ => format!("SEAL BROKEN: {labels}{more} changed since signed {day} by {name}"),
            }
        })
        .collect()
}

/// A site against an older one: a site file, or the JSON of an older record by its ending.
pub(super) fn against(
    old: &Path,
    site: &Site,
    analyst: &Analyst,
    only: Option<&str>,
) -> Result<BaselineRow> {
    let ends = |wanted: &str| {
        let ending = old.extension();
        ending.is_some_and(|ending| ending.eq_ignore_ascii_case(wanted))
    };
    if WRITE_ONLY.into_iter().any(ends) {
        return Err(Refusal::of(format!(
            "--baseline: found {:?}, a record to be read by people; an older site file, or the .json that \
             `report --to FILE.json` makes of one, was wanted",
            old.display().to_string()
        )));
    }
    let is_json = ends("json");
    let (compared, of) = if is_json {
        let bytes = read(old, LARGEST_JSON)?;
        let text = String::from_utf8_lossy(&bytes);
        let older = Older::read(text.trim_start_matches('\u{feff}'))
            .map_err(|error| Refusal::of(format!("{}: {error}", old.display())))?;
        (compare(&older, (site, analyst)), older.name())
    } else {
        let looked = storage::read_only(&Disk, old).map_err(store_failure)?;
        let before = reckon(&looked.site, None);
        let visit = review::label_of(&looked.site, &Ref::Visit(looked.site.visit()));
        (
            compare((&looked.site, &before), (site, analyst)),
            format!("{}, {visit}", looked.site.label()),
        )
    };
    let mut row = report::baseline(&compared, &of);
    row.lines
        .retain(|it| only.is_none_or(|only| it.line == only));
    Ok(row)
}

/// Prints as JSON; what does not go to a terminal is written as it is made, since that of a large
/// site is as large as the site.
fn print_json(assessment: &Assessment) -> Result<()> {
    let out = std::io::stdout();
    if out.is_terminal() {
        return print(&json_text(assessment)?).map(drop);
    }
    let mut out = std::io::BufWriter::new(out.lock());
    let written = serde_json::to_writer_pretty(&mut out, assessment).map_err(std::io::Error::from);
    match written
        .and_then(|()| out.write_all(b"\n"))
        .and_then(|()| out.flush())
    {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(error).context("standard output")
        }
        _ => Ok(()),
    }
}

pub(super) fn json_text(assessment: &Assessment) -> Result<String> {
    assessment.to_json().context("a figure has no JSON form")
}
