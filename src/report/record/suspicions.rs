//! What was suspected of a line, what was done on it, and what is left.
//!
//! Never here: what is likelier than what.

use super::super::document::Document;
use super::super::line_done::StoryRow;
use super::super::pictures;
use super::super::rows::{Assessment, LineRow, MeasuredRow};
use super::super::suspected::brief_words;
use super::super::values::{ohms_text, signed};
use super::cells::{clock, day, reading, verdict_words};
use super::drawn;
use crate::quantity::{Probability, show};

/// Hints under this are left to the JSON.
const LEAST_SHOWN: f64 = 0.02;

/// So many hints a line.
const MOST_SHOWN: usize = 3;

/// A cable of more nodes is too long for a picture.
const LONGEST_DRAWN: usize = 60;

/// Whether a line is one that the record tells the story of.
fn is_told(data: &Assessment, row: &LineRow) -> bool {
    let in_review = data
        .review
        .iter()
        .any(|it| it.kind == "line" && it.of == row.line && it.is_about_a_fault());
    in_review || !row.story.is_empty()
}

/// The chapter that tells the story of each line that was flagged or repaired.
pub(super) fn suspicions(data: &Assessment, out: &mut Document) {
    // In the order of the review, worst first.
    let place = |row: &LineRow| {
        let mut review = data.review.iter();
        review.position(|it| it.kind == "line" && it.of == row.line && it.is_about_a_fault())
    };
    let mut told: Vec<&LineRow> = data.lines.iter().filter(|row| is_told(data, row)).collect();
    told.sort_by_key(|row| place(row).unwrap_or(usize::MAX));
    out.chapter("Suspicions, and what was done");
    if told.is_empty() {
        out.text("No line was flagged or repaired.");
        return;
    }
    for row in told {
        story(data, row, out);
    }
}

/// How far the load is from the one drawn, behind a reading; of a short there is no such figure.
fn deviation(data: &Assessment, it: &MeasuredRow) -> String {
    match it.deviation {
        _ if pictures::is_short(data, it) => ", as good as short".to_owned(),
        None => String::new(),
        some => format!(", {}", signed(some)),
    }
}

/// Whether its cable says more than its words: something was heard along it, or its places are not
/// alike. Of a line that is mended, or named by what is seen over all lines, nothing is looked for
/// along its cable.
fn is_pictured(row: &LineRow) -> bool {
    let mut odds: Vec<i64> = row
        .nodes
        .iter()
        .map(|node| (100.0 * row.suspect_at(&node.at)).round() as i64)
        .filter(|percent| *percent > 0)
        .collect();
    odds.sort_unstable();
    odds.dedup();
    let heard = row.nodes.iter().any(|node| node.heard.is_some());
    (heard || odds.len() > 1) && !row.is_mended() && row.first_site_wide().is_none()
}

/// What was done, in order: one point for what one person did on one day.
fn done(story: &[StoryRow], mended: bool) -> Vec<String> {
    let who_when = |row: &StoryRow| {
        let said = row.said.as_ref()?;
        Some((day(&said.at).to_owned(), said.by.clone()))
    };
    let mut out = Vec::new();
    for run in story.chunk_by(|a, b| who_when(a) == who_when(b)) {
        let Some((date, by)) = who_when(&run[0]) else {
            let since = if mended {
                "; a guess, and the reading since fits no fault"
            } else {
                ""
            };
            out.extend(run.iter().map(|row| format!("{}{since}.", row.words)));
            continue;
        };
        let rows = run.iter().map(|row| {
            let at = row.said.as_ref().map_or("", |it| clock(&it.at));
            format!("{at} {}", row.words)
        });
        let rows: Vec<String> = rows.collect();
        out.push(format!("Done {date} UTC, {by}: {}.", rows.join("; ")));
    }
    out
}

/// A repair of an earlier visit, with that and its day.
fn earlier((visit, row): &(String, StoryRow)) -> String {
    let said = row.said.as_ref();
    let said = said.map_or_else(String::new, |it| {
        format!(", {} UTC, {}", day(&it.at), it.by)
    });
    format!("Before this visit, on {visit}{said}: {}.", row.words)
}

fn story(data: &Assessment, row: &LineRow, out: &mut Document) {
    out.section(&format!("{}, {}", row.line, row.zone));
    let mut points: Vec<String> = row.done.before.iter().map(earlier).collect();
    if let Some(found) = row
        .as_found
        .as_ref()
        .filter(|it| row.as_left.as_ref() != Some(*it))
    {
        points.push(format!(
            "As found: {}{}.",
            reading(Some(found)),
            deviation(data, found)
        ));
    }
    if let Some(left) = &row.as_left {
        points.push(format!(
            "As left: {}{}, {}; should read {}.",
            ohms_text(&left.ohms),
            deviation(data, left),
            verdict_words(row.verdict_told()),
            ohms_text(&row.expected.ohms)
        ));
    } else {
        points.push(format!(
            "Not read since; should read {}.",
            ohms_text(&row.expected.ohms)
        ));
    }
    if let Some(misfit) = row.misfit.filter(|_| row.fits_nothing()) {
        points.push(format!(
            "The readings fit nothing, {}: one of them is wrong, or two faults and more.",
            show::probability(Probability(misfit))
        ));
    }
    points.extend(
        row.doubt
            .iter()
            .map(|doubt| format!("Likely misread: {doubt}.")),
    );
    // Of what was mended and reads as it should, what counts is what was suspected before.
    if !row.is_mended() {
        points.extend(
            row.suspected_in(LEAST_SHOWN, MOST_SHOWN, brief_words)
                .into_iter()
                .map(|words| format!("Suspected, {words}.")),
        );
    }
    points.extend(done(&row.story, row.is_mended()));
    if let Some(word) = &row.word {
        points.push(format!("Word: {word}."));
    }
    points.push(if row.to_do.is_empty() {
        "Left to do: nothing.".to_owned()
    } else {
        format!("Left to do: {}.", row.to_do.join("; "))
    });
    out.points(points);
    if !is_pictured(row) {
        // Its words say where.
    } else if row.nodes.len() <= LONGEST_DRAWN {
        out.picture(pictures::cable(data, row));
    } else {
        out.text(format!(
            "Its cable has {} nodes, too many for a picture; see {}.",
            row.nodes.len(),
            drawn::TITLE
        ));
    }
}
