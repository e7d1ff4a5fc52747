//! Commands before leaving: `review`, `settle`, `tick`, `sign`.
//!
//! None of them states that anything is safe or meets a code.

use super::assess::reckon;
use super::near::nearest;
use super::open::{now, who};
use super::site_file::{Writing, store_failure};
use super::{Refusal, TerminalArguments, print, say};
use crate::report;
use crate::review::{self, Item, Signing, TICKS, TickList};
use crate::site::{
    CORES_OFF, CORES_ON, Decide, Decision, Do, Entry, Ref, Repair, Site, StateId, Tick, TickIs,
};
use crate::storage::{self, Disk};
use anyhow::Result;
use jiff::{Timestamp, civil::Date};
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

/// Finds what a label names, of one kind of thing.
type Find = fn(&Site, &str) -> Option<Ref>;

/// What a label names: `site`, an amplifier, a zone, a line; `A1/2` is an output.
fn named(site: &Site, label: &str, kinds: &[Find]) -> Option<Ref> {
    kinds.iter().find_map(|find| find(site, label))
}

fn an_amplifier(site: &Site, label: &str) -> Option<Ref> {
    let found = site.plan().amplifiers.iter().find(|it| it.label == label)?;
    Some(Ref::Amplifier(found.id.clone()))
}

fn a_zone(site: &Site, label: &str) -> Option<Ref> {
    let found = site.plan().lines.iter().find(|it| it.zone_label == label)?;
    Some(Ref::Zone(found.zone.clone()))
}

fn a_line(site: &Site, label: &str) -> Option<Ref> {
    let at = site.plan().line_labelled(label)?;
    Some(Ref::Line(site.plan().lines[at].id.clone()))
}

fn an_output(site: &Site, label: &str) -> Option<Ref> {
    let found = site
        .plan()
        .outputs
        .iter()
        .find(|it| format!("{}/{}", it.amplifier, it.label) == label)?;
    Some(Ref::Output(found.id.clone()))
}

fn unknown(option: &str, label: &str, wanted: &str, site: &Site) -> anyhow::Error {
    let plan = site.plan();
    let labels = plan
        .amplifiers
        .iter()
        .map(|it| it.label.as_str())
        .chain(plan.lines.iter().map(|it| it.label.as_str()))
        .chain(plan.lines.iter().map(|it| it.zone_label.as_str()));
    let advice =
        nearest(label, labels).map_or_else(String::new, |near| format!("; did you mean {near}?"));
    Refusal::of(format!(
        "{option}: found {label:?}, {wanted} was wanted{advice}"
    ))
}

fn scope_of(site: &Site, label: Option<&str>) -> Result<Ref> {
    let Some(label) = label else {
        return Ok(Ref::Site);
    };
    let kinds = [an_amplifier, a_zone, a_line, an_output];
    named(site, label, &kinds).ok_or_else(|| {
        unknown(
            "--scope",
            label,
            "the label of an amplifier, a zone or a line",
            site,
        )
    })
}

fn look(path: &Path) -> Result<Site> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    Ok(looked.site)
}

/// `review`.
pub(super) fn review(path: &Path, scope: Option<&str>) -> Result<u8> {
    let site = look(path)?;
    let scope = scope_of(&site, scope)?;
    let analyst = reckon(&site, None);
    print(&report::review_text(
        &site,
        &review::review(&site, &analyst, &scope),
        &scope,
    ))
}

fn this_second() -> Timestamp {
    let at = now();
    Timestamp::from_second(at.as_second()).unwrap_or(at)
}

fn entry(writing: &mut Writing, what: Do, why: Option<&str>, by: &str) -> Entry {
    Entry {
        at: this_second(),
        id: writing.next_id(),
        by: by.to_owned(),
        what,
        act: None,
        row: None,
        corrects: None,
        why: why.map(str::to_owned),
    }
}

