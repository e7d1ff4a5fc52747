//! The command `tick`: one item of the rack list or the hand-back list is done, or not here.
//!
//! Never here: whether anything is safe.

use super::near::nearest;
use super::signing::{Find, a_line, an_amplifier, an_output, look, named, record_all, unknown};
use super::{Refusal, TerminalArguments, print, say};
use crate::analysis::Analyst;
use crate::quantity::show::{count, few};
use crate::review::{
    Asks, BesidePower, Late, ListRow, Lists, Situation, Stop, flagged_beside, label_of, lines_in,
    not_here, not_here_words,
};
use crate::site::{
    Do, Entry, FIRST_POWER, LISTS, ListItem, ListOf, ListWhen, Ref, Site, Tick, TickIs, list_item,
};
use anyhow::Result;
use std::cell::RefCell;
use std::path::Path;

/// So many of the lines that are left out are named.
const MOST_LEFT: usize = 6;

fn tick_list() -> String {
    let mut out = String::new();
    for (when, title) in [
        (ListWhen::Before, "before a line is touched:"),
        (
            ListWhen::Insulation,
            "before an insulation reading, and after it:",
        ),
        (ListWhen::Back, "handing back:"),
    ] {
        out.push_str(title);
        out.push('\n');
        for row in LISTS.iter().filter(|row| row.when == when) {
            let of = match row.of {
                ListOf::Visit => "once",
                ListOf::Amplifier => "amplifier",
                ListOf::VoiceAlarm => "voice alarm",
                ListOf::Line | ListOf::InsulationLine => "line",
            };
            out.push_str(&format!("  {:<16}  {of:<11}  {}\n", row.item, row.words));
        }
    }
    out.push_str("A tick records that it was done; it is no statement that anything is safe.\n");
    out
}

/// What is ticked on the latest visit, by amplifier: of lines how many.
fn ticked(site: &Site) -> String {
    let lists = Lists::of(site);
    let mut out = String::new();
    for (at, amplifier) in site.plan().amplifiers.iter().enumerate() {
        let rows = lists.rows(at);
        for rows in rows.chunk_by(|a, b| a.place == b.place) {
            let done: Vec<&Entry> = rows.iter().filter_map(|row| row.stands.done()).collect();
            let Some(last) = done.last() else { continue };
            let lines = match rows[0].line {
                Some(_) => format!(", {} of {} lines", done.len(), rows.len()),
                None => String::new(),
            };
            let not_here = not_here(last).map_or_else(String::new, |why| {
                format!(", {}", not_here_words(rows[0].item.item, why))
            });
            // It was so then; whoever looks is told that it may not be now, and of which lines.
            let again: Vec<&ListRow> = rows.iter().filter(|row| row.read_since.is_some()).collect();
            let labels = again.iter().filter_map(|row| row.line);
            let labels = labels.map(|at| site.plan().lines[at].label.clone());
            let labels: Vec<String> = labels.collect();
            let of = match labels.is_empty() {
                true => String::new(),
                false => format!(" of {}", few(&labels, MOST_LEFT)),
            };
            let since = again.iter().find_map(|row| row.read_since);
            let since = since.map_or_else(String::new, |read| {
                format!(", read since at {}: again{of}", read.at)
            });
            let late = late_of(&rows.iter().collect::<Vec<_>>()).unwrap_or_default();
            out.push_str(&format!(
                "- {}: {}{lines}, {}{not_here}{late}{since}\n",
                rows[0].item.item, amplifier.label, last.by
            ));
        }
    }
    // Rows that begin otherwise than those above: scripts take the names of items from there.
    match out.is_empty() {
        true => "nothing is ticked on this visit\n".to_owned(),
        false => format!("ticked on this visit:\n{out}"),
    }
}

/// How many readings were made before rows were ticked, and when the first: `, after 3 readings, the first at
/// 2026-11-25T14:52:00Z`. Nothing where none was.
fn late_of(rows: &[&ListRow<'_>]) -> Option<String> {
    let late = rows.iter().filter_map(|row| row.late);
    let late = late.reduce(Late::and)?;
    Some(format!(
        ", after {}, the first at {}",
        count(late.readings, "reading"),
        late.first
    ))
}

/// The same of what was just ticked, each item once, in a sentence.
fn ticked_late(site: &Site, items: &[&ListItem], of: &[String]) -> Result<Vec<String>> {
    let lists = Lists::of(site);
    let mut out = Vec::new();
    for item in items {
        let of = refs(site, item, of)?;
        let here = |row: &&ListRow<'_>, amplifier: &Ref| {
            let line = row
                .line
                .map(|at| Ref::Line(site.plan().lines[at].id.clone()));
            row.item.item == item.item
                && match (item.of, line) {
                    (ListOf::Visit, _) => true,
                    (_, Some(line)) => of.contains(&line),
                    (_, None) => of.contains(amplifier),
                }
        };
        let amplifiers = site.plan().amplifiers.iter().enumerate();
        let rows: Vec<_> = amplifiers
            .map(|(at, it)| (Ref::Amplifier(it.id.clone()), lists.rows(at)))
            .collect();
        let own = rows
            .iter()
            .flat_map(|(amplifier, rows)| rows.iter().filter(move |row| here(row, amplifier)));
        // What is ticked once a visit stands in the list of every amplifier, and the readings of all count.
        if let Some(late) = late_of(&own.collect::<Vec<_>>()) {
            let late = late.trim_start_matches(", ");
            out.push(format!(
                "{}: ticked {late}; the record says so too",
                item.item
            ));
        }
    }
    Ok(out)
}

