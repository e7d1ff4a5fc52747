//! What is wrong, in one table for whoever reads no further: why, what was done, what is left.
//!
//! Never here: what is worse than what.

use super::super::document::{Document, Table};
use super::super::line_done::StoryRow;
use super::super::record_rows::TickedRow;
use super::super::rows::{Assessment, LineRow, OutputRow};
use super::super::suspected::brief_words;
use super::super::values::ohms_text;
use super::cells::{minute, reading, watts};
use super::front;
use super::left::{self, OnItNow};
use crate::diagnosis::FaultKind;
use crate::quantity::{Probability, Watt, show};
use crate::review::Why;
use crate::site::{CONTROLS_UP, Heard};

/// So many things on the first pages.
const MOST_TOLD: usize = 40;

fn odds(p: f64) -> String {
    show::probability(Probability(p))
}

/// A first suspect that is less likely than this does not stand alone.
const ALONE: f64 = 0.6;

/// The second suspect, where the first does not stand alone.
fn runner_up(row: &LineRow) -> Option<String> {
    let second = row.hints.get(1)?;
    let stands_alone = row.hints[0].probability >= ALONE;
    (!stands_alone).then(|| brief_words(row, second))
}

/// Insulation that is too low, with its figure: a line may want a look for that alone.
fn insulation_low(row: &LineRow) -> Option<String> {
    let [told, least] = row.insulation.as_ref()?.low()?;
    Some(format!("insulation {told}, too low: at least {least}"))
}

/// The likeliest cause, in a few words.
fn why(row: &LineRow) -> String {
    let low = insulation_low(row);
    let cause = cause(row, low.is_some());
    let all = cause.into_iter().chain(low).chain(silent(row));
    all.collect::<Vec<_>>().join("; ")
}

/// Loudspeakers that were listened to and are not as they should be; none where that says no more than what stands
/// before it.
fn silent(row: &LineRow) -> Vec<String> {
    if row.first_site_wide().is_some() || row.is_mended() || row.in_doubt.is_some() {
        return Vec::new();
    }
    let wrong = row.nodes.iter().filter_map(|node| {
        let heard = node.gives.filter(|it| it.tells() && *it != Heard::Heard)?;
        Some(format!("{} {}", node.at, heard.word()))
    });
    wrong.collect()
}

/// What is suspected or was found; nothing where all that is the matter is told beside it.
fn cause(row: &LineRow, told_beside: bool) -> Vec<String> {
    if let Some(it) = row.first_site_wide() {
        return vec![format!(
            "{}: {} (seen over all lines)",
            odds(it.probability),
            it.claim
        )];
    }
    if row.is_mended() {
        // What was guessed before it was mended stands in its own section alone.
        return vec![match (cause_found(row), noted(row)) {
            (Some(found), _) => format!("repaired, reads right since; cause found: {found}"),
            (None, Some(noted)) => format!("repaired, reads right since; noted as found: {noted}"),
            (None, None) => "repaired, reads right since; cause not noted".to_owned(),
        }];
    }
    if let Some(words) = &row.in_doubt {
        return vec![words.clone()];
    }
    let first = row.hints.first();
    let fault = first.filter(|hint| !hint.is_no_fault());
    let told_beside = told_beside || !silent(row).is_empty();
    let named = fault.or_else(|| first.filter(|_| !told_beside));
    let second = named.and_then(|_| runner_up(row));
    let first = named.map(|hint| brief_words(row, hint));
    first.into_iter().chain(second).collect()
}

/// What whoever mended a line found there.
fn cause_found(row: &LineRow) -> Option<&str> {
    let mut repairs = row.story.iter().rev();
    let repair = repairs.find_map(StoryRow::repaired);
    Some(repair?.rsplit_once(", found: ")?.1)
}

/// What was noted beside the reading as found.
fn noted(row: &LineRow) -> Option<&str> {
    let mut story = row.story.iter();
    let noted = story.find_map(|it| Some(it.words.split_once(", as found (noted: ")?.1));
    noted?.strip_suffix(')')
}