/// Records one entry, never in the same second as what it is about: which came later must be told.
fn record(
    path: &Path,
    terminal: &TerminalArguments,
    what: impl FnOnce(&Site) -> Result<(Do, Option<String>)>,
) -> Result<()> {
    let site = look(path)?;
    let latest = site
        .log()
        .entries()
        .iter()
        .map(|it| it.at.as_second())
        .max();
    if latest == Some(now().as_second()) {
        super::open::wait_for_next_second();
    }
    let (what, why) = what(&site)?;
    let by = who(terminal).name;
    let mut writing = Writing::open(path, terminal)?;
    let entry = entry(&mut writing, what, why.as_deref(), &by);
    say(review::entry_words(&writing.site, &entry));
    writing.record(vec![entry])
}

/// `settle`.
pub(super) fn settle(
    path: &Path,
    of: &str,
    word: &WordArguments,
    terminal: &TerminalArguments,
) -> Result<u8> {
    if let Some(what) = &word.repaired {
        return repaired(path, of, what, word, terminal);
    }
    let (is, why) = decision(word)?;
    if why.trim().is_empty() {
        return Err(Refusal::of(
            "found no reason; a few words of why were wanted",
        ));
    }
    record(path, terminal, |site| {
        let of = named(site, of, &[a_line, an_output]).ok_or_else(|| {
            unknown(
                "OF",
                of,
                "the label of a line, or of an output (A1/2),",
                site,
            )
        })?;
        let state = match &of {
            Ref::Line(id) => site.history(id).state(),
            _ => StateId(site.visit().0),
        };
        Ok((Do::Decide(Decide { of, state, is }), Some(why)))
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
    let causes = || report::causes();
    if let Some(cause) = &word.cause
        && !causes().any(|it| it == cause)
    {
        return Err(Refusal::of(format!(
            "--cause: found {cause:?}, one of {} was wanted",
            causes().collect::<Vec<_>>().join(", ")
        )));
    }
    record(path, terminal, |site| {
        let at = site
            .plan()
            .line_labelled(of)
            .ok_or_else(|| unknown("OF", of, "the label of a line", site))?;
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
    let snag = Decision::Snag {
        owner: owner.clone(),
        due: Some(due),
    };
    Ok((snag, why.clone()))
}

fn tick_list() -> String {
    let mut out = String::new();
    for (list, title) in [
        (TickList::Rack, "before a meter goes on:"),
        (TickList::HandBack, "handing back:"),
    ] {
        out.push_str(title);
        out.push('\n');
        for row in TICKS.iter().filter(|row| row.list == list) {
            out.push_str(&format!("  {:<16}  {}\n", row.item, row.words));
        }
    }
    out.push_str("of lines:\n");
    out.push_str(&format!(
        "  {CORES_OFF:<16}  both cores off the amplifier\n"
    ));
    out.push_str(&format!("  {CORES_ON:<16}  cores back on, polarity kept\n"));
    out.push_str("A tick records that it was done; it is no statement that anything is safe.\n");
    out
}

/// `tick`.
pub(super) fn tick(
    path: &Path,
    item: Option<&str>,
    of: &[String],
    not_here: Option<&str>,
    terminal: &TerminalArguments,
) -> Result<u8> {
    let Some(item) = item else {
        return print(&tick_list());
    };
    let of_lines = item == CORES_OFF || item == CORES_ON;
    if !of_lines && review::tick_named(item).is_none() {
        let names = TICKS
            .iter()
            .map(|row| row.item)
            .chain([CORES_OFF, CORES_ON]);
        let advice =
            nearest(item, names).map_or_else(String::new, |it| format!("; did you mean {it}?"));
        return Err(Refusal::of(format!(
            "ITEM: found {item:?}, a name that `linewright tick SITE.ron` lists was wanted{advice}"
        )));
    }
    let is = match not_here {
        None => TickIs::Done,
        Some(why) if why.trim().is_empty() => {
            return Err(Refusal::of(
                "--not-here: found no reason; a few words of why were wanted",
            ));
        }
        Some(why) => TickIs::NotHere(why.to_owned()),
    };
    record(path, terminal, |site| {
        let mut refs: Vec<Ref> = Vec::new();
        for label in of {
            let (kinds, wanted): (&[Find], _) = if of_lines {
                (&[a_line], "the label of a line")
            } else {
                (&[an_amplifier], "the label of an amplifier")
            };
            refs.push(
                named(site, label, kinds).ok_or_else(|| unknown("--of", label, wanted, site))?,
            );
        }
        if refs.is_empty() && of_lines {
            refs = site
                .plan()
                .lines
                .iter()
                .map(|it| Ref::Line(it.id.clone()))
                .collect();
        } else if refs.is_empty() {
            refs.push(Ref::Site);
        }
        let tick = Tick {
            item: item.to_owned(),
            of: refs,
            visit: site.visit(),
            is,
        };
        Ok((Do::Tick(tick), None))
    })?;
    Ok(0)
}

/// How many of what stands in the way are listed.
const MOST_LISTED: usize = 40;

fn in_the_way(open: &[Item]) -> anyhow::Error {
    let mut lines = vec![format!(
        "nothing signed: {} in the way of it, worst first",
        match open.len() {
            1 => "1 thing stands".to_owned(),
            count => format!("{count} things stand"),
        }
    )];
    lines.extend(
        open.iter()
            .take(MOST_LISTED)
            .map(|item| format!("  {}: {}", item.label, item.words)),
    );
    if open.len() > MOST_LISTED {
        lines.push(format!(
            "  and {} more; `linewright review` lists all",
            open.len() - MOST_LISTED
        ));
    }
    lines.push(
        "read again, repair, or say a word with `linewright settle`; tick with `linewright tick`; \
         sign a part with --scope"
            .to_owned(),
    );
    Refusal::of_all(lines)
}

/// `sign`.
pub(super) fn sign(
    path: &Path,
    name: &str,
    role: &str,
    scope: Option<&str>,
    terminal: &TerminalArguments,
) -> Result<u8> {
    for (option, text) in [("--name", name), ("--role", role)] {
        if text.trim().is_empty() {
            return Err(Refusal::of(format!(
                "{option}: found {text:?}, a few letters were wanted"
            )));
        }
    }
    let by = who(terminal).name;
    let site = look(path)?;
    let latest = site
        .log()
        .entries()
        .iter()
        .map(|it| it.at.as_second())
        .max();
    if latest == Some(now().as_second()) {
        super::open::wait_for_next_second();
    }
    let mut writing = None;
    let mut at = this_second();
    // Looked at before it is opened to write: a refusal leaves nothing beside it.
    for pass in 0..2 {
        let site = writing.as_ref().map_or(&site, |it: &Writing| &it.site);
        let signing = Signing {
            scope: scope_of(site, scope)?,
            name: name.trim().to_owned(),
            role: role.trim().to_owned(),
            at,
            by: by.clone(),
        };
        let sealed =
            review::seal(site, &reckon(site, None), &signing).map_err(|open| in_the_way(&open));
        if pass == 0 {
            sealed?;
            writing = Some(Writing::open(path, terminal)?);
            at = this_second();
            continue;
        }
        let sealed = match (sealed, writing.take()) {
            (Ok(sealed), Some(mut writing)) => {
                let mut entry = entry(&mut writing, Do::Seal(sealed.clone()), None, &by);
                // The time that was signed.
                entry.at = at;
                writing.record(vec![entry])?;
                sealed
            }
            (Err(error), Some(writing)) => {
                writing.close()?;
                return Err(error);
            }
            (sealed, None) => sealed?,
        };
        say(format!(
            "signed for {} by {}, {}: {} lines and items, sha256 {}",
            review::scope_words(&look(path)?, &sealed.scope),
            sealed.name,
            sealed.role,
            sealed.facts.len(),
            sealed.sha256
        ));
    }
    Ok(0)
}
