//! What was suspected and done, what is open, what is still off, what drifted.

use super::super::document::{Document, Table};
use super::super::line_done::StoryRow;
use super::super::pictures;
use super::super::record_rows::ReviewRow;
use super::super::rows::{Assessment, LineRow, MeasuredRow, SiteHintRow};
use super::front::listed;
use super::left;
use super::wrong::is_about_a_fault;
use super::{ohms_text, plain_table, reading, signed, verdict_words};
use crate::quantity::{Fraction, Ohm, Probability, show};
use crate::site::LISTS;

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
fn done(story: &[StoryRow]) -> Vec<String> {
    let day = |row: &StoryRow| {
        let said = row.said.as_ref()?;
        Some((said.at.get(..10)?.to_owned(), said.by.clone()))
    };
    let mut out = Vec::new();
    for run in story.chunk_by(|a, b| day(a) == day(b)) {
        let Some((date, by)) = day(&run[0]) else {
            out.extend(run.iter().map(|row| format!("{}.", row.words)));
            continue;
        };
        let rows = run.iter().map(|row| {
            let at = row.said.as_ref().and_then(|it| it.at.get(11..16));
            format!("{} {}", at.unwrap_or_default(), row.words)
        });
        let rows: Vec<String> = rows.collect();
        out.push(format!("Done {date} UTC, {by}: {}.", rows.join("; ")));
    }
    out
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
    points.extend(done(&row.story));
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
            "Its cable has {} nodes, too many for a picture; see the schedule.",
            row.nodes.len()
        ));
    }
}

/// The test that a hint asks for, and what it gave where it was made.
fn tested(data: &Assessment, text: &str) -> String {
    const ASKED: &str = ": the known resistor settles it";
    match data.checks.last() {
        Some(it) => {
            let (known, read) = (Ohm(it.known_ohm), Ohm(it.read_ohm));
            let (known, read) = (show::ohm(known), show::ohm(read));
            text.replace(
                ASKED,
                &format!("; the known resistor of {known} read {read}"),
            )
        }
        None => text.to_owned(),
    }
}

/// The lines that have a loudspeaker of the type that is told of.
fn of_type(data: &Assessment, hint: &SiteHintRow) -> String {
    let Some(of) = &hint.of_type else {
        return String::new();
    };
    let has = |row: &&LineRow| {
        row.nodes
            .iter()
            .any(|node| node.of_type.as_ref() == Some(of))
    };
    let lines = data.lines.iter().filter(has);
    let lines: Vec<&str> = lines.map(|row| row.line.as_str()).collect();
    format!("; on {}", listed(&lines))
}

