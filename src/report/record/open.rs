//! What is left open: the snag list, and what stands in the way of signing.
//!
//! Never here: what wants a word.

use super::super::document::Document;
use super::super::record_rows::ReviewRow;
use super::super::rows::Assessment;
use super::cells::{listed, plain_table};
use super::front::if_slips;
use super::left;
use crate::quantity::show;
use crate::review::{Matter, Word};
use crate::site::{Decision, LISTS};

/// A thing with a word on it.
struct Worded<'a> {
    /// What it is.
    of: &'a str,
    /// What is the matter with it.
    matter: String,
    /// The word.
    said: &'a Word,
}

/// Words of one sort, one a thing: one word on several matters of a thing is one thing to do.
fn words_on(data: &Assessment, is_of_sort: impl Fn(&Decision) -> bool) -> Vec<Worded<'_>> {
    let mut out: Vec<Worded<'_>> = Vec::new();
    for row in &data.review {
        let Some(said) = row.said.as_ref().filter(|it| is_of_sort(&it.is)) else {
            continue;
        };
        let same = |it: &&mut Worded<'_>| {
            it.of == row.of && (&it.said.is, &it.said.why) == (&said.is, &said.why)
        };
        match out.iter_mut().find(same) {
            Some(known) => {
                known.matter.push_str("; ");
                known.matter.push_str(&row.text);
            }
            None => out.push(Worded {
                of: &row.of,
                matter: row.text.clone(),
                said,
            }),
        }
    }
    out
}

/// What is on the snag list, a row a thing: who sees to it, by when, why.
fn on_the_list(data: &Assessment) -> Vec<Vec<String>> {
    let words = words_on(data, |is| matches!(is, Decision::Snag { .. }));
    let rows = words.into_iter().filter_map(|it| match &it.said.is {
        Decision::Snag { owner, due } => Some(vec![
            it.of.to_owned(),
            it.matter,
            owner.clone(),
            due.map_or_else(|| "no date".to_owned(), |due| due.to_string()),
            it.said.why.clone().unwrap_or_default(),
        ]),
        _ => None,
    });
    rows.collect()
}

/// The chapter with the snag list, and what was accepted or skipped.
pub(super) fn snags(data: &Assessment, out: &mut Document) {
    out.chapter("Snag list");
    let mut rows = on_the_list(data);
    // What is flagged and agreed with nobody: room to agree on it on paper.
    for row in data.review.iter().filter(|row| is_unsaid(row)) {
        let dots = || ".".repeat(20);
        let output = data
            .outputs
            .iter()
            .find(|it| row.kind == "output" && it.name() == row.of);
        let doubt = output.map_or_else(String::new, if_slips);
        rows.push(vec![
            row.of.clone(),
            format!("{}{doubt}", row.text),
            dots(),
            dots(),
            String::new(),
        ]);
    }
    rows.extend(not_done(data));
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
        out.text(adds_up(data));
    }
    let accepted = words_on(data, |is| {
        matches!(is, Decision::Accepted | Decision::Skipped)
    });
    if !accepted.is_empty() {
        out.section("Accepted as it is, or skipped");
        let rows = accepted
            .into_iter()
            .map(|it| vec![it.of.to_owned(), it.matter, it.said.words()]);
        out.table(plain_table(&["what", "matter", "word"], rows.collect()));
    }
}

