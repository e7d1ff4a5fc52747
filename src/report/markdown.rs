//! The assessment as text: Markdown that reads well as it stands. Every figure is one of the
//! assessment's own, rounded once.

use super::looks::looks;
use super::rows::{Assessment, InsulationRow, MeasuredRow, OutputRow};
use super::table::{Side, Table};
use crate::analysis::Analyst;
use crate::quantity::{Decibel, Fraction, Ohm, Probability, Volt, Watt, show};
use crate::review::Why;
use crate::site::Site;
use std::fmt::Write;

/// The text of an assessment.
#[must_use]
pub fn assessment(site: &Site, analyst: &Analyst, data: &Assessment) -> String {
    let mut out = format!("# {}\n\n", data.site);
    summary(data, &mut out);
    looks(site, analyst, data, &mut out);
    whole_building(data, &mut out);
    outputs(data, &mut out);
    lines(analyst, data, &mut out);
    insulation(data, &mut out);
    against(data, &mut out);
    signing(data, &mut out);
    out.push_str(
        "What was measured is stated as measured. It is no statement that anything is safe or meets\n\
         a code; local codes and licensed practice decide.\n",
    );
    // Labels and notes come out of a file: in no document do they steer what shows it.
    show::harmless_lines(&out)
}

fn summary(data: &Assessment, out: &mut String) {
    let count = |word: &str| {
        data.lines
            .iter()
            .filter(|row| row.counted_as() == Some(word))
            .count()
    };
    let read = data
        .lines
        .iter()
        .filter(|row| row.measured.is_some())
        .count();
    let _ = write!(out, "{read} of {} lines read", data.lines.len());
    let words: Vec<String> = [
        (count("in-tolerance"), "in tolerance"),
        (count("too-close"), "too close to call"),
        (count("out-of-tolerance"), "out of tolerance"),
        (count("read-again"), "to be read again"),
        (
            data.lines
                .iter()
                .filter(|row| row.verdict.is_none())
                .count(),
            "in question",
        ),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, words)| format!("{count} {words}"))
    .collect();
    if !words.is_empty() {
        let _ = write!(out, ": {}", words.join(", "));
    }
    out.push_str(".\n");
    let off: Vec<&str> = data
        .lines
        .iter()
        .filter(|row| row.off)
        .map(|row| row.line.as_str())
        .collect();
    if off.is_empty() {
        out.push_str(
            "No line is noted as OFF the amplifier; what was not ticked is not known.\n\n",
        );
    } else {
        let _ = writeln!(
            out,
            "{} OFF the amplifier: {}.\n",
            off.len(),
            off.join(", ")
        );
    }
}

fn whole_building(data: &Assessment, out: &mut String) {
    let hints: Vec<(&str, f64)> = data
        .site_hints
        .iter()
        .map(|hint| (hint.text.as_str(), hint.probability))
        .collect();
    if hints.is_empty() && data.questions.is_empty() {
        return;
    }
    out.push_str("## The whole building\n\n");
    for (text, probability) in hints {
        let _ = writeln!(
            out,
            "- {}: {text}",
            show::probability(Probability(probability))
        );
    }
    for question in &data.questions {
        let _ = writeln!(out, "- {}", show::harmless(&question.text));
    }
    out.push('\n');
}

pub(super) fn output_name(row: &OutputRow) -> String {
    format!("{} out {}", row.amplifier, row.output)
}

fn outputs(data: &Assessment, out: &mut String) {
    use Side::{Left, Right};
    out.push_str("## Outputs\n\n");
    let mut table = Table::new(&[
        ("output", Left),
        ("line", Right),
        ("carries", Right),
        ("rating", Right),
        ("used", Right),
        ("verdict", Left),
        ("rating needed", Right),
        ("unread lines", Right),
    ]);
    for row in &data.outputs {
        let used = row
            .headroom
            .map_or_else(String::new, |left| show::percent(Fraction(1.0 - left)));
        let verdict = match row.verdict {
            _ if !row.stop.is_empty() => {
                format!("STOP: {} must not be connected", row.stop.join(", "))
            }
            "unknown" => "no rating known".to_owned(),
            "overloaded" => Why::Over.words().to_owned(),
            "short-of-headroom" => Why::Tight.words().to_owned(),
            word => word.replace('-', " "),
        };
        table.row(vec![
            output_name(row),
            show::volt(Volt(row.line_v)),
            row.load_w
                .map_or_else(|| "not known".to_owned(), |w| show::watt(Watt(w))),
            row.rated_w
                .map_or_else(|| "not known".to_owned(), |w| show::marked_watt(Watt(w))),
            used,
            verdict,
            row.rating_needed_w
                .map_or_else(String::new, |w| show::watt(Watt(w))),
            match row.unmeasured_lines {
                0 => String::new(),
                count => count.to_string(),
            },
        ]);
    }
    table.write(out);
    out.push_str("Lines read count as read, unread lines as drawn.\n\n");
    for row in data.outputs.iter().filter(|row| !row.cores.is_empty()) {
        let words = row.cores.trim_start_matches("; ");
        let _ = write!(out, "{}: {words}.\n\n", output_name(row));
    }
}

pub(super) fn value_text(value: &serde_json::Value) -> String {
    match (value.as_f64(), value.as_str()) {
        (Some(ohm), _) => show::ohm(Ohm(ohm)),
        (None, Some(word)) => word.to_owned(),
        (None, None) => String::new(),
    }
}