/// Behind a level control that is suspected to be down: that nobody ticked that all were up.
fn controls(data: &Assessment, row: &LineRow) -> &'static str {
    let down = row
        .hints
        .first()
        .is_some_and(|hint| hint.kind == FaultKind::ControlDown);
    let open =
        |it: &TickedRow| it.amplifier == row.amplifier && it.item == CONTROLS_UP && it.is.is_none();
    match down && data.ticks.iter().any(open) {
        true => "; controls up: not ticked",
        false => "",
    }
}

/// What was done of a line on this visit: repairs that count, and the word on it. A repair of an earlier visit is
/// no answer to what was found on this one.
fn done(row: &LineRow) -> String {
    let found = row
        .as_found
        .as_ref()
        .filter(|it| row.as_left.as_ref() != Some(*it));
    let mut out: Vec<String> = Vec::new();
    let repairs = row.story.iter().filter_map(StoryRow::repaired);
    out.extend(repairs.map(|what| format!("repaired: {what}")));
    out.extend(found.map(|it| format!("as found {}", ohms_text(&it.ohms))));
    out.extend(row.word.clone());
    if row.off {
        let said = row.done.off.as_ref();
        let when = said.map_or_else(String::new, |it| format!(" {}", minute(&it.at)));
        let since = if when.is_empty() { "" } else { " since" };
        out.push(format!("OFF{since}{when}"));
    } else if left::is_live(row)
        && let Some(said) = &row.done.on
    {
        out.push(format!("BACK ON since {}", minute(&said.at)));
    }
    out.join("; ")
}

fn of_line(data: &Assessment, row: &LineRow) -> Vec<String> {
    vec![
        row.line.clone(),
        row.zone.clone(),
        reading(row.as_left.as_ref()),
        ohms_text(&row.expected.ohms),
        format!("{}{}", why(row), controls(data, row)),
        done(row),
        row.to_do.join("; "),
    ]
}

/// What is so now before what would be so with every line on, and what is mended last.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Now,
    EveryLineOn,
    Mended,
}

/// Of an output with every line on: only where the ticks tell that what is on it now is not too much, or
/// where nothing was read and all of it is as drawn, is it not so now.
fn rank(data: &Assessment, row: &OutputRow) -> Rank {
    let now = left::on_it_now(data, row);
    let fits = |now: f64| row.limit_w.is_some_and(|most| now <= most);
    match now {
        _ if !row.stop.is_empty() => Rank::Now,
        OnItNow::Load(Some(now)) if fits(now) => Rank::EveryLineOn,
        OnItNow::Untouched => Rank::EveryLineOn,
        _ => Rank::Now,
    }
}

