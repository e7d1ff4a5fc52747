//! The assessment as text: Markdown that reads well as it stands. Every figure is one of the
//! assessment's own, rounded once.
//!
//! Never here: figures of its own, what is worse than what.

use super::document::Table;
use super::looks::looks;
use super::markdown_table;
use super::overall::NONE_OFF;
use super::rows::{Assessment, MeasuredRow};
use super::values::{ohms_text, signed};
use crate::analysis::Analyst;
use crate::quantity::{Decibel, Fraction, Probability, Volt, Watt, show};
use crate::site::Site;
use std::fmt::Write;

/// The text of an assessment.
#[must_use]
pub fn text(site: &Site, analyst: &Analyst, data: &Assessment) -> String {
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
    let (read, all) = (data.lines_read(), data.lines.len());
    let _ = write!(out, "{read} of {all} lines read");
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
        let _ = writeln!(out, "{NONE_OFF}\n");
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

fn outputs(data: &Assessment, out: &mut String) {
    out.push_str("## Outputs\n\n");
    let mut table = Table::new(&[
        "output",
        ">line",
        ">carries",
        ">rating",
        ">used",
        "verdict",
        ">rating needed",
        ">unread lines",
    ]);
    for row in &data.outputs {
        let used = row
            .headroom
            .map_or_else(String::new, |left| show::percent(Fraction(1.0 - left)));
        let verdict = match row.stop.is_empty() {
            true => row.word().replace('-', " "),
            false => format!("STOP: {} must not be connected", row.stop.join(", ")),
        };
        table.row(vec![
            row.name(),
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
    markdown_table::write(&table, out);
    out.push_str("Lines read count as read, unread lines as drawn.\n\n");
    for row in data.outputs.iter().filter(|row| !row.cores.is_empty()) {
        let words = row.cores.trim_start_matches("; ");
        let _ = write!(out, "{}: {words}.\n\n", row.name());
    }
}

fn lines(analyst: &Analyst, data: &Assessment, out: &mut String) {
    out.push_str("## Lines\n\n");
    let mut table = Table::new(&[
        "line",
        "zone",
        ">taps",
        ">should read",
        ">should take",
        ">as found",
        ">reads",
        ">takes",
        ">deviation",
        "verdict",
        ">p out",
        ">heard",
        ">far end",
        "off",
        "decision",
    ]);
    for row in &data.lines {
        let watts = |w: Option<f64>| w.map_or_else(String::new, |w| show::watt(Watt(w)));
        let measured = row.measured.as_ref();
        let read = |it: &MeasuredRow| ohms_text(&it.ohms);
        table.row(vec![
            row.line.clone(),
            row.zone.clone(),
            row.design_w
                .map_or_else(String::new, |w| show::marked_watt(Watt(w))),
            ohms_text(&row.expected.ohms),
            watts(row.expected.watts),
            row.as_found
                .as_ref()
                .filter(|found| row.as_left.as_ref() != Some(*found))
                .map_or_else(String::new, read),
            measured.map_or_else(String::new, read),
            measured.map_or_else(String::new, |it| watts(it.watts)),
            signed(measured.and_then(|it| it.deviation)),
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
    markdown_table::write(&table, out);
    let tolerance = show::percent(analyst.limits().tolerance);
    let _ = writeln!(
        out,
        "Should read, should take: at the rack, as drawn, cables reckoned. Deviation: load read over\n\
         load drawn, less one; from ten times on, how many times. p out: probability that the load is\n\
         more than {tolerance} off. Heard: of those listened to. Far end: level at the loudspeaker that\n\
         gets least, as drawn.\n"
    );
}

fn insulation(data: &Assessment, out: &mut String) {
    let mut table = Table::new(&["line", ">insulation", "verdict"]);
    for row in &data.lines {
        if let Some(it) = &row.insulation {
            table.row(vec![
                row.line.clone(),
                it.told(),
                it.verdict.replace('-', " "),
            ]);
        }
    }
    if !table.rows.is_empty() {
        out.push_str("## Insulation\n\n");
        markdown_table::write(&table, out);
    }
}

/// What changed since an earlier visit, where one was named.
fn against(data: &Assessment, out: &mut String) {
    let Some(it) = &data.baseline else { return };
    let _ = writeln!(out, "## Against {}\n", it.of);
    let mut table = Table::new(&[
        "line",
        "was called",
        ">then",
        ">now",
        ">probability",
        "word",
    ]);
    for row in &it.lines {
        table.row(vec![
            row.line.clone(),
            row.renamed_from.clone().unwrap_or_default(),
            ohms_text(&row.then),
            ohms_text(&row.left.now),
            row.left
                .probability
                .map_or_else(String::new, |p| show::probability(Probability(p))),
            row.left.text.clone(),
        ]);
    }
    markdown_table::write(&table, out);
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
    let open = data.open_things();
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
