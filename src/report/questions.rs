//! The standing questions: what stands, who said so and when, and what differs.
//!
//! Never here: which of them is right.

use super::record_rows::{ChoiceRow, QuestionRow};
use crate::review::asked_on;
use crate::site::{Design, Entry, EntryId, Ref, Site, Stamp, Tangle, TangleIs};
use serde_json::Value;
use std::collections::BTreeSet;

/// All of them: items with several designs, items that do not fit together, lines read though
/// retired, corrections that differ.
pub(super) fn rows(site: &Site) -> Vec<QuestionRow> {
    let elements = site.elements();
    let mut out: Vec<QuestionRow> = elements
        .contested()
        .map(|(of, standing)| contested_row(site, of, standing))
        .collect();
    out.extend(elements.tangles().iter().map(|it| tangled(site, it)));
    out.extend(elements.doubts().map(|of| doubted(site, of)));
    let rivals = site.log().rivals();
    out.extend(
        rivals
            .iter()
            .map(|(id, entries)| corrected(site, id, entries)),
    );
    out
}

/// What to choose between on a thing that a question stands on: each choice by its stamp, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// All of it in words.
    pub text: String,
    /// Stamps of designs or ids of entries, each with what it says that not all of them say. Fewer than two
    /// where nothing is to be chosen: then the words say what to change.
    pub choices: Vec<(String, String)>,
}

/// The first question that stands on this: on a line, of a correction on it too.
#[must_use]
pub fn question(site: &Site, of: &Ref) -> Option<Question> {
    let elements = site.elements();
    let contested = elements.contested().find(|(it, _)| *it == of);
    let tangle = || elements.tangles().iter().find(|it| it.of.contains(of));
    let row = if let Some((of, standing)) = contested {
        contested_row(site, of, standing)
    } else if let Some(tangle) = tangle() {
        tangled(site, tangle)
    } else if elements.is_doubted(of) {
        doubted(site, of)
    } else {
        let rivals = site.log().rivals();
        let mut rivals = rivals.iter();
        let (id, entries) = rivals.find(|(_, entries)| asked_on(site, entries) == *of)?;
        corrected(site, id, entries)
    };
    let stamps = row.choices.iter().map(|it| it.stamp.clone());
    Some(Question {
        choices: stamps.zip(own_words(&row.choices)).collect(),
        text: row.text,
    })
}

/// `node L-1/LS-1`.
fn item(of: &Ref) -> String {
    match of {
        Ref::Site => "site".to_owned(),
        _ => format!("{} {}", of.kind().word(), of.id()),
    }
}

fn row(site: &Site, of: &Ref, why: &'static str, items: &[Ref], text: String) -> QuestionRow {
    let standing = site.elements().standing(of);
    QuestionRow {
        kind: of.kind().word().to_owned(),
        of: of.id().to_owned(),
        designs: standing.len(),
        why,
        items: items.iter().map(item).collect(),
        choices: choices(site, of, standing),
        text,
    }
}

fn choices(site: &Site, of: &Ref, standing: &[(Stamp, Design)]) -> Vec<ChoiceRow> {
    standing
        .iter()
        .map(|(stamp, design)| {
            let set = site.log().get(&EntryId(stamp.0.clone())).filter(
                |entry| matches!(&entry.what, crate::site::Do::Edit(edit) if edit.of == *of),
            );
            choice(stamp.as_str(), set, serde_json::to_value(design))
        })
        .collect()
}

fn choice(id: &str, set: Option<&Entry>, design: serde_json::Result<Value>) -> ChoiceRow {
    ChoiceRow {
        stamp: id.to_owned(),
        by: set.map(|entry| entry.by.clone()),
        at: set.map(|entry| entry.at.to_string()),
        design: design.unwrap_or_default(),
    }
}

fn contested_row(site: &Site, of: &Ref, standing: &[(Stamp, Design)]) -> QuestionRow {
    let mut row = row(site, of, "designs", std::slice::from_ref(of), String::new());
    row.text = format!(
        "{}: {} designs stand; choose one: {}",
        item(of),
        standing.len(),
        differences(&row.choices)
    );
    row
}