/// What an item is ticked for.
fn refs(site: &Site, item: &ListItem, labels: &[String]) -> Result<Vec<Ref>> {
    let plan = site.plan();
    let (kinds, wanted): (&[Find], _) = match item.of {
        ListOf::Visit => return Ok(vec![Ref::Visit(site.visit())]),
        ListOf::Amplifier | ListOf::VoiceAlarm => (&[an_amplifier], "the label of an amplifier"),
        ListOf::Line | ListOf::InsulationLine => (
            &[a_line, an_amplifier, an_output],
            "the label of a line, or of an amplifier for all of its lines",
        ),
    };
    if !labels.is_empty() {
        let mut out: Vec<Ref> = Vec::new();
        for label in labels {
            let found = named(site, label, kinds)
                .ok_or_else(|| unknown("--of", label, (wanted, kinds), site))?;
            for of in of_item(site, item, found) {
                if !out.contains(&of) {
                    out.push(of);
                }
            }
        }
        return Ok(out);
    }
    Ok(match item.of {
        ListOf::Line | ListOf::InsulationLine => plan
            .lines
            .iter()
            .map(|it| Ref::Line(it.id.clone()))
            .collect(),
        _ => plan
            .amplifiers
            .iter()
            .map(|it| Ref::Amplifier(it.id.clone()))
            .collect(),
    })
}

/// What was named, or the lines of it where the item is a line's.
fn of_item(site: &Site, item: &ListItem, named: Ref) -> Vec<Ref> {
    let of_lines = matches!(item.of, ListOf::Line | ListOf::InsulationLine);
    if !of_lines || matches!(named, Ref::Line(_)) {
        return vec![named];
    }
    let lines = lines_in(site, &named).into_iter();
    lines
        .map(|at| Ref::Line(site.plan().lines[at].id.clone()))
        .collect()
}

/// The same without what has no such item as things stand, and why that has none. What was itself named
/// is refused.
fn asked(
    situation: &Situation<'_>,
    site: &Site,
    item: &ListItem,
    labels: &[String],
) -> Result<(Vec<Ref>, Option<String>)> {
    let of = refs(site, item, labels)?;
    let nothing = |of: &Ref| situation.nothing_of(item, of);
    let (left_out, of): (Vec<Ref>, Vec<Ref>) = of.into_iter().partition(|of| nothing(of).is_some());
    let Some(why) = left_out.first().and_then(nothing) else {
        return Ok((of, None));
    };
    let left: Vec<String> = left_out.iter().map(|of| label_of(site, of)).collect();
    let left = few(&left, MOST_LEFT);
    let item = item.item;
    let is_named = |of: &Ref| labels.iter().any(|label| *label == label_of(site, of));
    match (left_out.iter().any(is_named), of.is_empty()) {
        (false, false) => Ok((of, Some(format!("{item}: left out {left}: {why}")))),
        (false, true) if labels.is_empty() => {
            Ok((of, Some(format!("{item}: nothing to tick anywhere: {why}"))))
        }
        (false, true) => Ok((
            of,
            Some(format!("{item}: nothing to tick on {left}: {why}")),
        )),
        (true, _) => Err(Refusal::of(format!(
            "{item}: nothing to tick on {left}: {why}; name the others with --of"
        ))),
    }
}

/// Places in the plan of the lines that a tick is about.
fn lines_of(site: &Site, of: &[Ref]) -> Vec<usize> {
    of.iter().flat_map(|of| lines_in(site, of)).collect()
}