/// Below the list: how many things its rows are, which of them do not stand in the way of signing, and what
/// stands in the way and is not on it.
fn adds_up(data: &Assessment) -> String {
    let open = data.open_things();
    let is_kind = |row: &ReviewRow| KINDS.iter().any(|kind| kind.is(row));
    let is_listed = |row: &ReviewRow| row.is_snag() || is_unsaid(row) || is_kind(row);
    let in_the_way = data.review.iter().filter(|row| row.open && is_listed(row));
    let in_the_way = in_the_way.count();
    let agreed = data.review.iter().filter(|row| !row.open && row.is_snag());
    let mut beside = vec![(agreed.count(), "agreed with a name and a date".to_owned())];
    beside.extend(beside_signing(data).map(|(count, matter)| (count, matter.to_owned())));
    beside.retain(|it| it.0 > 0);
    let all = in_the_way + beside.iter().map(|it| it.0).sum::<usize>();
    let mut out = format!(
        "In all {}, each line, item and matter counted; {in_the_way} of them stand in the way of signing",
        show::count(all, "thing")
    );
    if !beside.is_empty() {
        let beside: Vec<String> = beside
            .iter()
            .map(|it| format!("{} {}", it.0, it.1))
            .collect();
        out.push_str(&format!(", these do not: {}", beside.join("; ")));
    }
    out.push('.');
    if open > in_the_way {
        out.push_str(&format!(
            " In the way of signing and not on this list: {}, see below.",
            open - in_the_way
        ));
    }
    out
}

/// A kind of thing that was not done and stands in the way of signing.
struct Kind {
    of: fn(Matter) -> bool,
    /// What one is called.
    noun: &'static str,
    /// What is said of it.
    matter: &'static str,
}

impl Kind {
    fn is(&self, row: &ReviewRow) -> bool {
        row.open && (self.of)(row.matter)
    }
}

const fn kind(of: fn(Matter) -> bool, noun: &'static str, matter: &'static str) -> Kind {
    Kind { of, noun, matter }
}

/// All of them.
const KINDS: [Kind; 5] = [
    kind(|it| it == Matter::Unread, "line", "not read"),
    kind(
        |it| it == Matter::Off,
        "line",
        "OFF the amplifier, not back on",
    ),
    kind(
        |it| it == Matter::NotListened,
        "line",
        "read, and not all of their loudspeakers listened to",
    ),
    kind(
        |it| it == Matter::NoInsulation,
        "line",
        "insulation asked for and not read",
    ),
    kind(
        |it| matches!(it, Matter::Tick(_)),
        "item",
        "of the lists not ticked, see Checks",
    ),
];

/// What is to be done and does not stand in the way of signing by itself.
fn beside_signing(data: &Assessment) -> impl Iterator<Item = (usize, &'static str)> {
    let unknown = data.lines.iter().filter(|row| left::is_not_known(row));
    let again = data.lines.iter();
    let again = again.filter(|row| row.insulation_before.is_some());
    [
        (
            unknown.count(),
            "read, and not ticked as taken off: whether on or OFF is not known",
        ),
        (
            again.count(),
            "insulation read before a repair, to be read again",
        ),
    ]
    .into_iter()
}

/// What was not done and is agreed with nobody, a row a kind: lines not read, left OFF, not listened to, of
/// which nobody knows whether they are on; items of the lists.
fn not_done(data: &Assessment) -> Vec<Vec<String>> {
    let of_kind = |kind: &Kind| {
        let rows = data.review.iter().filter(|row| kind.is(row));
        (rows.count(), kind.noun, kind.matter)
    };
    let lines = beside_signing(data).map(|(count, matter)| (count, "line", matter));
    let kinds = KINDS.iter().map(of_kind).chain(lines);
    let kinds = kinds.filter(|(number, ..)| *number > 0);
    let rows = kinds.map(|(number, noun, matter)| {
        let dots = || ".".repeat(20);
        let of = show::count(number, noun);
        vec![of, matter.to_owned(), dots(), dots(), String::new()]
    });
    rows.collect()
}

/// Flagged, and without a word that settles it.
fn is_unsaid(row: &ReviewRow) -> bool {
    row.open
        && matches!(row.kind.as_str(), "line" | "output")
        && row.is_about_a_fault()
        && !row.is_snag()
}

