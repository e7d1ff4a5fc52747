//! What a summary must say beside "nothing stands in the way": what was left out with a reason, where
//! a tick and the lines contradict each other, what was repaired.
//!
//! Never here: what wants a word.

use super::super::line_done::StoryRow;
use super::super::rows::Assessment;
use super::cells::listed;
use super::left;
use crate::quantity::show::count;
use crate::review::Matter;
use crate::site::{ALL_HEARD, AMPLIFIER_OFF, ISOLATED, NEIGHBOURS_DEAD, PROVED_DEAD, list_item};

/// How many lines and loudspeakers were left with a word, for the end of a sentence.
pub(super) fn left_out(data: &Assessment) -> String {
    let settled = |matter: Matter| {
        let rows = data.review.iter();
        rows.filter(move |row| row.kind == "line" && !row.open && row.matter == matter)
    };
    let unheard: usize = settled(Matter::NotListened)
        .filter_map(|row| data.unheard(&row.of))
        .map(|[left, _]| left)
        .sum();
    let lines = |matter| settled(matter).count();
    let parts = [
        (lines(Matter::Unread), "line", "not read"),
        (unheard, "loudspeaker", "not listened to"),
        (lines(Matter::Off), "line", "OFF the amplifier"),
        (
            lines(Matter::NoInsulation),
            "line",
            "without the insulation reading that was asked for",
        ),
    ];
    let parts = parts.into_iter().filter(|it| it.0 > 0);
    let parts = parts.map(|(number, noun, words)| format!("{} {words}", count(number, noun)));
    let parts: Vec<String> = parts.collect();
    if parts.is_empty() {
        return String::new();
    }
    format!("; left out with a reason: {}", parts.join(", "))
}

/// Items that say that nothing could drive a line while a meter was on it.
const DEAD: [&str; 4] = [AMPLIFIER_OFF, ISOLATED, PROVED_DEAD, NEIGHBOURS_DEAD];

/// What nobody ticked before lines were read: that they were isolated and dead, that they were off the
/// amplifier.
pub(super) fn not_ticked(data: &Assessment) -> Vec<String> {
    let mut out = Vec::new();
    let mut by_items: Vec<(Vec<&str>, Vec<&str>)> = Vec::new();
    for (amplifier, lines) in left::of_amplifiers(data) {
        if lines.iter().all(|it| it.measured.is_none()) {
            continue;
        }
        let rows = data.ticks.iter();
        let waits = rows.filter(|row| {
            row.amplifier == amplifier && row.is.is_none() && DEAD.contains(&row.item)
        });
        let items: Vec<&str> = waits
            .map(|row| list_item(row.item).map_or(row.item, |it| it.words))
            .collect();
        match by_items.iter_mut().find(|it| it.0 == items) {
            _ if items.is_empty() => {}
            Some((_, amplifiers)) => amplifiers.push(amplifier),
            None => by_items.push((items, vec![amplifier])),
        }
    }
    for (items, amplifiers) in by_items {
        out.push(format!(
            "NOT TICKED, though lines were read, at {}: {}. The record does not show that it was done.",
            listed(&amplifiers),
            items.join("; ")
        ));
    }
    let unknown = data.lines.iter().filter(|row| left::is_not_known(row));
    let unknown: Vec<&str> = unknown.map(|row| row.line.as_str()).collect();
    if !unknown.is_empty() {
        out.push(format!(
            "Read, and not ticked as taken off the amplifier, {}: {}; whether they were on is not known.",
            unknown.len(),
            listed(&unknown)
        ));
    }
    out
}

/// A tick that says every zone was heard, where lines of that amplifier are OFF or were not listened
/// to as a whole.
pub(super) fn clash(data: &Assessment) -> Vec<String> {
    let ticked = data
        .ticks
        .iter()
        .filter(|row| ALL_HEARD.contains(&row.item) && row.is == Some("done"));
    let clashes = ticked.filter_map(|tick| {
        let lines = || {
            let lines = data.lines.iter();
            lines.filter(|row| row.amplifier == tick.amplifier)
        };
        let off: Vec<&str> = lines()
            .filter(|row| row.off)
            .map(|row| &*row.line)
            .collect();
        let unheard: usize = lines()
            .map(|row| row.heard[1].saturating_sub(row.asked))
            .sum();
        let mut against = Vec::new();
        if !off.is_empty() {
            against.push(format!("OFF are {}", listed(&off)));
        }
        if unheard > 0 {
            against.push(format!("{} not listened to", count(unheard, "loudspeaker")));
        }
        if against.is_empty() {
            return None;
        }
        let words = list_item(tick.item).map_or(tick.item, |row| row.words);
        Some(format!(
            "Contradiction at {}: \"{words}\" is ticked, and {}.",
            tick.amplifier,
            against.join(", ")
        ))
    });
    clashes.collect()
}

/// One sentence on the lines repaired on this visit.
pub(super) fn repaired(data: &Assessment) -> Option<String> {
    let mut told: Vec<String> = Vec::new();
    for row in &data.lines {
        let what: Vec<&str> = row.story.iter().filter_map(StoryRow::repaired).collect();
        if !what.is_empty() {
            told.push(format!("{} ({})", row.line, what.join("; ")));
        }
    }
    if told.is_empty() {
        return None;
    }
    Some(format!("Repaired, {}: {}.", told.len(), told.join(", ")))
}
