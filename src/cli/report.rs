//! The command that writes: `report`. The record of a hand-over, or one of the small prints; its kind
//! goes by the file's ending.

use super::assess::{against, broken_seals, json_text, reckon};
use super::site_file::store_failure;
use super::{Refusal, say};
use crate::report::{self, Assessment, Paper, Separator};
use crate::storage::{self, Disk, StoreError};
use anyhow::{Context, Result, anyhow};
use clap::ValueEnum;
use clap::builder::PossibleValue;
use std::path::{Path, PathBuf};

/// What is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum Print {
    /// The hand-over record.
    #[default]
    Record,
    /// Ohms and watts at the site's line voltages, for the rack door.
    Chart,
    /// Loudspeakers in cable order with boxes, for who walks without a laptop.
    Walk,
    /// A label for each line.
    Labels,
}

/// The paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum PaperName {
    /// 210 x 297 mm.
    #[default]
    A4,
    /// 8.5 x 11 inch.
    Letter,
}

/// How a report is written.
#[derive(Clone, Debug, clap::Args)]
pub(super) struct ReportArguments {
    /// The file to write: .html, .pdf, .md, .csv (one row a line) or .json.
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    /// What to write.
    #[arg(long, value_enum, default_value_t, value_name = "WHAT")]
    of: Print,
    /// An older site file, or the .json of an older record, to compare with.
    #[arg(long, value_name = "OLD")]
    baseline: Option<PathBuf>,
    /// Write over a file that is there.
    #[arg(long)]
    force: bool,
    /// CSV for spreadsheets of countries with a decimal comma: semicolons between cells.
    #[arg(long)]
    semicolon: bool,
    /// Paper of a PDF.
    #[arg(long, value_enum, default_value_t, value_name = "PAPER")]
    paper: PaperName,
}

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Html,
    Pdf,
    Markdown,
    Csv,
    Json,
}

const KNOWN: &str = ".html, .pdf, .md, .csv or .json";

fn kind_of(to: &Path) -> Result<Kind> {
    let ending = to
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("html" | "htm") => Ok(Kind::Html),
        Some("pdf") => Ok(Kind::Pdf),
        Some("md") => Ok(Kind::Markdown),
        Some("csv") => Ok(Kind::Csv),
        Some("json") => Ok(Kind::Json),
        _ => Err(Refusal::of(format!(
            "--to: found {:?}, a file ending in {KNOWN} was wanted",
            to.display().to_string()
        ))),
    }
}

/// `report`.
pub(super) fn report(path: &Path, how: &ReportArguments) -> Result<u8> {
    let to = how.to.as_path();
    let kind = kind_of(to)?;
    if how.of != Print::Record && matches!(kind, Kind::Csv | Kind::Json) {
        return Err(Refusal::of(format!(
            "--to: found {:?}, a file ending in .html, .pdf or .md was wanted for a small print",
            to.display().to_string()
        )));
    }
    if how.of != Print::Record && how.baseline.is_some() {
        let of = how.of.to_possible_value();
        return Err(Refusal::of(format!(
            "--baseline: found it beside --of {}, which compares nothing; the record was wanted: leave one \
             of the two out",
            of.as_ref().map_or("", PossibleValue::get_name)
        )));
    }
    if kind == Kind::Csv && how.baseline.is_some() {
        return Err(Refusal::of(
            "--baseline: found it beside --to FILE.csv, one row a line, which compares nothing; .html, .pdf, \
             .md or .json was wanted"
                .to_owned(),
        ));
    }
    if storage::is_same_file(&Disk, to, path) {
        return Err(Refusal::of(format!(
            "--to: found {:?}, the site file itself; another file was wanted",
            to.display().to_string()
        )));
    }
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    if to.exists() && !how.force {
        return Err(Refusal::of(format!(
            "{} is there already and stays as it is; name another file, or write over it with --force",
            to.display()
        )));
    }
    looked.notices.iter().for_each(say);
    let site = &looked.site;
    broken_seals(site).iter().for_each(say);
    let analyst = reckon(site, None);
    let mut data = Assessment::of(site, &analyst, None);
    match &how.baseline {
        Some(old) => data.baseline = Some(against(old, site, &analyst, None)?),
        None if how.of == Print::Record && kind != Kind::Csv => {
            data = data.with_visit_before(site, &analyst, None);
        }
        // They compare nothing.
        None => {}
    }
    let document = || match how.of {
        Print::Record => report::record(&data),
        Print::Chart => report::chart(&data),
        Print::Walk => report::walk_sheet(&data),
        Print::Labels => report::labels(&data),
    };
    let bytes = match kind {
        Kind::Json => json_text(&data)?.into_bytes(),
        Kind::Csv if how.semicolon => report::csv(&data, Separator::Semicolon),
        Kind::Csv => report::csv(&data, Separator::Comma),
        Kind::Markdown => report::markdown(&document()).into_bytes(),
        Kind::Html => report::html(&document()).into_bytes(),
        Kind::Pdf => report::pdf(
            &document(),
            match how.paper {
                PaperName::A4 => Paper::A4,
                PaperName::Letter => Paper::Letter,
            },
        )
        .context("nothing written")?,
    };
    storage::write_whole(&Disk, to, &bytes).map_err(|error| match error {
        // The file that was asked for, not the one it is written to first.
        StoreError::Disk { why, .. } => {
            anyhow!("{} cannot be written: {why}", to.display())
        }
        other => store_failure(other),
    })?;
    say(format!("{} written", to.display()));
    Ok(0)
}
