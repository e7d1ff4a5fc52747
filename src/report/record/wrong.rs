//! What is wrong, in one table for whoever reads no further: why, what was done, what is left.
//!
//! Never here: what is worse than what.

use super::super::document::{Document, Table};
use super::super::line_done::StoryRow;
use super::super::rows::{Assessment, LineRow, OutputRow};
use super::super::to_do::brief_words;
use super::also::NOISY;
use super::front;
use super::{minute, ohms_text, reading, watts};
use crate::quantity::{Probability, Watt, show};

/// So many things on the first pages.
const MOST_TOLD: usize = 40;

/// Whether the text of a review row is about a fault: not merely unread, off, or not listened to.
pub(super) fn is_about_a_fault(text: &str) -> bool {
    !(text.starts_with("not read")
        || text.starts_with("OFF ")
        || text.ends_with("not listened to")
        || text.starts_with("insulation asked"))
}

fn odds(p: f64) -> String {
    show::probability(Probability(p))
}

/// The likeliest cause, in a few words.
fn why(row: &LineRow) -> String {
    if let Some(it) = row.first_site_wide() {
        let claim = it
            .text
            .rsplit_once("; ")
            .map_or(it.text.as_str(), |it| it.0);
        return format!("{}: {claim} (seen over all lines)", odds(it.probability));
    }
    if let Some(cause) = row.found_cause.as_ref().filter(|_| row.is_mended()) {
        return format!(
            "as found, a guess: {cause}; cause found: {}",
            cause_found(row)
        );
    }
    let first = row.hints.first();
    let fault = first.filter(|hint| hint.fault != "none");
    let silent: Vec<String> = row
        .nodes
        .iter()
        .filter_map(|node| {
            let word = node
                .heard
                .filter(|word| *word != "heard" && *word != NOISY)?;
            Some(format!("{} {word}", node.at))
        })
        .collect();
    let mut out: Vec<String> = fault
        .map(|hint| brief_words(row, hint))
        .into_iter()
        .collect();
    if row
        .insulation
        .as_ref()
        .is_some_and(|it| it.verdict == "out-of-tolerance")
    {
        out.push("insulation too low".to_owned());
    }
    out.extend(silent);
    if out.is_empty() {
        out.extend(first.map(|hint| brief_words(row, hint)));
    }
    out.join("; ")
}

/// What whoever mended a line found there.
fn cause_found(row: &LineRow) -> &str {
    let mut repairs = row.story.iter().rev();
    let repair = repairs.find_map(StoryRow::repaired);
    let found = repair.and_then(|it| Some(it.rsplit_once(", found: ")?.1));
    found.unwrap_or("not noted")
}

/// What was done of a line: repairs that count, and the word on it.
fn done(data: &Assessment, row: &LineRow) -> String {
    let prefix = format!("{} repaired: ", row.line);
    let found = row
        .as_found
        .as_ref()
        .filter(|it| row.as_left.as_ref() != Some(*it));
    let mut out: Vec<String> = found
        .map(|it| format!("as found {}", ohms_text(&it.ohms)))
        .into_iter()
        .collect();
    let repairs = data
        .changes
        .iter()
        .filter(|it| it.counts && it.line.as_deref() == Some(row.line.as_str()))
        .filter_map(|it| Some(format!("repaired: {}", it.text.strip_prefix(&prefix)?)));
    out.extend(repairs);
    out.extend(row.word.clone());
    if row.off {
        let said = row.done.off.as_ref();
        let when = said.map_or_else(String::new, |it| format!(" {}", minute(&it.at)));
        let since = if when.is_empty() { "" } else { " since" };
        out.push(format!("OFF{since}{when}"));
    }
    out.join("; ")
}

fn of_line(data: &Assessment, row: &LineRow) -> Vec<String> {
    vec![
        row.line.clone(),
        row.zone.clone(),
        reading(row.as_left.as_ref()),
        ohms_text(&row.expected.ohms),
        why(row),
        done(data, row),
        row.to_do.join("; "),
    ]
}

