//! What was suspected and done, what is open, what is still off, what drifted.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, LineRow, MeasuredRow};
use super::wrong::is_about_a_fault;
use super::{ohms_text, plain_table, reading, signed, verdict_words};
use crate::quantity::{Fraction, Probability, show};
use crate::site::LISTS;

/// Hints under this are left to the JSON.
const LEAST_SHOWN: f64 = 0.01;
/// So many hints a line.
const MOST_SHOWN: usize = 5;
/// A cable of more nodes is too long for a picture.
const LONGEST_DRAWN: usize = 60;

/// Whether a line is one that the record tells the story of.
fn is_told(data: &Assessment, row: &LineRow) -> bool {
    let in_review = data
        .review
        .iter()
        .any(|it| it.kind == "line" && it.of == row.line && is_about_a_fault(&it.text));
    in_review || !row.story.is_empty()
}

pub(super) fn suspicions(data: &Assessment, out: &mut Document) {
    // In the order of the review, worst first.
    let place = |row: &LineRow| {
        let mut review = data.review.iter();
        review.position(|it| it.kind == "line" && it.of == row.line && is_about_a_fault(&it.text))
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

fn story(data: &Assessment, row: &LineRow, out: &mut Document) {
    out.section(&format!("{}, {}", row.line, row.zone));
    let mut points = Vec::new();
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
            verdict_words(row.verdict),
            ohms_text(&row.expected.ohms)
        ));
    } else {
        points.push(format!(
            "Not read since; should read {}.",
            ohms_text(&row.expected.ohms)
        ));
    }
    if let Some(misfit) = row.misfit.filter(|it| *it > 0.5) {
        points.push(format!(
            "The readings fit nothing, {}: one of them is wrong, or two faults and more.",
            show::probability(Probability(misfit))
        ));
    }
    // Of what was mended and reads as it should, what counts is what was suspected before.
    if !row.is_mended() {
        points.extend(
            row.suspected(LEAST_SHOWN, MOST_SHOWN)
                .into_iter()
                .map(|words| format!("Suspected, {words}.")),
        );
    }
    points.extend(row.story.iter().map(|words| format!("{words}.")));
    if let Some(word) = &row.word {
        points.push(format!("Word: {word}."));
    }
    points.push(if row.to_do.is_empty() {
        "Left to do: nothing.".to_owned()
    } else {
        format!("Left to do: {}.", row.to_do.join("; "))
    });
    out.points(points);
    if row.nodes.len() <= LONGEST_DRAWN {
        out.picture(pictures::cable(data, row));
    } else {
        out.text(format!(
            "Its cable has {} nodes, too many for a picture; see the schedule.",
            row.nodes.len()
        ));
    }
}

pub(super) fn whole_building(data: &Assessment, out: &mut Document) {
    if data.site_hints.is_empty() && data.questions.is_empty() {
        return;
    }
    out.chapter("What only the whole building shows");
    let hints = data.site_hints.iter().map(|hint| {
        format!(
            "{}: {}",
            show::probability(Probability(hint.probability)),
            hint.text
        )
    });
    let questions = data.questions.iter().map(|it| {
        format!(
            "{} {}: {} designs stand; choose one",
            it.kind, it.of, it.designs
        )
    });
    out.points(hints.chain(questions).collect());
    out.text("Each begins with its odds; u is a standard uncertainty.");
}

/// Words of one sort, a row a thing: what is the matter with it, and the word on that. One word on
/// several matters of a thing is one thing to do.
fn words_on(data: &Assessment, of_sort: impl Fn(&str) -> Option<String>) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for row in &data.review {
        let Some(word) = row.word.as_deref().and_then(&of_sort) else {
            continue;
        };
        match rows.iter_mut().find(|it| it[0] == row.of && it[2] == word) {
            Some(known) => {
                known[1].push_str("; ");
                known[1].push_str(&row.text);
            }
            None => rows.push(vec![row.of.clone(), row.text.clone(), word]),
        }
    }
    rows
}

pub(super) fn snags(data: &Assessment, out: &mut Document) {
    out.chapter("Snag list");
    let rows = words_on(data, |word| Some(word.strip_prefix("snag, ")?.to_owned()));
    if rows.is_empty() {
        // Nobody is to read from it that nothing is open.
        let open = data.review.iter().filter(|it| it.open).count();
        out.text(match open {
            0 => "Nothing is left on a snag list.".to_owned(),
            _ => format!(
                "No snag has an owner and a date yet; {} open, under \"In the way of signing\".",
                match open {
                    1 => "1 thing is".to_owned(),
                    count => format!("{count} things are"),
                }
            ),
        });
    } else {
        out.table(plain_table(
            &["what", "matter", "owner, date, reason"],
            rows,
        ));
    }
    let accepted = words_on(data, |word| {
        let sorts = ["accepted", "skipped"];
        let fits = sorts.iter().any(|it| word.starts_with(it));
        fits.then(|| word.to_owned())
    });
    if !accepted.is_empty() {
        out.section("Accepted as it is, or skipped");
        out.table(plain_table(&["what", "matter", "word"], accepted));
    }
}

