//! The pictures of a record, each as one list of primitives on a grid of cells: page, print and text
//! draw the same.
//!
//! Never here: figures of their own; how wide a cell is.

use super::document::Picture;
use super::picture::{BAR_HIGH, Primitive, tree};
use super::record_rows::NodeRow;
use super::rows::{Assessment, LineRow, MeasuredRow, OutputRow};
use crate::quantity::{Decibel, Fraction, Metre, Probability, Watt, show};
use unicode_width::UnicodeWidthStr;

fn text(x: f64, y: f64, text: impl Into<String>) -> Primitive {
    Primitive::Text {
        at: (x, y),
        text: text.into(),
    }
}

const fn line(from: (f64, f64), to: (f64, f64)) -> Primitive {
    Primitive::Line { from, to }
}

/// A label cut to so many cells, with a sign where it was cut.
fn cut(label: &str, cells: usize) -> String {
    show::cut(label, cells, '\u{2026}')
}

/// Cells of the longest of these.
fn widest<'a>(words: impl Iterator<Item = &'a String>) -> f64 {
    words.map(|it| it.width()).max().unwrap_or(0) as f64
}

/// Whether this reads as good as short: how often the load as drawn goes into it is no figure, since leads
/// and contacts are all that it reads.
pub(super) fn is_short(data: &Assessment, it: &MeasuredRow) -> bool {
    let ohms = it.ohms.as_f64();
    it.ohms == "short" || ohms.is_some_and(|ohms| ohms < data.limit("stop_ohm"))
}

fn shifted(primitives: Vec<Primitive>, dx: f64, dy: f64) -> impl Iterator<Item = Primitive> {
    primitives.into_iter().map(move |it| match it {
        Primitive::Box { x, y, w, h } => Primitive::Box {
            x: x + dx,
            y: y + dy,
            w,
            h,
        },
        Primitive::Line { from, to } => line((from.0 + dx, from.1 + dy), (to.0 + dx, to.1 + dy)),
        Primitive::Text { at, text } => Primitive::Text {
            at: (at.0 + dx, at.1 + dy),
            text,
        },
    })
}

/// Load with every line on against the rating, an output a row: filled up to the load, past the rating
/// where it is over; a stroke where the headroom begins and one at the rating.
pub(super) fn loads(data: &Assessment) -> Picture {
    /// Cells from nothing to the rating.
    const BAR: f64 = 32.0;
    /// Cells beyond the rating: a bar that fills them goes on.
    const OVER: f64 = 8.0;
    let mut primitives = Vec::new();
    let headroom = |row: &OutputRow| {
        let share = row
            .limit_w
            .zip(row.rated_w)
            .map(|(most, rated)| 1.0 - most / rated);
        Fraction(share.unwrap_or_else(|| data.limit("headroom")))
    };
    // Beside a line that must not be connected, what the others take.
    let load_of = |row: &OutputRow| row.load_w.or(row.on_now_w);
    let words = |row: &OutputRow| match (load_of(row), row.rated_w) {
        (None, _) => "STOP: must not be connected".to_owned(),
        (Some(load), Some(rated)) if row.load_w.is_none() => format!(
            "NOW {}, {}; STOP {}",
            show::watt(Watt(load)),
            show::percent(Fraction(load / rated)),
            row.stop.join(", ")
        ),
        (Some(load), None) => format!("{}, no rating known", show::watt(Watt(load))),
        (Some(load), Some(rated)) => format!(
            "{} of {}, {}",
            show::watt(Watt(load)),
            show::marked_watt(Watt(rated)),
            show::percent(Fraction(load / rated))
        ),
    };
    let names = data.outputs.iter().map(|row| cut(&row.name(), 15));
    let names: Vec<String> = names.collect();
    let label = widest(names.iter()) + 1.0;
    let share = |row: &OutputRow| {
        load_of(row)
            .zip(row.rated_w)
            .map(|(load, rated)| load / rated)
    };
    // As long as the load, not to the next cell; a load far over goes on to the end.
    let long = |row: &OutputRow| share(row).map(|share| BAR * share.clamp(0.0, 1.0 + OVER / BAR));
    let longest = data.outputs.iter().filter_map(long).fold(BAR, f64::max);
    let end = label + BAR;
    let beside = label + longest.ceil() + 2.0;
    primitives.push(text(end - 4.0, 0.0, "rating"));
    primitives.push(line((end, 0.5), (end, data.outputs.len() as f64 + 0.5)));
    for (at, row) in data.outputs.iter().enumerate() {
        let y = (at + 1) as f64;
        primitives.push(text(0.0, y, names[at].clone()));
        if let Some(w) = long(row) {
            primitives.push(line((label, y), (end - 1.0, y)));
            // A stroke is drawn in the middle of its cell: so is nothing, where the bar begins.
            primitives.push(Primitive::Box {
                x: label + 0.5,
                y,
                w,
                h: 1.0,
            });
            let mark = label + (BAR * (1.0 - headroom(row).get())).min(BAR - 1.0);
            primitives.push(line((mark, y - BAR_HIGH / 2.0), (mark, y + BAR_HIGH / 2.0)));
        }
        primitives.push(text(beside, y, words(row)));
    }
    let words: Vec<String> = data.outputs.iter().map(words).collect();
    Picture {
        title: "Load against the rating: with every line on, or NOW where that is said".to_owned(),
        note: "Short stroke: where the headroom begins; long stroke: the rating. NOW: what is on it now, without the \
               line that must not be connected."
            .to_owned(),
        columns: (beside + widest(words.iter())) as usize + 1,
        rows: data.outputs.len() + 1,
        head: 1,
        primitives,
    }
}

