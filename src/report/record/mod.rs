//! The hand-over record as one document, made from the assessment alone.
//!
//! Its chapters follow common lists of what is handed over: what stands, what was found, what was
//! left, with what it was measured, what was done, what is open, who signed.
//!
//! Never here: figures of its own, how a page looks.

mod baseline;
mod beside;
mod cells;
mod changes;
mod checks;
mod design;
mod drawn;
mod front;
mod heard;
mod instruments;
mod left;
mod left_out;
mod lines;
mod method;
mod open;
mod outputs;
mod seals;
mod still;
mod suspicions;
mod whole_building;
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
    outputs::outputs(data, &mut out);
    lines::lines(data, &mut out);
    left::lines(data, &mut out);
    beside::insulation(data, &mut out);
    heard::heard(data, &mut out);
    suspicions::suspicions(data, &mut out);
    whole_building::whole_building(data, &mut out);
    open::snags(data, &mut out);
    open::in_the_way(data, &mut out);
    baseline::baseline(data, &mut out);
    checks::checks(data, &mut out);
    instruments::instruments(data, &mut out);
    design::design(data, &mut out);
    method::method(data, &mut out);
    method::rates(data, &mut out);
    changes::changes(data, &mut out);
    seals::seals(data, &mut out);
    drawn::lines(data, &mut out);
    words::words(&mut out);
    out
}
