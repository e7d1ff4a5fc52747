//! Amplifiers and their outputs: what each carries, and how it is left.
//!
//! Never here: what a load is worth.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, OutputRow};
use super::cells::{marked, watts};
use super::front::if_slips;
use super::left::{self, OnItNow};
use crate::quantity::{Fraction, Volt, show};

/// The word of an output, how much of it was read, and what it would be without slips and once mended.
fn verdict(row: &OutputRow, lines: usize) -> String {
    if !row.stop.is_empty() {
        let rest = match left::is_past_now(row) {
            true => format!("; what is on it now is {}", left::past_words(row)),
            false => String::new(),
        };
        let stop = row.stop.join(", ");
        return format!("STOP: {stop} must not be connected{rest}{}", if_slips(row));
    }
    let word = row.word();
    let read = match row.unmeasured_lines {
        0 => String::new(),
        unread if unread == lines => " as drawn, nothing read".to_owned(),
        unread => format!(", {} of {lines} read, the rest as drawn", lines - unread),
    };
    let mended = row.mended_w.map_or_else(String::new, |it| {
        format!("; once mended {}", watts(Some(it)))
    });
    format!("{word}{read}{}{mended}", if_slips(row))
}

/// The chapter on the outputs.
pub(super) fn outputs(data: &Assessment, out: &mut Document) {
    out.chapter("Amplifiers and their outputs");
    out.text(
        "On it now: by the ticks, without the lines OFF; not known: a line was read, and not ticked as taken off; \
         untouched: nothing was read or taken off by the ticks, so every line is taken as on. Every line on: as read, lines not read as drawn; used, the rating for that and the \
         verdict are of it. At most: the rating less the headroom; past the headroom is over that, past the rating over the rating. Once mended: \
         lines out of tolerance as drawn. No load is lowered by what is known of a meter.",
    );
    let mut table = Table::new(&[
        "output",
        ">line voltage",
        ">rating",
        ">at most",
        ">on it now",
        ">every line on",
        ">used",
        ">rating for that",
        "verdict",
        ">all as drawn",
        ">lines OFF",
        ">not read",
    ]);
    let known = |it: Option<f64>| it.map_or_else(|| "not known".to_owned(), |w| watts(Some(w)));
    let number = |count: usize| match count {
        0 => String::new(),
        count => count.to_string(),
    };
    for row in &data.outputs {
        let stops = !row.stop.is_empty();
        let used = row
            .headroom
            .filter(|_| !stops)
            .map_or_else(String::new, |left| show::percent(Fraction(1.0 - left)));
        let own = data.lines.iter();
        let own = own.filter(|it| left::is_on(it, row));
        let verdict = verdict(row, own.count());
        table.strong_row(
            vec![
                row.name(),
                show::volt(Volt(row.line_v)),
                row.rated_w
                    .map_or_else(|| "not known".to_owned(), |w| marked(Some(w))),
                watts(row.limit_w),
                match left::on_it_now(data, row) {
                    OnItNow::Load(load) => known(load),
                    OnItNow::NotKnown => known(None),
                    OnItNow::Untouched => "untouched".to_owned(),
                },
                known(row.load_w.filter(|_| !stops)),
                used,
                watts(row.rating_needed_w),
                verdict,
                watts(Some(row.drawn_w)),
                number(row.off_lines),
                number(row.unmeasured_lines),
            ],
            stops || row.is_overloaded(),
        );
    }
    out.table(table);
    for row in data.outputs.iter().filter(|row| !row.cores.is_empty()) {
        out.text(format!(
            "{}{}.",
            row.name(),
            row.cores.replacen(';', ":", 1)
        ));
    }
    out.picture(pictures::loads(data));
    left::amplifiers(data, out);
}
