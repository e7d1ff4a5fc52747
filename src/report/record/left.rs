//! How amplifiers and lines are left: what was taken off, what is back, what nobody ticked.
//!
//! Never here: whether that is safe.

use super::super::document::{Document, Table};
use super::super::line_done::SaidRow;
use super::super::overall::NONE_OFF;
use super::super::rows::{Assessment, LineRow, MeasuredRow, OutputRow};
use super::cells::{listed, minute};
use crate::quantity::{Decibel, show};
use crate::review::Why;

/// Labels of the amplifiers in rack order, each with its lines.
pub(super) fn of_amplifiers(data: &Assessment) -> Vec<(&str, Vec<&LineRow>)> {
    let mut out: Vec<(&str, Vec<&LineRow>)> = Vec::new();
    for row in &data.outputs {
        if out.iter().all(|it| it.0 != row.amplifier) {
            let lines = data.lines.iter();
            let own = lines.filter(|line| line.amplifier == row.amplifier);
            out.push((&row.amplifier, own.collect()));
        }
    }
    out
}

/// Amplifiers on which nothing was read or taken off on this visit.
pub(super) fn untouched(data: &Assessment) -> Vec<&str> {
    let all = of_amplifiers(data).into_iter();
    all.filter(|(_, lines)| lines.iter().all(|it| !it.done.worked_on))
        .map(|it| it.0)
        .collect()
}

/// Read, and nobody ticked that it was off the amplifier then: whether it was is not known.
pub(super) fn is_not_known(row: &LineRow) -> bool {
    row.done.worked_on && row.done.off.is_none()
}

/// Out of tolerance, and ticked as put back on the amplifier.
pub(super) fn is_live(row: &LineRow) -> bool {
    row.is_out() && !row.off && row.done.on.is_some()
}

/// Stopped by a line that is OFF, and past what it may carry with the others alone.
pub(super) fn is_past_now(row: &OutputRow) -> bool {
    let past = |(now, most)| now > most;
    !row.stop.is_empty() && row.on_now_w.zip(row.limit_w).is_some_and(past)
}

/// Past the rating or only past the headroom, by what is on an output now.
pub(super) fn past_words(row: &OutputRow) -> &'static str {
    match row.on_now_w.zip(row.rated_w) {
        Some((now, rated)) if now > rated => Why::Over.words(),
        _ => Why::Tight.words(),
    }
}

/// What is on an output now, as far as the ticks tell.
pub(super) enum OnItNow {
    /// So much, W; none where a line must not be connected.
    Load(Option<f64>),
    /// A line was read, and nobody ticked that it was taken off.
    NotKnown,
    /// Nothing was read or taken off.
    Untouched,
}

/// What is on an output now.
pub(super) fn on_it_now(data: &Assessment, row: &OutputRow) -> OnItNow {
    let lines = || {
        let own = data.lines.iter();
        own.filter(|it| is_on(it, row))
    };
    if lines().any(is_not_known) {
        OnItNow::NotKnown
    } else if lines().all(|it| !it.done.worked_on) {
        OnItNow::Untouched
    } else {
        OnItNow::Load(row.on_now_w)
    }
}

/// Whether a line counts in what an output carries: its cores are on it, or it is OFF and goes back on it.
pub(super) fn is_on(line: &LineRow, row: &OutputRow) -> bool {
    match &line.cores_on {
        Some(on) => *on == row.name(),
        None => line.amplifier == row.amplifier && line.output == row.output,
    }
}

/// That no line is OFF: how many were taken off and ticked back on, and whether there are others that nobody
/// ticked as taken off.
pub(super) fn none_off(data: &Assessment) -> String {
    let taken = data.lines.iter().filter(|row| row.done.off.is_some());
    let unknown = data.lines.iter().any(is_not_known);
    match (taken.count(), unknown) {
        (0, _) => NONE_OFF.to_owned(),
        (1, false) => "The line that was taken off the amplifier was ticked back on.".to_owned(),
        (all, false) => {
            format!("All {all} lines that were taken off the amplifier were ticked back on.")
        }
        (all, true) => format!(
            "No line is noted as OFF the amplifier: {} taken off and ticked back on; what was not ticked is not known.",
            show::count(all, "line")
        ),
    }
}

/// Lines that were moved to another output on this visit.
pub(super) fn moved(data: &Assessment) -> Option<String> {
    let told = data.moved.iter();
    let told = told.map(|it| format!("{} from {} to {}", it.line, it.from, it.to));
    let told: Vec<String> = told.collect();
    (!told.is_empty()).then(|| {
        format!(
            "Moved to another output on the drawing, {}: {}.",
            told.len(),
            told.join("; ")
        )
    })
}

