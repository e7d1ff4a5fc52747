//! Commands before leaving: `review`, `sign`; what `settle` and `tick` share with them.
//!
//! None of them states that anything is safe or meets a code.

use super::assess::{broken_seals, reckon};
use super::here::{now, recorded_as, this_second, who};
use super::near::nearest;
use super::site_file::{Writing, store_failure};
use super::{Refusal, TerminalArguments, print, say};
use crate::quantity::show::few;
use crate::report;
use crate::review::{self, Item, Matter, Signing};
use crate::site::{Do, Entry, Ref, Site};
use crate::storage::{self, Disk};
use anyhow::Result;
use std::path::Path;

/// So many labels that would do are listed.
const MOST_WITHIN: usize = 8;

/// Finds what a label names, of one kind of thing.
pub(super) type Find = fn(&Site, &str) -> Option<Ref>;

/// What a label names: `site`, an amplifier, a zone, a line; `A1/2` is an output.
pub(super) fn named(site: &Site, label: &str, kinds: &[Find]) -> Option<Ref> {
    kinds.iter().find_map(|find| find(site, label))
}

pub(super) fn an_amplifier(site: &Site, label: &str) -> Option<Ref> {
    let found = site.plan().amplifiers.iter().find(|it| it.label == label)?;
    Some(Ref::Amplifier(found.id.clone()))
}

fn a_zone(site: &Site, label: &str) -> Option<Ref> {
    let found = site.plan().lines.iter().find(|it| it.zone_label == label)?;
    Some(Ref::Zone(found.zone.clone()))
}

pub(super) fn a_line(site: &Site, label: &str) -> Option<Ref> {
    let at = site.plan().line_labelled(label)?;
    Some(Ref::Line(site.plan().lines[at].id.clone()))
}

pub(super) fn an_output(site: &Site, label: &str) -> Option<Ref> {
    let found = site
        .plan()
        .outputs
        .iter()
        .find(|it| format!("{}/{}", it.amplifier, it.label) == label)?;
    Some(Ref::Output(found.id.clone()))
}

/// What is said of a label that names nothing of the kinds that were wanted: what it is where it names
/// something else, and what of that would do; else what may have been meant.
pub(super) fn unknown(
    option: &str,
    label: &str,
    (wanted, kinds): (&str, &[Find]),
    site: &Site,
) -> anyhow::Error {
    let plan = site.plan();
    let would_do = |it: &str| named(site, it, kinds).is_some();
    let other = named(site, label, &[an_amplifier, a_zone, a_line, an_output]);
    if let Some(of) = other.filter(|_| !would_do(label)) {
        let is = match of {
            Ref::Amplifier(_) => "an amplifier",
            Ref::Zone(_) => "a zone",
            Ref::Output(_) => "an output",
            _ => "a line",
        };
        let amplifiers = review::amplifiers_in(site, &of).into_iter();
        let outputs = review::outputs_in(site, &of).into_iter();
        let lines = review::lines_in(site, &of).into_iter();
        let within = amplifiers
            .map(|at| plan.amplifiers[at].label.clone())
            .chain(
                outputs
                    .map(|at| format!("{}/{}", plan.outputs[at].amplifier, plan.outputs[at].label)),
            )
            .chain(lines.map(|at| plan.lines[at].label.clone()));
        let within: Vec<String> = within.filter(|it| would_do(it)).collect();
        let within = match within.is_empty() {
            true => String::new(),
            false => format!("; there: {}", few(&within, MOST_WITHIN)),
        };
        return Refusal::of(format!(
            "{option}: {label} is {is}, {wanted} was wanted{within}"
        ));
    }
    let labels = plan
        .amplifiers
        .iter()
        .map(|it| it.label.as_str())
        .chain(plan.lines.iter().map(|it| it.label.as_str()))
        .chain(plan.lines.iter().map(|it| it.zone_label.as_str()));
    let labels = labels.filter(|it| would_do(it));
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
            ("the label of an amplifier, a zone or a line", &kinds),
            site,
        )
    })
}

pub(super) fn look(path: &Path) -> Result<Site> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    looked.notices.iter().for_each(say);
    Ok(looked.site)
}