pub(super) fn in_the_way(data: &Assessment, out: &mut Document) {
    out.chapter("In the way of signing");
    let rows = open_matters(data);
    if rows.is_empty() {
        out.text("Nothing stands in the way of signing.");
        return;
    }
    out.table(plain_table(&["matter, worst first", "of"], rows));
}

/// An item of a list that waits: its words, and the lines it waits for where it is one of lines.
fn tick(text: &str) -> Option<(&str, Option<&str>)> {
    let item = text.strip_prefix(TICK)?;
    let of = |words: &str| item.strip_prefix(words);
    let rest = LISTS.iter().find_map(|row| {
        let rest = of(row.words)?;
        (rest.is_empty() || rest.starts_with(", ")).then_some(rest)
    })?;
    Some((&text[..text.len() - rest.len()], rest.strip_prefix(", ")))
}

/// How the text of an item that waits begins.
const TICK: &str = "not ticked: ";

/// What stands in the way of signing, worst first: things with one and the same matter in one row,
/// and list items that wait for the same amplifiers.
fn open_matters(data: &Assessment) -> Vec<Vec<String>> {
    const UNHEARD: &str = " loudspeakers not listened to";
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    for row in data.review.iter().filter(|row| row.open) {
        let in_brackets = |it: &Option<String>| it.as_ref().map(|it| format!(" ({it})"));
        let note = in_brackets(&row.note).unwrap_or_default();
        let word = in_brackets(&row.word).unwrap_or_default();
        let (matter, of) = match (row.text.strip_suffix(UNHEARD), tick(&row.text)) {
            (Some(count), _) => (
                UNHEARD.trim_start(),
                format!("{} {count}{note}{word}", row.of),
            ),
            (None, Some((matter, lines))) => (matter, lines.unwrap_or(&row.of).to_owned()),
            (None, None) => (row.text.as_str(), format!("{}{note}{word}", row.of)),
        };
        match out.iter_mut().find(|(known, _)| known == matter) {
            Some((_, all)) => all.push(of),
            None => out.push((matter.to_owned(), vec![of])),
        }
    }
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (matter, of) in out {
        let of = of.join(", ");
        let tick = matter.strip_prefix(TICK);
        let same = rows
            .iter_mut()
            .find(|row| tick.is_some() && row[1] == of && row[0].starts_with(TICK));
        match (same, tick) {
            (Some(row), Some(item)) => {
                row[0].push_str("; ");
                row[0].push_str(item);
            }
            _ => rows.push(vec![matter, of]),
        }
    }
    rows
}

pub(super) fn off(data: &Assessment, out: &mut Document) {
    out.chapter("Not reconnected");
    let rows: Vec<Vec<String>> = data
        .lines
        .iter()
        .filter(|row| row.off)
        .map(|row| {
            vec![
                row.line.clone(),
                row.zone.clone(),
                format!("{} out {}", row.amplifier, row.output),
                row.word.clone().unwrap_or_default(),
            ]
        })
        .collect();
    if rows.is_empty() {
        out.text("No line is noted as OFF the amplifier.");
    } else {
        out.table(plain_table(&["line", "zone", "output", "word"], rows));
    }
}

pub(super) fn baseline(data: &Assessment, out: &mut Document) {
    let Some(it) = &data.baseline else { return };
    out.chapter("Against the last visit");
    let called = it.lines.iter().filter(|row| row.called).count();
    out.text(format!(
        "Baseline: {}. {called} of {} lines changed by more than both meters can explain; called over \
         {}. Positive is more load now; the meters' own factors are taken out.",
        it.of,
        it.lines.len(),
        show::percent(Fraction(it.called_over))
    ));
    let mut table = Table::new(&[
        "line",
        "was called",
        ">then",
        ">now",
        ">drift",
        ">95 %",
        ">probability",
        "word",
    ]);
    for row in &it.lines {
        table.strong_row(
            vec![
                row.line.clone(),
                row.renamed_from.clone().unwrap_or_default(),
                ohms_text(&row.then),
                ohms_text(&row.now),
                signed(row.drift),
                super::expanded(row.u),
                row.probability
                    .map_or_else(String::new, |p| show::probability(Probability(p))),
                if row.drift.is_some() {
                    if row.called { "drifted" } else { "" }.to_owned()
                } else {
                    row.text.clone()
                },
            ],
            row.called,
        );
    }
    out.table(table);
    for (title, labels) in [("New lines", &it.new), ("Lines gone", &it.gone)] {
        if !labels.is_empty() {
            out.text(format!("{title}: {}.", labels.join(", ")));
        }
    }
}