fn labels<'a>(lines: &[&'a LineRow], fits: impl Fn(&LineRow) -> bool) -> Vec<&'a str> {
    let lines = lines.iter().copied().filter(|it| fits(it));
    lines.map(|it| it.line.as_str()).collect()
}

/// The section on how each amplifier is left.
pub(super) fn amplifiers(data: &Assessment, out: &mut Document) {
    out.section("How each amplifier is left");
    let mut table = Table::new(&[
        "amplifier",
        ">lines",
        ">read",
        ">taken off",
        ">back on",
        ">OFF",
        "by the ticks",
    ]);
    for (label, lines) in of_amplifiers(data) {
        let count = |fits: &dyn Fn(&LineRow) -> bool| labels(&lines, fits).len().to_string();
        let off = labels(&lines, |it| it.off);
        let unknown = labels(&lines, is_not_known);
        let mut words = Vec::new();
        if !off.is_empty() {
            words.push(format!("OFF: {}", listed(&off)));
        }
        if !unknown.is_empty() {
            words.push(format!(
                "read, and not ticked as taken off: {}; whether on or off is not known",
                listed(&unknown)
            ));
        }
        if lines.iter().all(|it| !it.done.worked_on) {
            words.push("nothing was read or taken off here".to_owned());
        }
        table.strong_row(
            vec![
                label.to_owned(),
                lines.len().to_string(),
                count(&|it| it.measured.is_some()),
                count(&|it| it.done.off.is_some()),
                count(&|it| it.done.on.is_some()),
                off.len().to_string(),
                words.join("; "),
            ],
            !off.is_empty(),
        );
    }
    out.table(table);
}

fn said(it: Option<&SaidRow>) -> String {
    it.map_or_else(String::new, |it| format!("{}, {}", minute(&it.at), it.by))
}

/// On, OFF, or nobody knows; who said so and when.
fn stands(row: &LineRow) -> [String; 2] {
    let [word, by] = match (row.off, &row.done.on, &row.done.off) {
        (true, _, off) => ["OFF", &said(off.as_ref())],
        (false, on @ Some(_), _) => ["back on", &said(on.as_ref())],
        (false, None, _) if is_not_known(row) => ["not known", ""],
        (false, None, _) => ["untouched", ""],
    };
    let word = match &row.cores_on {
        Some(on) => format!("{word}, cores on {on}"),
        None => word.to_owned(),
    };
    [word, by.to_owned()]
}

/// When a line was read, and when and by whom the figure was corrected since.
fn when_read(it: &MeasuredRow) -> String {
    let read = it.when.as_deref().map_or_else(String::new, minute);
    match &it.corrected {
        Some(said) => {
            let was = it.corrected_from.as_ref();
            let was = was.map_or_else(String::new, |was| format!(", was {was}"));
            format!("{read}, corrected {} by {}{was}", minute(&said.at), said.by)
        }
        None => read,
    }
}

/// The chapter on how each line is left.
pub(super) fn lines(data: &Assessment, out: &mut Document) {
    out.chapter("How each line is left");
    out.text(
        "On or OFF the amplifier by the last tick. The time (UTC) is when that was ticked, by whom it was ticked; \
         when it was done is not recorded. Untouched: not read on this visit and not taken off by the ticks, so taken as \
         on. Heard: loudspeakers that gave any \
         sound, of those listened to. Far end: level at the loudspeaker that gets least, as drawn.",
    );
    let mut table = Table::new(&[
        "line",
        "output",
        "now",
        "ticked by",
        ">loudspeakers",
        ">listened to",
        ">heard",
        ">far end",
        "measured with",
        "when, UTC",
        "word",
    ]);
    let heard = |row: &LineRow, count: usize| match row.asked {
        0 => String::new(),
        _ => count.to_string(),
    };
    for row in &data.lines {
        let left = row.as_left.as_ref();
        let [now, by] = stands(row);
        table.strong_row(
            vec![
                row.line.clone(),
                row.output_name(),
                now,
                by,
                row.heard[1].to_string(),
                heard(row, row.asked),
                heard(row, row.heard[0]),
                row.far_end_db
                    .map_or_else(String::new, |db| show::decibel(Decibel(db))),
                left.and_then(|it| it.instrument.clone())
                    .unwrap_or_default(),
                left.map_or_else(String::new, when_read),
                row.word.clone().unwrap_or_default(),
            ],
            row.off,
        );
    }
    out.table(table);
}
