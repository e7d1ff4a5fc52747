//! What was done on a line on this visit, in the order of time: what was read at the rack and at a
//! split, what was heard where, what was suspected before a repair, the repair, what was read then.
//!
//! Never here: what was struck; figures of its own.

use super::line_done::{SaidRow, StoryRow, words_of_line};
use super::rows::InsulationRow;
use crate::analysis::{Analyst, InsulationResult};
use crate::quantity::{Ohm, show};
use crate::review::{self, cut_words, own_label_of};
use crate::site::{
    CORES_OFF, CORES_ON, Do, Entry, EntryId, Heard, Log, Read, Ref, SPLIT_CLOSED, SPLIT_OPENED,
    Site, StateId,
};
use crate::verdict::InsulationWord;
use std::collections::HashSet;

/// So many labels in a row of a story.
const MOST_LABELS: usize = 40;

/// The site as its lines were found on this visit: without the repairs, and without what came after
/// them.
pub(super) struct AsFound {
    site: Site,
    analyst: Analyst,
}

/// The states of a line on the latest visit, first to last.
fn states(site: &Site, at: usize) -> Vec<StateId> {
    site.history(&site.plan().lines[at].id)
        .states(&site.visit())
}

/// Those after the one it was found in: the first that was read at the rack before the last repair, else
/// the first.
fn states_after(site: &Site, at: usize) -> Vec<StateId> {
    let history = site.history(&site.plan().lines[at].id);
    let mut states = states(site, at);
    let earlier = states.len().saturating_sub(1);
    let mut found = states[..earlier].iter();
    let found = found.position(|state| history.rack(site, state).is_some());
    states.split_off(found.map_or(1, |at| at + 1))
}

impl AsFound {
    /// None where nothing was repaired on this visit.
    pub fn of(site: &Site) -> Option<Self> {
        let lines = 0..site.plan().lines.len();
        let after: HashSet<StateId> = lines.flat_map(|at| states_after(site, at)).collect();
        if after.is_empty() {
            return None;
        }
        let is_later = |entry: &Entry| match &entry.what {
            Do::Repair(_) => after.contains(&StateId(entry.id.to_string())),
            Do::Read(it) => after.contains(&it.state),
            Do::Listen(it) => after.contains(&it.state),
            Do::Insulate(it) => after.contains(&it.state),
            Do::Decide(it) => after.contains(&it.state),
            _ => false,
        };
        let mut log = Log::default();
        for entry in site.log().entries().iter().filter(|it| !is_later(it)) {
            log.add(entry.clone());
        }
        let site = Site::new(site.id().clone(), site.elements().clone(), log);
        let mut analyst = Analyst::new(&site);
        analyst.settle(&site, None);
        Some(Self { site, analyst })
    }

    /// The likeliest why of a line as it was found, with its odds.
    pub fn likeliest(&self, at: usize) -> Option<String> {
        review::likeliest(&self.site, &self.analyst, at).or_else(|| {
            let suspects = self.analyst.suspects(at)?;
            if suspects.fits_nothing() {
                let odds = show::probability(suspects.misfit);
                return Some(format!("{odds}: the readings fit nothing"));
            }
            let first = suspects.hints.first()?;
            let odds = show::probability(first.probability);
            Some(format!("{odds}: {}", first.text))
        })
    }
}

/// Whether a line was repaired on the latest visit.
pub(super) fn is_repaired(site: &Site, at: usize) -> bool {
    states(site, at).len() > 1
}

/// A tick that belongs to the story of a line, in words.
fn told_tick(item: &str) -> Option<&'static str> {
    let told = [
        (CORES_OFF, "both cores off the amplifier"),
        (CORES_ON, "both cores back on the amplifier"),
        (SPLIT_OPENED, "opened for a split"),
        (SPLIT_CLOSED, "closed again after a split"),
    ];
    told.into_iter().find(|it| it.0 == item).map(|it| it.1)
}

