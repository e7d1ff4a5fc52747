//! The hand-over record as one document, made from the assessment alone.
//!
//! Its chapters follow common lists of what is handed over: what stands, what was found, what was
//! left, with what it was measured, what was done, what is open, who signed.
//!
//! Never here: figures of its own, how a page looks.

mod after;
mod annex;
mod beside;
mod cells;
mod changes;
mod checks;
mod front;
mod heard;
mod left;
mod left_out;
mod lines;
mod open;
mod still;
mod words;
mod wrong;

use super::document::Document;
use super::record_rows::SealRow;
use super::rows::Assessment;
use crate::review;
use std::collections::BTreeMap;

/// The record of a site.
#[must_use]
pub fn record(data: &Assessment) -> Document {
    let mut out = Document {
        title: data.site.clone(),
        subtitle: "Hand-over record of the loudspeaker lines".to_owned(),
        foot: foot(data),
        blocks: Vec::new(),
    };
    front::cover(data, &mut out);
    front::summary(data, &mut out);
    wrong::table(data, &mut out);
    lines::outputs(data, &mut out);
    lines::lines(data, &mut out);
    left::lines(data, &mut out);
    beside::insulation(data, &mut out);
    heard::heard(data, &mut out);
    after::suspicions(data, &mut out);
    after::whole_building(data, &mut out);
    open::snags(data, &mut out);
    open::in_the_way(data, &mut out);
    after::baseline(data, &mut out);
    checks::checks(data, &mut out);
    annex::instruments(data, &mut out);
    annex::design(data, &mut out);
    annex::method(data, &mut out);
    annex::rates(data, &mut out);
    changes::changes(data, &mut out);
    annex::seals(data, &mut out);
    words::words(&mut out);
    out
}

fn foot(data: &Assessment) -> String {
    format!("{}, {}; {}", data.site, data.visit, signature(data))
}

/// The last signature for the whole site; where there is none, those for parts of it.
fn signature(data: &Assessment) -> String {
    if let (Some(words), Some(seal)) = (data.unsigned(), data.seals.last()) {
        let (visit, at) = (&seal.visit, &seal.at);
        return format!("{words}; {visit} signed {at}, {}", seal.words());
    }
    let mut seals = data.seals.iter().filter(|it| it.of_this_visit);
    if let Some(seal) = seals.rfind(|it| it.scope == review::WHOLE_SITE) {
        return format!("signed {}, {}", seal.at, seal.words());
    }
    // Of each part the last.
    let seals = data.seals.iter().filter(|it| it.of_this_visit);
    let parts: BTreeMap<&str, &SealRow> = seals.map(|it| (&*it.scope, it)).collect();
    let broken = parts.values().filter(|it| it.is_broken()).count();
    let touched = parts.values().filter(|it| it.taken_back).count();
    match (parts.len(), parts.values().next(), broken) {
        (1, Some(seal), _) => {
            let (of, at) = (&seal.scope, &seal.at);
            format!("signed for {of} {at}, {}", seal.words())
        }
        (0, ..) => "not signed".to_owned(),
        (count, _, 0) if touched > 0 => format!(
            "signed in {count} parts, figures as sealed, changed and taken back since in {touched}"
        ),
        (count, _, 0) => format!("signed in {count} parts, their seals intact"),
        (count, _, 1) => format!("signed in {count} parts, 1 SEAL BROKEN"),
        (count, _, broken) => format!("signed in {count} parts, {broken} SEALS BROKEN"),
    }
}