/// The chapter on what stands in the way of signing.
pub(super) fn in_the_way(data: &Assessment, out: &mut Document) {
    out.chapter("In the way of signing");
    let mut rows = open_matters(data);
    if rows.is_empty() {
        out.text("Nothing stands in the way of signing.");
        return;
    }
    let open = data.open_things();
    rows.push(vec!["in all".to_owned(), open.to_string(), String::new()]);
    out.text(
        "A thing: a matter of a line or output, or an item of the lists at an amplifier, however many of its lines wait.",
    );
    out.table(plain_table(&["matter, worst first", ">things", "of"], rows));
    let untouched = left::untouched(data);
    if !untouched.is_empty() {
        out.text(format!(
            "Of {} no tick is asked, here and under Checks: nothing was read or taken off there.",
            listed(&untouched)
        ));
    }
}

/// An item of a list that waits, by its place there: its words, and the lines it waits for where it is one of
/// lines.
fn tick(text: &str, place: usize) -> Option<(&str, Option<&str>)> {
    let rest = text.strip_prefix(TICK)?.strip_prefix(LISTS[place].words)?;
    Some((&text[..text.len() - rest.len()], rest.strip_prefix(", ")))
}

/// How the text of an item that waits begins.
const TICK: &str = "not ticked: ";

/// What stands in the way of signing, worst first, each with how many things it is: things with one and
/// the same matter in one row, and list items that wait for the same amplifiers.
fn open_matters(data: &Assessment) -> Vec<Vec<String>> {
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    for row in data.review.iter().filter(|row| row.open) {
        let in_brackets = |it: &Option<String>| it.as_ref().map(|it| format!(" ({it})"));
        let note = in_brackets(&row.note).unwrap_or_default();
        let word = in_brackets(&row.word).unwrap_or_default();
        let named = || format!("{}{note}{word}", row.of);
        let (matter, of) = match row.matter {
            Matter::NotListened => (
                ALL_UNHEARD,
                match data.unheard(&row.of) {
                    Some([left, all]) if left < all => {
                        format!("{} {left} of {all}{note}{word}", row.of)
                    }
                    _ => named(),
                },
            ),
            Matter::Tick(place) => match tick(&row.text, place) {
                Some((matter, lines)) => (matter, of_lines(&row.of, lines)),
                None => (row.text.as_str(), named()),
            },
            Matter::LeftOpen => (NO_NEWS, row.of.clone()),
            _ if is_unsaid(row) => (NO_WORD, named()),
            _ => (row.text.as_str(), named()),
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
    let cells = rows
        .into_iter()
        .map(|(matter, count, of)| vec![matter, count.to_string(), of]);
    cells.collect()
}

/// `A1 (PH-1)`, `A2 (10 lines)`: of which an item waits.
fn of_lines(of: &str, lines: Option<&str>) -> String {
    let Some(lines) = lines else {
        return of.to_owned();
    };
    match lines.split(", ").count() {
        number if number > MOST_NAMED => format!("{of} ({number} lines)"),
        _ => format!("{of} ({lines})"),
    }
}

/// So many lines are named behind an amplifier.
const MOST_NAMED: usize = 4;
/// Said of lines on which nobody listened, or not to all.
const ALL_UNHEARD: &str =
    "line read, loudspeakers not listened to: all of them where no figure stands";

/// Said of what was on the snag list of an earlier visit.
const NO_NEWS: &str = "left open on an earlier visit, no word on it since: see the snag list";

/// Said of everything that is flagged: what is the matter stands on the snag list.
const NO_WORD: &str = "flagged, see the snag list";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_item_that_waits_for_few_lines_names_them_and_for_many_counts_them() {
        assert_eq!(of_lines("A1", None), "A1");
        assert_eq!(of_lines("A1", Some("L-1, L-2")), "A1 (L-1, L-2)");
        assert_eq!(of_lines("A1", Some("a, b, c, d, e")), "A1 (5 lines)");
        let words = LISTS[0].words;
        let waits = format!("{TICK}{words}, L-1");
        let split = tick(&waits, 0);
        assert_eq!(split, Some((&waits[..waits.len() - 5], Some("L-1"))));
        assert_eq!(tick("not read", 0), None);
    }
}
