//! The assessment as text: Markdown that reads well as it stands. Every figure is one of the
//! assessment's own, rounded once.

use super::assessment::{Assessment, HintRow, InsulationRow, LineRow, MeasuredRow, OutputRow};
use super::table::{Side, Table};
use crate::analysis::Analyst;
use crate::quantity::{Decibel, Fraction, Ohm, Probability, Value, Volt, Watt, show};
use crate::review::{self, Flagged, Why};
use crate::site::Site;
use std::fmt::Write;

/// Hints under this are not worth a line of text; the JSON has them.
const LEAST_SHOWN: f64 = 0.01;
/// So many hints a line.
const MOST_SHOWN: usize = 5;

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
    out.push_str(
        "What was measured is stated as measured. It is no statement that anything is safe or meets\n\
         a code; local codes and licensed practice decide.\n",
    );
    out
}

fn summary(data: &Assessment, out: &mut String) {
    let count = |word: &str| {
        data.lines
            .iter()
            .filter(|row| row.verdict == Some(word))
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
        (
            data.lines
                .iter()
                .filter(|row| row.verdict.is_none())
                .count(),
            "with two designs",
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
        out.push_str("No line is OFF the amplifier.\n\n");
    } else {
        let _ = writeln!(
            out,
            "{} OFF the amplifier: {}.\n",
            off.len(),
            off.join(", ")
        );
    }
}

fn looks(site: &Site, analyst: &Analyst, data: &Assessment, out: &mut String) {
    out.push_str("## Wants a look, worst first\n\n");
    let mut number = 0;
    let mut item = |words: &str, out: &mut String| {
        number += 1;
        let _ = writeln!(out, "{number}. {words}");
    };
    // A line that the plan lacks because of a question is no line of the analyst.
    let drawn = |label: &str| site.plan().line_labelled(label).is_some();
    for row in data.lines.iter().filter(|row| !drawn(&row.line)) {
        item(&format!("{}: {}", row.line, Why::Question.words()), out);
    }
    for (why, flagged) in review::flagged(site, analyst) {
        match flagged {
            Flagged::Line(at) => {
                let label = &site.plan().lines[at].label;
                if let Some(row) = data.lines.iter().find(|row| row.line == *label) {
                    item(&format!("{label}: {}", line_words(why, row)), out);
                    hints(row, out);
                }
            }
            Flagged::Output(at) => {
                let output = &site.plan().outputs[at];
                let row = data
                    .outputs
                    .iter()
                    .find(|row| row.amplifier == output.amplifier && row.output == output.label);
                if let Some(row) = row {
                    item(
                        &format!("{}: {}", output_name(row), output_words(why, row)),
                        out,
                    );
                }
            }
        }
    }
    if number == 0 {
        out.push_str("Nothing that was read so far.\n");
    }
    out.push('\n');
    let flagged = |row: &LineRow| {
        let at = site.plan().line_labelled(&row.line);
        at.is_some_and(|at| review::line(analyst, at).is_some())
    };
    let doubtful: Vec<&LineRow> = data
        .lines
        .iter()
        .filter(|row| row.hints.first().is_some_and(|hint| hint.fault != "none"))
        .filter(|row| !flagged(row))
        .collect();
    if !doubtful.is_empty() {
        out.push_str("In tolerance, though a fault is likelier than none:\n\n");
        for row in doubtful {
            let _ = writeln!(out, "- {}: {}", row.line, reads(row));
            hints(row, out);
        }
        out.push('\n');
    }
}

/// `reads 136 ohm, +84.9 %`.
fn reads(row: &LineRow) -> String {
    let Some(measured) = &row.measured else {
        return "not read".to_owned();
    };
    let deviation = measured
        .deviation
        .map_or_else(String::new, |it| format!(", {}", deviation(it)));
    format!("reads {}{deviation}", value_text(&measured.ohms))
}

fn line_words(why: Why, row: &LineRow) -> String {
    match why {
        Why::Stop | Why::Open => {
            let reads = row
                .measured
                .as_ref()
                .map_or_else(String::new, |it| value_text(&it.ohms));
            if why == Why::Stop {
                format!("reads {reads}, must not be connected")
            } else {
                format!("reads {reads}")
            }
        }
        Why::FitsNothing => {
            let misfit = row.misfit.unwrap_or(0.0);
            format!(
                "{}; fits nothing, {}: read it again; zero the leads; is this the right pair?",
                reads(row),
                show::probability(Probability(misfit))
            )
        }
        Why::InsulationLow => match &row.insulation {
            Some(it) => format!("insulation {}, too low", insulation_text(it)),
            None => why.words().to_owned(),
        },
        Why::Out | Why::Close | Why::Over | Why::Tight => {
            format!("{}: {}", reads(row), why.words())
        }
        Why::NotAllHeard | Why::Question => why.words().to_owned(),
    }
}

fn output_words(why: Why, row: &OutputRow) -> String {
    let watts = |it: Option<f64>| it.map_or_else(String::new, |it| show::watt(Watt(it)));
    let rated = row
        .rated_w
        .map_or_else(String::new, |it| show::marked_watt(Watt(it)));
    format!(
        "carries {} on a rating of {rated}: {}; {} would leave the headroom",
        watts(row.load_w),
        why.words(),
        watts(row.rating_needed_w)
    )
}

fn hints(row: &LineRow, out: &mut String) {
    let shown = |hint: &&HintRow| hint.probability >= LEAST_SHOWN;
    for hint in row.hints.iter().filter(shown).take(MOST_SHOWN) {
        let _ = writeln!(
            out,
            "    - {}: {}",
            show::probability(Probability(hint.probability)),
            hint.text
        );
    }
    for next in row.next.iter().filter(|next| next.test != "reread").take(1) {
        let _ = writeln!(out, "    - next: {}", next.text);
    }
}

fn whole_building(data: &Assessment, out: &mut String) {
    let hints: Vec<(&str, f64)> = data
        .site_hints
        .iter()
        .filter_map(|hint| Some((hint["text"].as_str()?, hint["probability"].as_f64()?)))
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
        let _ = writeln!(
            out,
            "- {} {}: {} designs stand; choose one",
            question.kind, question.of, question.designs
        );
    }
    out.push('\n');
}

