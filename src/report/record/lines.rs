//! Outputs and lines: as designed, as found, as left.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, LineRow, MeasuredRow};
use super::{expanded, left, marked, ohms_text, reading, signed, verdict_words, watts};
use crate::quantity::{Fraction, Probability, Volt, show};

pub(super) fn outputs(data: &Assessment, out: &mut Document) {
    out.chapter("Amplifiers and their outputs");
    out.text(
        "On it now: without the lines ticked OFF. Every line on: as read, lines not read as drawn; used, verdict \
         and the rating needed are of that. All as drawn: what it comes to once every line is as drawn. At most: \
         the rating less the headroom asked for. No load is lowered by what is known of a meter.",
    );
    let mut table = Table::new(&[
        "output",
        ">line",
        ">rating",
        ">at most",
        ">on it now",
        ">every line on",
        ">used",
        "verdict",
        ">all as drawn",
        ">rating needed",
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
        let verdict = match row.verdict {
            _ if stops => {
                let past = row
                    .on_now_w
                    .zip(row.limit_w)
                    .is_some_and(|(now, most)| now > most);
                let rest = if past {
                    "; the others take more than it may carry"
                } else {
                    ""
                };
                format!("STOP: {} must not be connected{rest}", row.stop.join(", "))
            }
            "unknown" => "no rating known".to_owned(),
            "overloaded" => "over its rating".to_owned(),
            word => word.replace('-', " "),
        };
        table.strong_row(
            vec![
                format!("{} out {}", row.amplifier, row.output),
                show::volt(Volt(row.line_v)),
                row.rated_w
                    .map_or_else(|| "not known".to_owned(), |w| marked(Some(w))),
                watts(row.limit_w),
                known(row.on_now_w),
                known(row.load_w.filter(|_| !stops)),
                used,
                verdict,
                watts(Some(row.drawn_w)),
                watts(row.rating_needed_w),
                number(row.off_lines),
                number(row.unmeasured_lines),
            ],
            stops || row.verdict == "overloaded",
        );
    }
    out.table(table);
    out.picture(pictures::loads(data));
    left::amplifiers(data, out);
}

/// A verdict in a narrow column.
fn in_short(verdict: Option<&str>) -> String {
    match verdict {
        Some("out-of-tolerance") => "OUT".to_owned(),
        Some("too-close") => "too close".to_owned(),
        other => verdict_words(other),
    }
}

/// So many lines in one picture.
const LINES_A_PICTURE: usize = 44;

pub(super) fn lines(data: &Assessment, out: &mut Document) {
    out.chapter("Lines");
    out.text(
        "Should: at the rack, as drawn, cables reckoned. As found, as left: before and after what was mended on this visit. \
         Deviation: load as left over load drawn, less one. All as read; 95 % (half an interval about the reading) and \
         p out (probability that the load is out of tolerance) are with what was learned of the meter, see Instruments.",
    );
    let mut table = Table::new(&[
        "line",
        "zone",
        ">taps",
        ">should read",
        ">should take",
        ">as found",
        ">as left",
        ">takes",
        ">deviation",
        ">95 %",
        "verdict",
        ">p out",
    ]);
    for row in &data.lines {
        let left = row.as_left.as_ref();
        // Of a short the meter and its contacts tell no load.
        let short = data.outputs.iter().any(|it| it.stop.contains(&row.line));
        let load = left.filter(|_| !short);
        table.strong_row(
            vec![
                row.line.clone(),
                row.zone.clone(),
                marked(row.design_w),
                ohms_text(&row.expected.ohms),
                watts(row.expected.watts),
                reading(row.as_found.as_ref()),
                reading(left.or(row.measured.as_ref())),
                if short {
                    "not known".to_owned()
                } else {
                    watts(load.and_then(|it| it.watts))
                },
                signed(load.and_then(|it| it.deviation)),
                expanded(row.u_rel.filter(|_| !short)),
                in_short(row.verdict),
                row.p_out
                    .map_or_else(String::new, |p| show::p_figure(Probability(p))),
            ],
            row.verdict == Some("out-of-tolerance"),
        );
    }
    out.table(table);
    let read: Vec<&LineRow> = data
        .lines
        .iter()
        .filter(|row| {
            let ohms = |it: &MeasuredRow| it.deviation.is_some() || it.ohms == "open";
            row.measured.as_ref().is_some_and(ohms)
        })
        .collect();
    let count = read.len().div_ceil(LINES_A_PICTURE);
    for (at, part) in read.chunks(LINES_A_PICTURE).enumerate() {
        out.picture(pictures::deviations(data, part, (at + 1, count)));
    }
}