/// What is told of a line that was flagged, split, heard otherwise than well or repaired on the latest
/// visit, in order; of any other nothing.
pub(super) fn story(
    site: &Site,
    analyst: &Analyst,
    at: usize,
    found: Option<&str>,
) -> Vec<StoryRow> {
    let line = &site.plan().lines[at];
    let history = site.history(&line.id);
    let states = states(site, at);
    let taken: HashSet<&EntryId> = states
        .iter()
        .flat_map(|state| history.in_state(site, state))
        .map(|entry| &entry.id)
        .collect();
    let of_visit = |entry: &&Entry| match &entry.what {
        Do::Repair(_) => states.contains(&StateId(entry.id.to_string())),
        Do::Decide(it) => states.contains(&it.state),
        Do::Edit(_) | Do::Note(_) => true,
        Do::Tick(it) => it.visit == site.visit() && told_tick(&it.item).is_some(),
        _ => taken.contains(&entry.id),
    };
    let entries: Vec<&Entry> = history.entries().iter().copied().filter(of_visit).collect();
    let is_told = entries.iter().any(|entry| match &entry.what {
        Do::Repair(_) | Do::Decide(_) => true,
        Do::Read(it) => it.cut.is_some(),
        Do::Listen(it) => !matches!(it.gives, Heard::Heard | Heard::Noisy),
        _ => false,
    });
    if !is_told && review::line(analyst, at).is_none() {
        return Vec::new();
    }
    let result = analyst.line(at);
    let is = |taken: &Option<crate::analysis::Taken>, entry: &Entry| {
        taken.as_ref().and_then(|it| it.entry.as_ref()) == Some(&entry.id)
    };
    let mut out = Vec::new();
    let mut found = found;
    // Nobody suspects anything of a line before it was read.
    let mut was_found = result.as_found.is_none();
    let same = |a: &&Entry, b: &&Entry| {
        matches!((&a.what, &b.what), (Do::Listen(_), Do::Listen(_))) && a.by == b.by
    };
    for run in entries.chunk_by(same) {
        let entry = run[0];
        let words = match &entry.what {
            Do::Listen(_) => heard(site, run),
            Do::Read(it) => {
                let which = match (is(&result.as_found, entry), is(&result.as_left, entry)) {
                    (true, false) => ", as found",
                    (false, true) => ", as left",
                    _ => "",
                };
                format!("{}{which}", read(site, it))
            }
            Do::Tick(it) => told_tick(&it.item).unwrap_or_default().to_owned(),
            _ => words_of_line(site, entry, &line.label),
        };
        was_found |= is(&result.as_found, entry);
        if matches!(entry.what, Do::Repair(_))
            && was_found
            && let Some(cause) = found.take()
        {
            out.push(StoryRow {
                said: None,
                words: format!(
                    "Likeliest before the repair, by all that is known of the site now, {cause}"
                ),
            });
        }
        let noted = run.iter().filter_map(|entry| note(entry));
        let noted: String = noted.map(|it| format!(" (noted: {it})")).collect();
        out.push(StoryRow {
            said: Some(SaidRow::of(entry)),
            words: format!("{words}{noted}"),
        });
    }
    out
}

/// Insulation read on this visit before a repair, where none was read since.
pub(super) fn insulation_before(
    site: &Site,
    analyst: &Analyst,
    at: usize,
) -> Option<InsulationRow> {
    let line = &site.plan().lines[at];
    if analyst.line(at).insulation.is_some() {
        return None;
    }
    let history = site.history(&line.id);
    let states = states(site, at);
    let before = states.iter().rev().skip(1);
    let (read, at) = before
        .filter_map(|state| {
            let all = history.insulation(site, state);
            all.last().map(|(entry, it)| (*it, entry.at))
        })
        .next()?;
    // What it is worth was said of a line that is not the same any more.
    Some(InsulationRow::of(&InsulationResult {
        value: read.value,
        test_v: read.test_v,
        leg: read.leg,
        word: InsulationWord::Unknown,
        least: Ohm(0.0),
        at,
        later: None,
        other: None,
    }))
}

fn read(site: &Site, it: &Read) -> String {
    let kind = if it.is_dc() { "ohmmeter " } else { "" };
    let cut = it.cut.as_ref();
    let cut = cut.map_or_else(String::new, |cut| format!(", {}", cut_words(site, cut)));
    format!("{kind}read {}{cut}", show::value(it.value))
}

/// What was noted beside a reading or an answer.
fn note(entry: &Entry) -> Option<&str> {
    let note = match &entry.what {
        Do::Read(it) => &it.note,
        Do::Insulate(it) => &it.note,
        Do::Listen(it) => &it.note,
        _ => &None,
    };
    // What the state says of itself is not said again.
    let said = ["", "as found", "as left"];
    note.as_deref().filter(|it| !said.contains(&it.trim()))
}

/// Answers one after the other: `heard LS-1, LS-2; silent LS-3`.
fn heard(site: &Site, run: &[&Entry]) -> String {
    let mut words: Vec<(&'static str, Vec<String>)> = Vec::new();
    for entry in run {
        let Do::Listen(it) = &entry.what else {
            continue;
        };
        let label = own_label_of(site, &Ref::Node(it.at.clone()));
        match words.last_mut() {
            Some((word, labels)) if *word == it.gives.word() => labels.push(label),
            _ => words.push((it.gives.word(), vec![label])),
        }
    }
    let words = words.into_iter();
    let told = words.map(|(word, labels)| format!("{word} {}", show::few(&labels, MOST_LABELS)));
    told.collect::<Vec<_>>().join("; ")
}