fn of_output(data: &Assessment, row: &OutputRow, name: &str) -> Vec<String> {
    let grown: Vec<String> = row
        .grown
        .iter()
        .map(|it| {
            if row.stop.contains(&it.line) {
                return format!("{} reads short, its load is not known", it.line);
            }
            format!(
                "{} takes {} more than drawn",
                it.line,
                show::watt(Watt(it.by_w))
            )
        })
        .collect();
    let word = data
        .review
        .iter()
        .find(|it| it.kind == "output" && it.of == name)
        .and_then(|it| it.word.clone());
    let lines: Vec<&str> = row.grown.iter().map(|it| it.line.as_str()).collect();
    let needed = format!(
        "a rating of {} would leave the headroom",
        watts(row.rating_needed_w)
    );
    let off = match (row.off_lines, row.on_now_w) {
        (0, _) | (_, None) => String::new(),
        (count, Some(now)) => format!("; {} now, {count} of its lines OFF", watts(Some(now))),
    };
    vec![
        name.to_owned(),
        "every line on".to_owned(),
        watts(row.load_w),
        row.limit_w
            .map_or_else(String::new, |it| format!("at most {}", watts(Some(it)))),
        if grown.is_empty() {
            format!("more is planned on it than it should carry{off}")
        } else {
            format!("{}{off}", grown.join("; "))
        },
        word.unwrap_or_default(),
        if lines.is_empty() {
            needed
        } else {
            format!(
                "mend {} (all as drawn: {}); else {needed}",
                lines.join(", "),
                watts(Some(row.drawn_w))
            )
        },
    ]
}

/// Lines of which nothing was read, in one row.
fn not_read(data: &Assessment, rows: &[&LineRow]) -> Vec<String> {
    let mut words: Vec<&str> = rows.iter().filter_map(|row| row.word.as_deref()).collect();
    words.sort_unstable();
    words.dedup();
    vec![
        show::count(rows.len(), "line"),
        String::new(),
        "unread".to_owned(),
        String::new(),
        String::new(),
        words.join("; "),
        format!("read {}", front::not_read(data)),
    ]
}

/// The table, worst first: lines and outputs that are flagged, and those that were repaired.
pub(super) fn table(data: &Assessment, out: &mut Document) {
    let mut table = Table::new(&[
        "what",
        "where",
        ">reads",
        ">should",
        "likeliest why",
        "done",
        "left to do",
    ]);
    let mut told: Vec<(&str, &str)> = Vec::new();
    for item in data.review.iter().filter(|it| is_about_a_fault(&it.text)) {
        let key = (item.kind.as_str(), item.of.as_str());
        if told.contains(&key) {
            continue;
        }
        told.push(key);
        if item.kind == "line"
            && let Some(row) = data.lines.iter().find(|row| row.line == item.of)
        {
            table.row(of_line(data, row));
        } else if item.kind == "output"
            && let Some(row) = data
                .outputs
                .iter()
                .find(|row| format!("{} out {}", row.amplifier, row.output) == item.of)
        {
            table.row(of_output(data, row, &item.of));
        }
    }
    let unread: Vec<&LineRow> = data
        .lines
        .iter()
        .filter(|row| row.verdict == Some("unmeasured"))
        .collect();
    if table.rows.is_empty() && unread.is_empty() {
        return;
    }
    let more = table.rows.len().saturating_sub(MOST_TOLD);
    table.rows.truncate(MOST_TOLD);
    if !unread.is_empty() {
        table.row(not_read(data, &unread));
    }
    out.chapter("What is wrong, and what is left");
    out.text(
        "Worst first. Why is a suspicion with its odds, not a finding: what was found stands under done.",
    );
    out.table(table);
    if more > 0 {
        out.text(format!(
            "And {more} more, in their sections and under outputs."
        ));
    }
}