pub(super) fn deviation(it: f64) -> String {
    show::signed_percent(Fraction(it))
}

fn lines(analyst: &Analyst, data: &Assessment, out: &mut String) {
    use Side::{Left, Right};
    out.push_str("## Lines\n\n");
    let mut table = Table::new(&[
        ("line", Left),
        ("zone", Left),
        ("taps", Right),
        ("should read", Right),
        ("should take", Right),
        ("as found", Right),
        ("reads", Right),
        ("takes", Right),
        ("deviation", Right),
        ("verdict", Left),
        ("p out", Right),
        ("heard", Right),
        ("far end", Right),
        ("off", Left),
        ("decision", Left),
    ]);
    for row in &data.lines {
        let watts = |w: Option<f64>| w.map_or_else(String::new, |w| show::watt(Watt(w)));
        let measured = row.measured.as_ref();
        let read = |it: &MeasuredRow| value_text(&it.ohms);
        table.row(vec![
            row.line.clone(),
            row.zone.clone(),
            row.design_w
                .map_or_else(String::new, |w| show::marked_watt(Watt(w))),
            value_text(&row.expected.ohms),
            watts(row.expected.watts),
            row.as_found
                .as_ref()
                .filter(|found| row.as_left.as_ref() != Some(*found))
                .map_or_else(String::new, read),
            measured.map_or_else(String::new, read),
            measured.map_or_else(String::new, |it| watts(it.watts)),
            measured
                .and_then(|it| it.deviation)
                .map_or_else(String::new, deviation),
            match row.verdict_told() {
                None => "in question".to_owned(),
                Some("unmeasured") => "unread".to_owned(),
                Some(word) => word.replace('-', " "),
            },
            row.p_out
                .map_or_else(String::new, |p| show::p_figure(Probability(p))),
            if row.asked > 0 {
                format!("{} of {}", row.heard[0], row.asked)
            } else {
                String::new()
            },
            row.far_end_db
                .map_or_else(String::new, |db| show::decibel(Decibel(db))),
            if row.off { "OFF" } else { "" }.to_owned(),
            row.decision.unwrap_or("").to_owned(),
        ]);
    }
    table.write(out);
    let tolerance = show::percent(analyst.limits().tolerance);
    let _ = writeln!(
        out,
        "Should read, should take: at the rack, as drawn, cables reckoned. Deviation: load read over\n\
         load drawn, less one; from ten times on, how many times. p out: probability that the load is\n\
         more than {tolerance} off. Heard: of those listened to. Far end: level at the loudspeaker that\n\
         gets least, as drawn.\n"
    );
}

pub(super) fn insulation_text(row: &InsulationRow) -> String {
    let above = if row.above_range { "over " } else { "" };
    format!(
        "{above}{} at {}",
        show::ohm(Ohm(row.ohms)),
        show::volt(Volt(row.test_v))
    )
}

fn insulation(data: &Assessment, out: &mut String) {
    let mut table = Table::new(&[
        ("line", Side::Left),
        ("insulation", Side::Right),
        ("verdict", Side::Left),
    ]);
    let mut any = false;
    for row in &data.lines {
        if let Some(it) = &row.insulation {
            any = true;
            table.row(vec![
                row.line.clone(),
                insulation_text(it),
                it.verdict.replace('-', " "),
            ]);
        }
    }
    if any {
        out.push_str("## Insulation\n\n");
        table.write(out);
    }
}

/// What changed since an earlier visit, where one was named.
fn against(data: &Assessment, out: &mut String) {
    let Some(it) = &data.baseline else { return };
    let _ = writeln!(out, "## Against {}\n", it.of);
    let mut table = Table::new(&[
        ("line", Side::Left),
        ("was called", Side::Left),
        ("then", Side::Right),
        ("now", Side::Right),
        ("probability", Side::Right),
        ("word", Side::Left),
    ]);
    for row in &it.lines {
        table.row(vec![
            row.line.clone(),
            row.renamed_from.clone().unwrap_or_default(),
            value_text(&row.then),
            value_text(&row.now),
            row.probability
                .map_or_else(String::new, |p| show::probability(Probability(p))),
            row.text.clone(),
        ]);
    }
    table.write(out);
    for (words, labels) in [("New", &it.new), ("Gone", &it.gone)] {
        if !labels.is_empty() {
            let _ = writeln!(out, "{words}: {}.\n", labels.join(", "));
        }
    }
}

/// Who signed, whether that still stands, and what stands in the way of it.
fn signing(data: &Assessment, out: &mut String) {
    out.push_str("## Signing\n\n");
    for seal in &data.seals {
        let _ = writeln!(
            out,
            "- {}, {}, {} for {}{}: {}",
            seal.name,
            seal.role,
            seal.at,
            seal.scope,
            seal.on_visit(),
            seal.words()
        );
        for change in &seal.changes {
            let _ = writeln!(out, "    - {change}");
        }
    }
    let open = data.review.iter().filter(|row| row.open).count();
    if let Some(words) = data.unsigned() {
        let _ = writeln!(out, "- {words}");
    }
    let _ = match open {
        0 => writeln!(out, "- nothing stands in the way of signing\n"),
        1 => writeln!(
            out,
            "- 1 thing stands in the way; `linewright review` tells it\n"
        ),
        _ => writeln!(
            out,
            "- {open} things stand in the way; `linewright review` lists them\n"
        ),
    };
}