fn of_output(data: &Assessment, row: &OutputRow, name: &str) -> Vec<String> {
    let stops = !row.stop.is_empty();
    let line = |label: &str| data.lines.iter().find(|it| it.line == label);
    // Beside a line that must not be connected what counts is what is on it now.
    let counted = row.grown.iter().filter(|it| {
        let off = line(&it.line).is_some_and(|it| it.off);
        !stops || !(off || row.stop.contains(&it.line))
    });
    let counted: Vec<_> = counted.collect();
    let grown = counted.iter().map(|it| {
        let doubt = line(&it.line).map_or("", |it| front::in_doubt(row, it));
        let by = show::watt(Watt(it.by_w));
        format!("{} takes {by} more than drawn{doubt}", it.line)
    });
    let grown: Vec<String> = grown.collect();
    let word = data
        .review
        .iter()
        .find(|it| it.kind == "output" && it.of == name)
        .and_then(|it| it.word.clone());
    let lines: Vec<&str> = counted.iter().map(|it| it.line.as_str()).collect();
    let needed = row.rating_needed_w.map_or_else(String::new, |it| {
        let it = watts(Some(it));
        format!("a rating of {it} would leave the headroom")
    });
    let off = match (row.off_lines, row.on_now_w) {
        _ if stops => String::new(),
        (0, _) | (_, None) => String::new(),
        (count, Some(now)) => format!("; {} now, {count} of its lines OFF", watts(Some(now))),
    };
    vec![
        name.to_owned(),
        match stops {
            true => format!("now, without {}", row.stop.join(", ")),
            false => "every line on".to_owned(),
        },
        watts(if stops { row.on_now_w } else { row.load_w }),
        row.limit_w
            .map_or_else(String::new, |it| format!("at most {}", watts(Some(it)))),
        if grown.is_empty() {
            // By cores that are still on it nobody planned that.
            let planned = if row.cores.is_empty() { "planned " } else { "" };
            let past = match row.is_overloaded() {
                true => Why::Over.words(),
                false => Why::Tight.words(),
            };
            let slips = front::if_slips(row);
            format!("{planned}{past}{off}{}{slips}", row.cores)
        } else {
            format!(
                "{}{off}{}{}",
                grown.join("; "),
                row.cores,
                front::if_slips(row)
            )
        },
        word.unwrap_or_default(),
        way_out(
            row,
            &lines,
            &needed,
            if stops { row.on_now_w } else { row.load_w },
        ),
    ]
}

/// What would bring an output below its headroom. A line is named only where mending those that grew does
/// it: of an output that is past it as drawn no line is at fault.
fn way_out(row: &OutputRow, lines: &[&str], needed: &str, load: Option<f64>) -> String {
    let over = match (load, row.limit_w) {
        (Some(load), Some(most)) if load > most => Some(load - most),
        _ => None,
    };
    let least = over.map_or_else(String::new, |it| {
        let by = show::watt(Watt(it));
        format!("at least {by} less on it: lower taps, or a line on another output")
    });
    let either = [needed, &least];
    let either = either.iter().filter(|it| !it.is_empty());
    let either = either.copied().collect::<Vec<_>>().join("; or ");
    let Some(mended) = row.grown_as_drawn_w.filter(|_| !lines.is_empty()) else {
        return either;
    };
    let lines = lines.join(", ");
    let then = watts(Some(mended));
    match row.limit_w {
        Some(most) if mended > most => {
            format!("{either} (with {lines} as drawn it would still carry {then})")
        }
        _ if needed.is_empty() => format!("see to {lines} (as drawn: {then})"),
        _ => format!("see to {lines} (as drawn: {then}); else {needed}"),
    }
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
    let mut rows: Vec<(Rank, Vec<String>)> = Vec::new();
    let mut told: Vec<(&str, &str)> = Vec::new();
    for item in data.review.iter().filter(|it| it.is_about_a_fault()) {
        let key = (item.kind.as_str(), item.of.as_str());
        if told.contains(&key) {
            continue;
        }
        told.push(key);
        if item.kind == "line"
            && let Some(row) = data.lines.iter().find(|row| row.line == item.of)
        {
            let mended = row.is_mended() && insulation_low(row).is_none();
            let rank = if mended { Rank::Mended } else { Rank::Now };
            rows.push((rank, of_line(data, row)));
        } else if item.kind == "output"
            && let Some(row) = data.outputs.iter().find(|row| row.name() == item.of)
        {
            rows.push((rank(data, row), of_output(data, row, &item.of)));
        }
    }
    // Stable: within a rank the order is that of the review.
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    rows.into_iter().for_each(|(_, cells)| table.row(cells));
    let unread: Vec<&LineRow> = data.lines.iter().filter(|row| row.is_unread()).collect();
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
        "Worst first; what is so now before what would be so with every line on, what was mended last. Why is a suspicion with its odds, not a finding: what was \
         found stands under done. The time behind OFF and BACK ON is when it was ticked.",
    );
    out.table(table);
    if more > 0 {
        out.text(format!(
            "And {more} more, in their sections and under outputs."
        ));
    }
}