/// The deviation of lines with its uncertainty, a line a row. `part` says which picture of how many.
pub(super) fn deviations(data: &Assessment, rows: &[&LineRow], part: (usize, usize)) -> Picture {
    const HALF: f64 = 24.0;
    let names: Vec<String> = rows.iter().map(|row| cut(&row.line, 15)).collect();
    let label = widest(names.iter()) + 2.0;
    let beside = label + 2.0 * HALF + 3.0;
    let tolerance = data.limit("tolerance");
    // The tolerance is a third of the way out.
    let full = 3.0 * tolerance;
    let x = |deviation: f64| label + HALF + HALF * (deviation / full).clamp(-1.0, 1.0);
    let below = rows.len() as f64 + 0.5;
    let mut primitives = Vec::new();
    for edge in [-tolerance, 0.0, tolerance] {
        primitives.push(line((x(edge).round(), 0.5), (x(edge).round(), below)));
        let words = show::signed_percent(Fraction(edge));
        primitives.push(text(x(edge).round() - 2.0, 0.0, words));
    }
    for (at, row) in rows.iter().enumerate() {
        let y = (at + 1) as f64;
        primitives.push(text(0.0, y, names[at].clone()));
        let Some(measured) = &row.measured else {
            continue;
        };
        let Some(deviation) = measured.deviation else {
            // An open line takes nothing: as far down as can be.
            if measured.ohms == "open" {
                primitives.push(text(x(-1.0), y, "<"));
                primitives.push(text(beside, y, "open"));
            }
            continue;
        };
        // The uncertainty is one of ln: no load is below none, and far out the bar stays out.
        let u = (2.0 * row.u_rel.unwrap_or(0.0)).exp();
        let load = 1.0 + deviation;
        let (from, to) = (x(load / u - 1.0), x(load * u - 1.0));
        if to > from {
            primitives.push(line((from, y), (to, y)));
        }
        let sign = match row.verdict {
            _ if deviation > full => ">",
            _ if deviation < -full => "<",
            Some("in-tolerance") => "=",
            Some("too-close") => "~",
            // A minus would lie on the stroke of its own interval.
            _ => "x",
        };
        primitives.push(text(x(deviation), y, sign));
        let words = match is_short(data, measured) {
            true => "short".to_owned(),
            false => show::signed_percent(Fraction(deviation)),
        };
        primitives.push(text(beside, y, words));
    }
    let of = if part.1 > 1 {
        format!(", {} of {}", part.0, part.1)
    } else {
        String::new()
    };
    Picture {
        title: format!("Deviation of every line that was read{of}"),
        note: "Load as read over load drawn, less one, with the interval of 95 % of the reading: = in tolerance, \
               ~ too close to call, x out, < > beyond the picture. Strokes at the tolerance and at none."
            .to_owned(),
        columns: beside as usize + 10,
        rows: rows.len() + 1,
        head: 1,
        primitives,
    }
}

/// A level is drawn where the far end is past so much of its limit.
const NEAR: f64 = 0.25;

/// The run that feeds a node, and whether a level control sits in it.
fn run_words(node: &NodeRow) -> String {
    let run = node
        .run_m
        .map_or_else(|| "? m".to_owned(), |it| show::metre(Metre(it)));
    let control = if node.control { ", control" } else { "" };
    format!("{run}{control}")
}

