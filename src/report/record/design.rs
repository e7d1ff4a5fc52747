//! The design held against its limits.
//!
//! Never here: what is held against what.

use super::super::document::Document;
use super::super::rows::Assessment;
use super::cells::plain_table;
use crate::quantity::{Fraction, show};

/// The chapter on the design.
pub(super) fn design(data: &Assessment, out: &mut Document) {
    out.chapter("The design held against its limits");
    if data.design.is_empty() {
        out.text("Nothing to say: no output is planned past the headroom, no far end is under its limit, and one dead loudspeaker would show on every line.");
        return;
    }
    for (kind, title) in [
        ("planned-load", "Planned past the headroom or the rating"),
        ("far-end", "Far end under the limit"),
    ] {
        let rows: Vec<Vec<String>> = data
            .design
            .iter()
            .filter(|row| row.kind == kind)
            .map(|row| vec![row.of.clone(), row.text.clone()])
            .collect();
        if !rows.is_empty() {
            out.section(title);
            out.table(plain_table(&["what", "matter"], rows));
        }
    }
    lost(data, out);
}

/// Lines on which one dead loudspeaker does not show, by how many they have.
fn lost(data: &Assessment, out: &mut Document) {
    struct Group<'a> {
        of: String,
        lines: Vec<&'a str>,
        shows: Vec<[f64; 2]>,
    }
    let mut groups: Vec<Group<'_>> = Vec::new();
    for row in &data.design {
        let Some(shows) = row.shows else { continue };
        let of = match row.value < row.against {
            true => format!("{} of {}", row.value, row.against),
            false => format!("{}", row.against),
        };
        match groups.iter_mut().find(|it| it.of == of) {
            Some(group) => {
                group.lines.push(&row.of);
                group.shows.push(shows);
            }
            None => groups.push(Group {
                of,
                lines: vec![&row.of],
                shows: vec![shows],
            }),
        }
    }
    if groups.is_empty() {
        return;
    }
    let span = |all: &[[f64; 2]], which: usize| {
        let of = all.iter().map(|it| it[which]);
        let share = |it: f64| show::percent(Fraction(it));
        let least = share(of.clone().fold(f64::INFINITY, f64::min));
        let most = share(of.fold(0.0, f64::max));
        if least == most {
            most
        } else {
            format!("{least} to {most}")
        }
    };
    let rows = groups.iter().map(|it| {
        vec![
            it.lines.join(", "),
            it.of.clone(),
            span(&it.shows, 0),
            span(&it.shows, 1),
        ]
    });
    out.section("Where a reading at the rack does not show one dead loudspeaker");
    out.text(
        "It lowers the load by less than what shows, which is twice the spread of one reading: the meter by its accuracy, \
         contacts, and what the drawing leaves open of types, loudspeakers and lengths. Listen, or split the line.",
    );
    out.table(plain_table(
        &[
            "lines",
            ">loudspeakers",
            ">one dead lowers the load by",
            ">shows from",
        ],
        rows.collect(),
    ));
}