fn tangled(site: &Site, tangle: &Tangle) -> QuestionRow {
    let first = &tangle.of[0];
    let names: Vec<String> = tangle.of.iter().map(item).collect();
    let (why, text) = match &tangle.why {
        TangleIs::Ring { labels } => (
            "ring",
            format!(
                "{}: the cable runs in a ring, each fed by the next: {}; one of them comes from \
                 the rack or from another place",
                names.join(", "),
                labels.join(", ")
            ),
        ),
        TangleIs::Label { label } => (
            "label",
            format!(
                "{}: the label {label} is used {} times; rename one",
                names.join(", "),
                names.len()
            ),
        ),
        TangleIs::Retired { field, on } => (
            "retired",
            format!(
                "{}: its {field} is {}, which is retired; choose another or bring that back",
                names[0],
                item(on)
            ),
        ),
        TangleIs::OtherLine { from } => (
            "other-line",
            format!(
                "{}: its cable comes from {}, which is on another line; choose where it comes from",
                names[0],
                item(from)
            ),
        ),
    };
    row(site, first, why, &tangle.of, text)
}

fn doubted(site: &Site, of: &Ref) -> QuestionRow {
    let text = format!(
        "line {}: retired by one engineer, read meanwhile by another; retire it again or bring it \
         back",
        site.elements().label(of)
    );
    row(
        site,
        of,
        "read-when-retired",
        std::slice::from_ref(of),
        text,
    )
}

fn corrected(site: &Site, id: &EntryId, entries: &[&Entry]) -> QuestionRow {
    let line = entries.iter().find_map(|entry| entry.what.line());
    let label = line.map_or_else(String::new, |line| {
        format!("line {}: ", site.elements().label(&Ref::Line(line.clone())))
    });
    let choices: Vec<ChoiceRow> = entries
        .iter()
        .map(|entry| {
            choice(
                entry.id.as_str(),
                Some(entry),
                serde_json::to_value(&entry.what),
            )
        })
        .collect();
    QuestionRow {
        kind: "entry".to_owned(),
        of: id.to_string(),
        designs: entries.len(),
        why: "corrections",
        items: entries
            .iter()
            .map(|it| format!("entry {}", it.id))
            .collect(),
        text: format!(
            "{label}{} corrections of {id} count and differ; strike all but one: {}",
            entries.len(),
            differences(&choices)
        ),
        choices,
    }
}

/// What each choice says that not all of them say, with who and when.
fn differences(choices: &[ChoiceRow]) -> String {
    let words = choices.iter().zip(own_words(choices)).map(|(it, own)| {
        let stamp = &it.stamp;
        match (&it.by, &it.at) {
            (Some(by), Some(at)) => format!("{own} ({by}, {at}, {stamp})"),
            _ => format!("{own} ({stamp})"),
        }
    });
    words.collect::<Vec<_>>().join("; or ")
}

/// What each choice says that not all of them say.
fn own_words(choices: &[ChoiceRow]) -> Vec<String> {
    let flat: Vec<BTreeSet<(String, String)>> = choices
        .iter()
        .map(|choice| {
            let mut out = BTreeSet::new();
            flatten("", &choice.design, &mut out);
            out
        })
        .collect();
    let mut same = flat.first().cloned().unwrap_or_default();
    same.retain(|pair| flat.iter().all(|other| other.contains(pair)));
    let words = flat.iter().map(|pairs| {
        let own = pairs.difference(&same);
        let own: Vec<String> = own.map(|(name, value)| format!("{name} {value}")).collect();
        match own.is_empty() {
            true => "without that".to_owned(),
            false => own.join(", "),
        }
    });
    words.collect()
}

/// Fields with their values; variants of an enum are not named.
fn flatten(name: &str, value: &Value, out: &mut BTreeSet<(String, String)>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let variant = key.starts_with(char::is_uppercase);
                flatten(if variant { name } else { key }, value, out);
                if variant && name.is_empty() {
                    out.insert(("as".to_owned(), key.to_lowercase()));
                }
            }
        }
        Value::String(text) => {
            out.insert((name.to_owned(), text.clone()));
        }
        other => {
            out.insert((name.to_owned(), other.to_string()));
        }
    }
}
