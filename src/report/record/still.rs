//! What the summary says of loudspeakers that gave no sound or the wrong one, of the snag list, and of what
//! an earlier visit left open.
//!
//! Never here: what wants a word.

use super::super::record_rows::ReviewRow;
use super::super::rows::Assessment;
use super::cells::listed;
use crate::review::Matter;

/// Loudspeakers that were listened to and not heard as they should be, per line.
pub(super) fn not_heard(data: &Assessment) -> Option<String> {
    let mut count = 0;
    let mut told: Vec<String> = Vec::new();
    for row in &data.lines {
        let wrong = row.not_heard_well();
        if !wrong.is_empty() {
            count += wrong.len();
            told.push(format!("{} {}", row.line, wrong.join(", ")));
        }
    }
    let words = "Listened to and not heard as they should be";
    (count > 0).then(|| format!("{words}, {count}: {}.", told.join("; ")))
}

/// Left open on an earlier visit, and no word of this one on it.
fn is_still_open(row: &ReviewRow) -> bool {
    row.open && row.matter == Matter::LeftOpen
}

fn things(data: &Assessment, fits: impl Fn(&ReviewRow) -> bool) -> Vec<&str> {
    let mut out: Vec<&str> = Vec::new();
    for row in data.review.iter().filter(|row| fits(row)) {
        if !out.contains(&row.of.as_str()) {
            out.push(&row.of);
        }
    }
    out
}

/// So many lines are told each with its insulation; of more, the lowest.
const MOST_LOW: usize = 8;

/// Lines of which the insulation is too low, whatever word is on them, with their figures.
pub(super) fn insulation_low(data: &Assessment) -> Option<String> {
    let mut low: Vec<(f64, &str, [String; 2])> = Vec::new();
    for row in &data.lines {
        if let Some(it) = &row.insulation
            && let Some(words) = it.low()
        {
            low.push((it.ohms / it.least_ohm, row.line.as_str(), words));
        }
    }
    let count = low.len();
    let told = |(_, line, [told, least]): &(f64, &str, [String; 2])| {
        format!("{line} {told}, at least {least}")
    };
    let words = "Insulation too low";
    if count <= MOST_LOW {
        let each: Vec<String> = low.iter().map(told).collect();
        return (count > 0).then(|| format!("{words}, {count}: {}.", each.join("; ")));
    }
    let lowest = low.iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let labels: Vec<&str> = low.iter().map(|it| it.1).collect();
    let (labels, lowest) = (listed(&labels), told(lowest));
    Some(format!(
        "{words}, {count}: {labels}; the lowest is {lowest}."
    ))
}

/// How many things are on the snag list.
pub(super) fn snags(data: &Assessment) -> String {
    let all = things(data, ReviewRow::is_snag);
    match all.len() {
        0 => "Nothing is on the snag list.".to_owned(),
        count => format!("On the snag list, {count}: {}.", listed(&all)),
    }
}

/// What an earlier visit left open, and which of it is overdue.
pub(super) fn still_open(data: &Assessment) -> Option<String> {
    let still = things(data, is_still_open);
    let overdue = things(data, |row| {
        is_still_open(row) && row.text.ends_with("OVERDUE")
    });
    let overdue = match overdue.is_empty() {
        true => String::new(),
        false => format!("; OVERDUE: {}", listed(&overdue)),
    };
    let words = "LEFT OPEN on an earlier visit, and nobody said on this one what became of it";
    let count = still.len();
    (count > 0).then(|| format!("{words}, {count}: {}{overdue}.", listed(&still)))
}

/// What reads otherwise than on the visit before.
pub(super) fn changed(data: &Assessment) -> Option<String> {
    let it = data.baseline.as_ref()?;
    let changed = it.lines.iter().filter(|row| row.is_called());
    let changed: Vec<&str> = changed.map(|row| row.line.as_str()).collect();
    let words = "by more than both meters can explain";
    let count = changed.len();
    (count > 0).then(|| {
        let of = &it.of;
        format!(
            "Changed since {of}, {words}, {count}: {}.",
            listed(&changed)
        )
    })
}

/// What an earlier visit left open, each in full.
pub(super) fn left_open(data: &Assessment) -> Vec<String> {
    let rows = data.review.iter().filter(|row| is_still_open(row));
    rows.map(|row| format!("{}: {}.", row.of, row.text))
        .collect()
}

/// Of a line something is left: it is flagged and nothing settles that, or it is on the snag list.
pub(super) fn is_left(data: &Assessment, line: &str) -> bool {
    let mut own = data.review.iter();
    own.any(|row| {
        row.kind == "line"
            && row.of == line
            && row.is_about_a_fault()
            && (row.open || row.is_snag())
    })
}