/// What stands in the way of a tick, and the command that clears it.
fn in_the_way(item: &str, stop: &Stop) -> anyhow::Error {
    let advice = match stop {
        Stop::NoResistor => {
            "`linewright record` a row of kind check, which ticks this too, or leave it out with \
             --not-here WHY"
        }
        Stop::Short(_) | Stop::NotReadAgain(_) => "name the others with --of",
        Stop::Opened(_) => {
            "close it and say so where it is walked (`linewright SITE.ron`: w, then b), or name the \
             others with --of"
        }
        Stop::Off(_) => {
            "`linewright tick SITE.ron cores-on` when it is back on, or `linewright settle` says why \
             it stays off"
        }
    };
    Refusal::of(format!("{item}: {stop}; {advice}"))
}

/// What is asked before a tick, and what answers it.
fn asked_first(item: &str, asks: &Asks) -> anyhow::Error {
    let (words, advice) = match asks {
        Asks::Faulty(words) => (
            words,
            "take it off and tick `cores-off`, or --even-so where power goes onto it all the same",
        ),
        Asks::Load(words) => (
            words,
            "take load off it, or --even-so where it gets power all the same",
        ),
        Asks::Powered(words) => (
            words,
            "off, isolated, locked and proved dead first, and tick `locked`; or --even-so where it was so",
        ),
    };
    Refusal::of(format!("{item}: {words}; {advice}"))
}

/// What stands beside first power of the amplifiers it was ticked for, a sentence each.
fn beside_power(site: &Site, analyst: &Analyst, of: &[Ref]) -> Vec<String> {
    let mut out = Vec::new();
    for (at, it) in site.plan().amplifiers.iter().enumerate() {
        if of.contains(&Ref::Amplifier(it.id.clone())) {
            let beside = BesidePower::of(site, analyst, &Situation::of(site), at);
            let sentences = beside.sentences().into_iter();
            out.extend(sentences.map(|words| format!("{FIRST_POWER}: {}: {words}", it.label)));
        }
    }
    out
}

/// `tick`.
pub(super) fn tick(
    path: &Path,
    items: &[String],
    of: &[String],
    not_here: Option<&str>,
    even_so: bool,
    terminal: &TerminalArguments,
) -> Result<u8> {
    if items.is_empty() {
        let site = look(path)?;
        return print(&format!("{}{}", tick_list(), ticked(&site)));
    }
    let mut rows = Vec::new();
    for item in items {
        let row = list_item(item).ok_or_else(|| {
            let advice = nearest(item, LISTS.iter().map(|row| row.item))
                .map_or_else(String::new, |it| format!("; did you mean {it}?"));
            Refusal::of(format!(
                "ITEM: found {item:?}, a name that `linewright tick SITE.ron` lists was wanted{advice}"
            ))
        })?;
        rows.push(row);
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
    let told = RefCell::new(Vec::new());
    record_all(path, terminal, |site| {
        let mut left_out = Vec::new();
        let analyst = Analyst::new(site);
        // What is ticked in one call is ticked in its order: a line put back on is on for the next.
        let mut said: Vec<(Do, Option<String>)> = Vec::new();
        for row in &rows {
            let situation = Situation::of(site).with(said.iter().map(|(what, _)| what));
            let (of, words) = asked(&situation, site, row, of)?;
            left_out.extend(words);
            if of.is_empty() {
                continue;
            }
            if let Some(stop) = situation.stop(&analyst, row, &is, &lines_of(site, &of)) {
                return Err(in_the_way(row.item, &stop));
            }
            let asked = situation.asks(&analyst, row, &lines_of(site, &of));
            if let Some(asks) = asked.filter(|_| is == TickIs::Done && !even_so) {
                return Err(asked_first(row.item, &asks));
            }
            let tick = Tick {
                item: row.item.to_owned(),
                of,
                visit: site.visit(),
                is: is.clone(),
            };
            said.push((Do::Tick(tick), None));
        }
        if said.is_empty() {
            return Err(Refusal::of_all(left_out));
        }
        *told.borrow_mut() = left_out;
        Ok(said)
    })?;
    told.take().iter().for_each(say);
    // A tick says nothing of a load: lines that are flagged are named beside it.
    let site = look(path)?;
    let analyst = Analyst::new(&site);
    let late = match is {
        TickIs::Done => ticked_late(&site, &rows, of)?,
        TickIs::NotHere(_) => Vec::new(),
    };
    late.into_iter().for_each(say);
    for row in rows {
        let of = refs(&site, row, of)?;
        if row.item == FIRST_POWER && is == TickIs::Done {
            beside_power(&site, &analyst, &of).into_iter().for_each(say);
        }
        let lines = lines_of(&site, &of);
        let flagged = flagged_beside(&site, &analyst, row, &lines);
        let words = flagged
            .iter()
            .map(|(label, why)| format!("{label} {}", why.words()));
        if !flagged.is_empty() {
            let words: Vec<String> = words.collect();
            say(format!("{}: flagged: {}", row.item, words.join("; ")));
        }
    }
    Ok(0)
}
