//! Outputs and lines: as designed, as found, as left.

use super::super::document::{Document, Table};
use super::super::pictures;
use super::super::rows::{Assessment, LineRow, MeasuredRow, OutputRow};
use super::super::values::{ohms_text, signed};
use super::cells::{expanded, listed, marked, reading, verdict_words, watts};
use super::front::if_slips;
use super::left;
use crate::quantity::{Fraction, Probability, Volt, show};

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
                left::on_it_now(data, row).map_or_else(str::to_owned, known),
                known(row.load_w.filter(|_| !stops)),
                used,
                watts(row.rating_needed_w),
                verdict,
                watts(Some(row.drawn_w)),
                number(row.off_lines),
                number(row.unmeasured_lines),
            ],
            stops || row.verdict == "overloaded",
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

/// `, with LH-2 EOL, TH-2 EOL`: what is drawn on lines beside loudspeakers, and counts in what they should take.
fn devices(data: &Assessment) -> String {
    let of = |row: &LineRow| {
        let nodes = row.nodes.iter().filter(|node| node.what == "device");
        let labels = nodes.map(|node| format!("{} {}", row.line, node.at));
        labels.collect::<Vec<_>>()
    };
    let all: Vec<String> = data.lines.iter().flat_map(of).collect();
    match all.len() {
        0 => String::new(),
        1..=MOST_DEVICES => format!(", with {}", all.join(", ")),
        many => format!(", with {many} devices beside loudspeakers"),
    }
}

/// Readings of which the last digit is most of what is uncertain.
fn coarse(data: &Assessment) -> String {
    let is = |row: &&LineRow| {
        let ohms = row.measured.as_ref().and_then(|it| it.ohms.as_f64());
        let figures = (ohms, row.reading, row.u_rel);
        let (Some(ohms), Some(reading), Some(u)) = figures else {
            return false;
        };
        // Half a step either way, rectangular, is most of the variance.
        let digit = reading.step_ohm / 2.0 / 3f64.sqrt() / ohms;
        !is_stop(data, row) && 2.0 * digit * digit > u * u
    };
    let lines = data.lines.iter().filter(is);
    let lines: Vec<&str> = lines.map(|row| row.line.as_str()).collect();
    match lines.is_empty() {
        true => String::new(),
        false => format!(
            ", mostly the last digit of the display on {}",
            listed(&lines)
        ),
    }
}

/// Whether it reads as good as short.
fn is_stop(data: &Assessment, row: &LineRow) -> bool {
    data.outputs.iter().any(|it| it.stop.contains(&row.line))
}

/// So many devices are named.
const MOST_DEVICES: usize = 8;

pub(super) fn lines(data: &Assessment, out: &mut Document) {
    out.chapter("Lines");
    out.text(format!(
        "Should: at the rack, as drawn, cables reckoned{}; taps are those of loudspeakers alone. As found, as left: before \
         and after what was mended on this visit. Deviation: load as left over load drawn, less one, as read: a meter \
         that reads low makes it too high by as much (see Instruments). 95 %: half the interval that is left once that \
         is taken out{}. P out: the probability that the load, with that taken out, is out of tolerance; it takes the \
         reading as it stands, also where that is suspected to be mistaken.",
        devices(data),
        coarse(data)
    ));
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
        let short = is_stop(data, row);
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
                in_short(row.verdict_told()),
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
