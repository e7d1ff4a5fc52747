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
use super::rows::Assessment;

/// The record of a site.
#[must_use]
pub fn record(data: &Assessment) -> Document {
    let mut out = Document {
        title: data.site.clone(),
        subtitle: "Hand-over record of the loudspeaker lines".to_owned(),
        foot: format!("{}, {}; {}", data.site, data.visit, data.signature()),
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
