//! A tick that says every zone was heard, held against the lines it is of: it cannot be so while a line
//! is off, while a loudspeaker is silent, or while nobody listened. It stands in the way of signing until
//! they were heard, or until the list says what was not and why.
//!
//! Never here: what to press or to type.

use super::list_rows::Lists;
use super::scope::{amplifiers_in, lines_in, own_label_of};
use crate::analysis::Analyst;
use crate::quantity::show::{count, few};
use crate::site::{ALL_HEARD, Heard, LISTS, ListOf, Ref, Site};
use std::fmt;

/// So many labels are named.
const MOST_LABELS: usize = 2;

/// What contradicts that all lines of an amplifier were heard.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Against {
    /// Labels of lines that are off the amplifier.
    pub off: Vec<String>,
    /// Loudspeakers that were silent when they were last listened to, each with its line.
    pub silent: Vec<String>,
    /// How many nobody listened to.
    pub unheard: usize,
}

impl fmt::Display for Against {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = Vec::new();
        if !self.off.is_empty() {
            parts.push(format!("{} OFF", few(&self.off, MOST_LABELS)));
        }
        if !self.silent.is_empty() {
            parts.push(format!("{} silent", few(&self.silent, MOST_LABELS)));
        }
        if self.unheard > 0 {
            parts.push(format!(
                "{} not listened to",
                count(self.unheard, "loudspeaker")
            ));
        }
        f.write_str(&parts.join("; "))
    }
}

/// What of these lines, places in the plan, contradicts that each was heard; none where nothing does.
#[must_use]
pub fn against_heard(
    site: &Site,
    analyst: &Analyst,
    lines: impl IntoIterator<Item = usize>,
) -> Option<Against> {
    let mut out = Against::default();
    for at in lines {
        let (line, result) = (&site.plan().lines[at], analyst.line(at));
        if result.off {
            out.off.push(line.label.clone());
        }
        let history = site.history(&line.id);
        let answers = history.answers(site, &result.state);
        let silent = answers.iter().filter(|(_, it)| it.gives == Heard::Silent);
        out.silent.extend(silent.map(|(_, it)| {
            let node = own_label_of(site, &Ref::Node(it.at.clone()));
            format!("{} {node}", line.label)
        }));
        out.unheard += result.loudspeakers.saturating_sub(result.asked);
    }
    (out != Against::default()).then_some(out)
}

/// Whether an item says that every zone was heard.
#[must_use]
pub fn says_all_heard(item: &str) -> bool {
    ALL_HEARD.contains(&item)
}

/// That an item is not here, and why; of one that says that every zone was heard, what was not.
#[must_use]
pub fn not_here_words(item: &str, why: &str) -> String {
    match says_all_heard(item) {
        true => format!("not all heard: {why}"),
        false => format!("not here: {why}"),
    }
}

/// The ticks of a scope that say every zone was heard and are contradicted, by their place in
/// [`LISTS`], with their amplifier and what contradicts them, in words.
pub(super) fn contradicted(
    site: &Site,
    analyst: &Analyst,
    scope: &Ref,
) -> Vec<(usize, Ref, String)> {
    let plan = site.plan();
    let lists = Lists::of(site);
    let in_scope = lines_in(site, scope);
    let mut out = Vec::new();
    for at in amplifiers_in(site, scope) {
        let amplifier = &plan.amplifiers[at];
        let says = |place: &usize| {
            let item = &LISTS[*place];
            says_all_heard(item.item)
                && (item.of != ListOf::VoiceAlarm || amplifier.voice_alarm)
                && lists.is_done(item, at)
        };
        let places: Vec<usize> = (0..LISTS.len()).filter(says).collect();
        if places.is_empty() {
            continue;
        }
        let own = in_scope.iter().copied();
        let own = own.filter(|line| amplifier.outputs.contains(&plan.lines[*line].output));
        let Some(against) = against_heard(site, analyst, own) else {
            continue;
        };
        for place in places {
            let words = format!(
                "contradicted: {} is ticked, yet {against}",
                LISTS[place].words
            );
            out.push((place, Ref::Amplifier(amplifier.id.clone()), words));
        }
    }
    out
}