fn output_name(row: &OutputRow) -> String {
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
}

fn value_text(value: &serde_json::Value) -> String {
    match (value.as_f64(), value.as_str()) {
        (Some(ohm), _) => show::ohm(Ohm(ohm)),
        (None, Some(word)) => word.to_owned(),
        (None, None) => String::new(),
    }
}

fn deviation(it: f64) -> String {
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
            match row.verdict {
                None => "two designs".to_owned(),
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

fn insulation_text(row: &InsulationRow) -> String {
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

/// One reading without a site: watts, and the rating that leaves the headroom. Under `stop` it is
/// no load but a fault.
#[must_use]
pub fn one_reading(volts: Volt, value: Value, headroom: Fraction, stop: Ohm) -> String {
    match value {
        Value::Open => format!("open at {}: no load\n", show::volt(volts)),
        Value::Short => format!("short at {}: must not be connected\n", show::volt(volts)),
        Value::Ohm(ohm) => {
            let load = crate::verdict::load(volts, ohm);
            let reading = format!(
                "{} at {} loads the amplifier with {}\n",
                show::ohm(ohm),
                show::volt(volts),
                show::watt(load)
            );
            if ohm.get() < stop.get() {
                return format!(
                    "{reading}under {}: as good as a short, must not be connected\n",
                    show::ohm(stop)
                );
            }
            let needed = crate::verdict::rating_needed(load, headroom);
            format!(
                "{reading}a rating of {} leaves {:.0} % headroom\n",
                show::watt(needed),
                headroom.get() * 100.0
            )
        }
    }
}
