//! The command `settle`: a word on a flagged line or output, or what was repaired.
//!
//! Never here: what wants a word.

use super::here::today;
use super::near::nearest;
use super::signing::{a_line, an_output, named, record, record_all, unknown};
use super::{Refusal, TerminalArguments};
use crate::analysis::Analyst;
use crate::review;
use crate::site::{Decision, Do, Repair};
use anyhow::Result;
use jiff::civil::Date;
use std::path::Path;

/// A word on a flagged thing.
#[derive(Debug, clap::Args)]
#[group(skip)]
pub(super) struct WordArguments {
    /// Accepted as it is, and why.
    #[arg(long, value_name = "WHY", conflicts_with_all = ["snag", "skip"])]
    accept: Option<String>,
    /// Left open on the snag list, and why; wants --owner and --due.
    #[arg(
        long,
        value_name = "WHY",
        requires = "owner",
        requires = "due",
        conflicts_with = "skip"
    )]
    snag: Option<String>,
    /// Who sees to it.
    #[arg(long, value_name = "NAME", requires = "snag")]
    owner: Option<String>,
    /// By when: 2026-12-01.
    #[arg(long, value_name = "DATE", requires = "snag")]
    due: Option<String>,
    /// An unread line, or loudspeakers not listened to, left for later, and why.
    #[arg(long, value_name = "WHY")]
    skip: Option<String>,
    /// Repaired, and what was done; the line is then read again.
    #[arg(long, value_name = "WHAT", conflicts_with_all = ["accept", "snag", "skip"])]
    repaired: Option<String>,
    /// The fault that was found: wrong-tap, line-open, bad-joint and so on.
    #[arg(long, value_name = "FAULT", requires = "repaired")]
    cause: Option<String>,
    /// Label of the loudspeaker or joint where it was found.
    #[arg(long, value_name = "LABEL", requires = "repaired")]
    at: Option<String>,
}

/// `settle`.
pub(super) fn settle(
    path: &Path,
    labels: &[String],
    word: &WordArguments,
    terminal: &TerminalArguments,
) -> Result<u8> {
    if let Some(what) = &word.repaired {
        let [of] = labels else {
            return Err(Refusal::of(format!(
                "--repaired: found {} labels, one line was wanted: what was done is said of each",
                labels.len()
            )));
        };
        return repaired(path, of, what, word, terminal);
    }
    let (is, why) = decision(word)?;
    if why.trim().is_empty() {
        return Err(Refusal::of(
            "found no reason; a few words of why were wanted",
        ));
    }
    // All of them or none: a label that names nothing is found before anything is recorded.
    record_all(path, terminal, |site| {
        let mut said = Vec::new();
        let accepts = is == Decision::Accepted;
        let analyst = accepts.then(|| Analyst::new(site));
        for label in labels {
            let of = named(site, label, &[a_line, an_output]).ok_or_else(|| {
                let wanted = "the label of a line, or of an output (A1/2),";
                unknown("label", label, (wanted, &[a_line, an_output]), site)
            })?;
            if let Some(analyst) = &analyst
                && let Some(why) = review::unfit_word(site, analyst, &of, &is)
            {
                return Err(Refusal::of(format!("--accept: {why}: --skip WHY")));
            }
            let word = review::decide(site, of, is.clone());
            said.push((Do::Decide(word), Some(why.clone())));
        }
        Ok(said)
    })?;
    Ok(0)
}

fn repaired(
    path: &Path,
    of: &str,
    what: &str,
    word: &WordArguments,
    terminal: &TerminalArguments,
) -> Result<u8> {
    if what.trim().is_empty() {
        return Err(Refusal::of(
            "--repaired: found nothing, a few words of what was done were wanted",
        ));
    }
    if let Some(cause) = &word.cause
        && !review::causes().any(|it| it == cause)
    {
        return Err(Refusal::of(format!(
            "--cause: found {cause:?}, one of {} was wanted",
            review::causes().collect::<Vec<_>>().join(", ")
        )));
    }
    record(path, terminal, |site| {
        let at = site
            .plan()
            .line_labelled(of)
            .ok_or_else(|| unknown("label", of, ("the label of a line", &[a_line]), site))?;
        let line = &site.plan().lines[at];
        let place = match &word.at {
            None => None,
            Some(label) => Some(
                line.nodes
                    .iter()
                    .find(|node| node.label == *label)
                    .map(|node| node.id.clone())
                    .ok_or_else(|| {
                        let labels = line.nodes.iter().map(|node| node.label.as_str());
                        let advice = nearest(label, labels)
                            .map_or_else(String::new, |near| format!("; did you mean {near}?"));
                        Refusal::of(format!(
                            "--at: found {label:?}, a label of {of} was wanted{advice}"
                        ))
                    })?,
            ),
        };
        let repair = Repair {
            line: line.id.clone(),
            after: site.history(&line.id).state(),
            what: what.to_owned(),
            place,
            cause: word.cause.clone(),
        };
        Ok((Do::Repair(repair), None))
    })?;
    Ok(0)
}

fn decision(word: &WordArguments) -> Result<(Decision, String)> {
    if let Some(why) = &word.accept {
        return Ok((Decision::Accepted, why.clone()));
    }
    if let Some(why) = &word.skip {
        return Ok((Decision::Skipped, why.clone()));
    }
    let (Some(why), Some(owner), Some(due)) = (&word.snag, &word.owner, &word.due) else {
        return Err(Refusal::of(
            "found no word; --accept WHY, --skip WHY, or --snag WHY --owner NAME --due DATE was wanted",
        ));
    };
    let due: Date = due.parse().map_err(|_| {
        Refusal::of(format!(
            "--due: found {due:?}, a date such as 2026-12-01 was wanted"
        ))
    })?;
    if let Some(past) = review::past_due(due, today()) {
        return Err(Refusal::of(format!("--due: {past}")));
    }
    let snag = Decision::Snag {
        owner: owner.clone(),
        due: Some(due),
    };
    Ok((snag, why.clone()))
}