/// The cable of a line as a tree, with runs, taps, the level along it, what was heard, and where the
/// suspects sit.
pub(super) fn cable(data: &Assessment, row: &LineRow) -> Picture {
    const SCALE: f64 = 16.0;
    let at = |label: &Option<String>| {
        let label = label.as_ref()?;
        row.nodes.iter().position(|node| node.at == *label)
    };
    let nodes: Vec<(String, Option<usize>)> = row
        .nodes
        .iter()
        .map(|node| (cut(&node.at, 18), at(&node.from)))
        .collect();
    if nodes.is_empty() {
        return Picture::default();
    }
    let far = data.limit("far_end_db");
    let lowest = row
        .nodes
        .iter()
        .filter_map(|node| node.level_db)
        .fold(far, f64::min);
    let runs: Vec<String> = row.nodes.iter().map(run_words).collect();
    let taps: Vec<String> = row
        .nodes
        .iter()
        .map(|node| {
            node.tap_w
                .map_or_else(String::new, |tap| show::marked_watt(Watt(tap)))
        })
        .collect();
    // Each column as wide as what stands in it: a phone shows the picture whole.
    let limbs = tree(&nodes);
    let label_end = |it: &Primitive| match it {
        Primitive::Text { at, text } => at.0 + text.width() as f64,
        _ => 0.0,
    };
    let run_at = limbs.iter().map(label_end).fold(4.0, f64::max).ceil() + 3.0;
    let tap_at = run_at + widest(runs.iter()).max(3.0) + 3.0;
    let zero = tap_at + widest(taps.iter()).max(3.0) + 4.0;
    // Where the limit is 0 dB any level is under it.
    let x = |db: f64| zero + SCALE * if lowest < 0.0 { db / lowest } else { 0.0 };
    // The rack has a row of its own below the headings.
    let below = nodes.len() as f64 + 1.5;
    let mut primitives: Vec<Primitive> = shifted(limbs, 0.0, 1.0).collect();
    // A level that nowhere comes near its limit is the same stroke in every row: it is left out.
    let levels = lowest < 0.0 && row.far_end_db.is_some_and(|db| db < NEAR * far);
    let heard_at = if levels { zero + SCALE + 14.0 } else { zero };
    let heard = row.nodes.iter().filter_map(|node| node.heard);
    let suspects = heard_at + heard.map(str::len).fold(5, usize::max) as f64 + 3.0;
    for (column, title) in [
        (0.0, "at"),
        (run_at, "run"),
        (tap_at, "tap"),
        (heard_at, "heard"),
        (suspects, "suspect"),
    ] {
        primitives.push(text(column, 0.0, title));
    }
    if levels {
        primitives.push(text(zero - 1.0, 0.0, "0 dB"));
        primitives.push(text(zero + SCALE + 3.0, 0.0, "level"));
        primitives.push(line((zero, 0.5), (zero, below)));
        primitives.push(line((x(far).round(), 0.5), (x(far).round(), below)));
    }
    let mut suspected = false;
    for (place, node) in row.nodes.iter().enumerate() {
        let y = (place + 2) as f64;
        primitives.push(text(run_at, y, runs[place].clone()));
        if node.tap_w.is_some() {
            primitives.push(text(tap_at, y, taps[place].clone()));
        }
        if let Some(db) = node.level_db.filter(|_| levels) {
            if x(db) > zero {
                primitives.push(line((zero, y), (x(db), y)));
            }
            primitives.push(text(zero + SCALE + 3.0, y, show::decibel(Decibel(db))));
        }
        if let Some(heard) = node.heard {
            primitives.push(text(heard_at, y, heard));
        }
        let suspect = row.suspect_at(&node.at);
        if suspect >= 0.005 {
            suspected = true;
            primitives.push(text(suspects, y, show::probability(Probability(suspect))));
        }
    }
    Picture {
        title: format!(
            "{}: its cable as drawn{}{}",
            row.line,
            if levels { ", the level along it" } else { "" },
            if suspected {
                ", and where the one fault may sit"
            } else {
                ""
            }
        ),
        note: format!(
            "{}{}",
            if levels {
                format!(
                    "Strokes at 0 dB and at the limit of {}. ",
                    show::decibel(Decibel(far))
                )
            } else {
                String::new()
            },
            match (suspected, row.first_site_wide()) {
                (false, _) => "Runs and taps as drawn.",
                (true, None) =>
                    "Suspect: the odds that the one fault, of whatever kind, sits there; two faults are not counted in.",
                (true, Some(_)) =>
                    "Suspect: where the one fault of this line would sit, only if it is not what is seen over all \
                     lines.",
            }
        ),
        columns: suspects as usize + 8,
        rows: nodes.len() + 2,
        head: 1,
        primitives,
    }
}