pub(super) fn whole_building(data: &Assessment, out: &mut Document) {
    if data.site_hints.is_empty() && data.questions.is_empty() {
        return;
    }
    out.chapter("What only the whole building shows");
    let hints = data.site_hints.iter().map(|hint| {
        let odds = show::probability(Probability(hint.probability));
        format!(
            "{odds}: {}{}",
            tested(data, &hint.text),
            of_type(data, hint)
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

/// Words of one sort, a row a thing: what it is, what is the matter with it, and the word on that. One
/// word on several matters of a thing is one thing to do.
fn words_on(data: &Assessment, of_sort: impl Fn(&str) -> Option<String>) -> Vec<[String; 3]> {
    let mut rows: Vec<[String; 3]> = Vec::new();
    for row in &data.review {
        let Some(word) = row.word.as_deref().and_then(&of_sort) else {
            continue;
        };
        match rows.iter_mut().find(|it| it[0] == row.of && it[2] == word) {
            Some(known) => {
                known[1].push_str("; ");
                known[1].push_str(&row.text);
            }
            None => rows.push([row.of.clone(), row.text.clone(), word]),
        }
    }
    rows
}

/// Owner, date and reason of a word, where it has them.
fn agreed(word: &str) -> [String; 3] {
    let (head, reason) = word.split_once(": ").unwrap_or((word, ""));
    let (owner, due) = head.rsplit_once(", ").unwrap_or((head, ""));
    let owner = owner.strip_prefix("owner ").unwrap_or(owner);
    let due = due.strip_prefix("by ").unwrap_or(due);
    [owner, due, reason].map(str::to_owned)
}

pub(super) fn snags(data: &Assessment, out: &mut Document) {
    out.chapter("Snag list");
    let mut rows: Vec<Vec<String>> = Vec::new();
    for [of, matter, word] in words_on(data, |word| Some(word.strip_prefix("snag, ")?.to_owned())) {
        let [owner, due, reason] = agreed(&word);
        rows.push(vec![of, matter, owner, due, reason]);
    }
    // What is flagged and agreed with nobody: room to agree on it on paper.
    for row in data.review.iter().filter(|row| is_unsaid(row)) {
        let dots = || ".".repeat(20);
        rows.push(vec![
            row.of.clone(),
            row.text.clone(),
            dots(),
            dots(),
            String::new(),
        ]);
    }
    if rows.is_empty() {
        out.text("Nothing is left on a snag list.");
    } else {
        if rows.iter().any(|row| row[2].starts_with("..")) {
            out.text(
                "Where dots stand nobody is named yet. Each wants to be mended and read again, accepted with a reason, or a \
                 name and a date.",
            );
        }
        out.table(plain_table(
            &["what", "matter", "who", "by when", "reason"],
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
        let rows = accepted.into_iter().map(Vec::from);
        out.table(plain_table(&["what", "matter", "word"], rows.collect()));
    }
}

/// Flagged, and without a word that settles it.
fn is_unsaid(row: &ReviewRow) -> bool {
    row.open
        && matches!(row.kind.as_str(), "line" | "output")
        && is_about_a_fault(&row.text)
        && row
            .word
            .as_ref()
            .is_none_or(|word| !word.starts_with("snag, "))
}

pub(super) fn in_the_way(data: &Assessment, out: &mut Document) {
    out.chapter("In the way of signing");
    let mut rows = open_matters(data);
    if rows.is_empty() {
        out.text("Nothing stands in the way of signing.");
        return;
    }
    let open = data.review.iter().filter(|row| row.open).count();
    rows.push(vec!["in all".to_owned(), open.to_string(), String::new()]);
    out.table(plain_table(&["matter, worst first", ">things", "of"], rows));
    let untouched = left::untouched(data);
    if !untouched.is_empty() {
        out.text(format!(
            "No tick is asked for {}: nothing was read or taken off there.",
            listed(&untouched)
        ));
    }
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

/// What stands in the way of signing, worst first, each with how many things it is: things with one and
/// the same matter in one row, and list items that wait for the same amplifiers.
fn open_matters(data: &Assessment) -> Vec<Vec<String>> {
    const UNHEARD: &str = " loudspeakers not listened to";
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    for row in data.review.iter().filter(|row| row.open) {
        let in_brackets = |it: &Option<String>| it.as_ref().map(|it| format!(" ({it})"));
        let note = in_brackets(&row.note).unwrap_or_default();
        let word = in_brackets(&row.word).unwrap_or_default();
        let (matter, of) = match (row.text.strip_suffix(UNHEARD), tick(&row.text)) {
            (Some(count), _) => (
                ALL_UNHEARD,
                match count.split_once(" of ") {
                    Some((left, all)) if left != all => {
                        format!("{} {count}{note}{word}", row.of)
                    }
                    _ => format!("{}{note}{word}", row.of),
                },
            ),
            (None, Some((matter, lines))) => (matter, lines.unwrap_or(&row.of).to_owned()),
            (None, None) if is_unsaid(row) => (NO_WORD, format!("{}{note}{word}", row.of)),
            (None, None) => (row.text.as_str(), format!("{}{note}{word}", row.of)),
        };
        match out.iter_mut().find(|(known, _)| known == matter) {
            Some((_, all)) => all.push(of),
            None => out.push((matter.to_owned(), vec![of])),
        }
    }
    let mut rows: Vec<(String, usize, String)> = Vec::new();
    for (matter, of) in out {
        let (count, of) = (of.len(), of.join(", "));
        let tick = matter.strip_prefix(TICK);
        let same = rows
            .iter_mut()
            .find(|row| tick.is_some() && row.2 == of && row.0.starts_with(TICK));
        match (same, tick) {
            (Some(row), Some(item)) => {
                row.0.push_str("; ");
                row.0.push_str(item);
                row.1 += count;
            }
            _ => rows.push((matter, count, of)),
        }
    }
    let cells = rows.into_iter().map(|(matter, count, of)| {
        let items = matter.split("; ").count();
        let matter = match matter.starts_with(TICK) && items > MOST_ITEMS {
            true => format!("{items} items of the lists not ticked, see Checks"),
            false => matter,
        };
        vec![matter, count.to_string(), of]
    });
    cells.collect()
}

/// So many items that wait for the same are named; more are under Checks.
const MOST_ITEMS: usize = 5;
/// Said of lines on which nobody listened, or not to all.
const ALL_UNHEARD: &str = "loudspeakers not listened to, all where no figure stands";

/// Said of everything that is flagged: what is the matter stands on the snag list.
const NO_WORD: &str = "flagged, see the snag list";

pub(super) fn baseline(data: &Assessment, out: &mut Document) {
    let Some(it) = &data.baseline else { return };
    out.chapter("Against the last visit");
    let called = it.lines.iter().filter(|row| row.called).count();
    out.text(format!(
        "Baseline: {}. Drift: load now over load then, less one, what was learned of each meter taken out. {called} \
         of {} lines changed by more than both meters can explain, with a probability over {}.",
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