/// `review`.
pub(super) fn review(path: &Path, scope: Option<&str>) -> Result<u8> {
    let site = look(path)?;
    let scope = scope_of(&site, scope)?;
    broken_seals(&site).iter().for_each(say);
    let analyst = reckon(&site, None);
    print(&report::review_text(
        &site,
        &analyst,
        &review::review(&site, &analyst, &scope),
        &scope,
    ))
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

/// What is to be recorded, and why.
pub(super) type Said = (Do, Option<String>);

/// Records one entry, never in the same second as what it is about: which came later must be told.
pub(super) fn record(
    path: &Path,
    terminal: &TerminalArguments,
    what: impl Fn(&Site) -> Result<Said>,
) -> Result<()> {
    record_all(path, terminal, |site| Ok(vec![what(site)?]))
}

/// The same of several, in their order. Judged twice: before it is opened to write, so that a refusal
/// leaves nothing beside it, and once nobody else can write, since somebody may have meanwhile.
pub(super) fn record_all(
    path: &Path,
    terminal: &TerminalArguments,
    what: impl Fn(&Site) -> Result<Vec<Said>>,
) -> Result<()> {
    what(&look(path)?)?;
    let mut writing = Writing::open(path, terminal)?;
    let said = match what(&writing.site) {
        Ok(said) => said,
        Err(refusal) => {
            writing.close()?;
            return Err(refusal);
        }
    };
    wait_past(&writing.site);
    let by = who(terminal).name;
    let mut entries = Vec::new();
    for (what, why) in said {
        let entry = entry(&mut writing, what, why.as_deref(), &by);
        say(review::entry_words(&writing.site, &entry));
        entries.push(entry);
    }
    writing.record(entries)?;
    recorded_as(terminal).iter().for_each(say);
    Ok(())
}

/// Comes back when this second is none that an entry was made in.
fn wait_past(site: &Site) {
    let seconds = site.log().entries().iter().map(|it| it.at.as_second());
    if seconds.max() == Some(now().as_second()) {
        super::here::wait_for_next_second();
    }
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
    if open
        .iter()
        .any(|item| matches!(item.matter, Matter::Contradicted(_)))
    {
        let words = "contradicted: listen and say so, put the line back on, or say with `linewright tick \
                     SITE.ron heard-main --of AMPLIFIER --not-here WHY` what was not heard";
        lines.push(words.to_owned());
    }
    if open.iter().any(|item| item.matter == Matter::ToMove) {
        let words = "cores: move them, both amplifiers isolated, then `linewright tick SITE.ron cores-on \
                     --of LINE`";
        lines.push(words.to_owned());
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
    wait_past(&site);
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
            let open = Writing::open(path, terminal)?;
            wait_past(&open.site);
            writing = Some(open);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Note;
    use std::cell::Cell;
    use std::sync::Arc;

    fn note(text: &str) -> Do {
        Do::Note(Note {
            of: Ref::Site,
            text: text.into(),
        })
    }

    #[test]
    fn a_label_of_something_else_is_said_to_be_that_and_what_would_do_is_listed() {
        let demo = include_bytes!("../../sites/glasshouse.ron");
        let site = storage::format1::read("demo", demo).unwrap().site;
        let said = |label: &str, wanted, kinds: &[Find]| {
            format!("{:?}", unknown("--of", label, (wanted, kinds), &site))
        };
        let line = said("A2", "the label of a line", &[a_line]);
        assert!(
            line.contains("A2 is an amplifier, the label of a line was wanted; there: "),
            "{line}"
        );
        assert!(!line.contains("did you mean"), "{line}");
        let output = said(
            "A2",
            "the label of a line or an output",
            &[a_line, an_output],
        );
        assert!(output.contains("there: A2/1, A2/2, "), "{output}");
        let slip = said("ch-1", "the label of a line", &[a_line]);
        assert!(slip.contains("did you mean CH-1?"), "{slip}");
    }

    #[test]
    fn what_is_said_is_judged_by_what_another_hand_recorded_just_before() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("S.ron");
        let terminal = TerminalArguments {
            ascii: false,
            by: Some("engineer A".into()),
        };
        let who = who(&terminal);
        let writer = storage::new_writer(&path, &who, now());
        storage::create(&Disk, &path, &Site::begun("Hall", &writer)).unwrap();
        let looks = Cell::new(0);
        let seen = Cell::new(0);
        record(&path, &terminal, |site| {
            if looks.replace(looks.get() + 1) == 0 {
                let opened = storage::open(Arc::new(Disk), &path, &who, now(), &writer).unwrap();
                let storage::Access::Writes(mut store) = opened.access else {
                    panic!("held")
                };
                let entry = Entry {
                    at: this_second(),
                    id: format!("{writer}-1").into(),
                    by: "engineer B".into(),
                    what: note("by another hand"),
                    act: None,
                    row: None,
                    corrects: None,
                    why: None,
                };
                store.record(std::slice::from_ref(&entry)).unwrap();
                let mut site = opened.site;
                site.apply(entry);
                store.close(&site).unwrap();
            }
            seen.set(site.log().entries().len());
            Ok((note("own"), None))
        })
        .unwrap();
        assert_eq!(seen.get(), 1, "the other hand's note was there");
        assert_eq!(look(&path).unwrap().log().entries().len(), 2);
    }
}
