//! What wants a look, worst first, each with its likeliest reasons under it.
//!
//! Never here: what is worse than what, which `review` knows.

use super::rows::{Assessment, LineRow, OutputRow};
use super::values::{ohms_text, signed};
use crate::analysis::Analyst;
use crate::diagnosis::NextKind;
use crate::quantity::{Watt, show};
use crate::review::{self, Flagged, Why};
use crate::site::Site;
use std::fmt::Write;

/// Hints under this are not worth a line of text; the JSON has them.
const LEAST_SHOWN: f64 = 0.01;
/// So many hints a line.
const MOST_SHOWN: usize = 5;

/// Writes it, and below it lines in tolerance of which a fault is likelier than none.
pub(super) fn looks(site: &Site, analyst: &Analyst, data: &Assessment, out: &mut String) {
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
                        &format!(
                            "{}: {}{}",
                            row.name(),
                            review::output_words(site, analyst, at),
                            needed(row)
                        ),
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
        .filter(|row| {
            let own = row.hints.first().is_some_and(|hint| !hint.is_no_fault());
            own || row.first_site_wide().is_some()
        })
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
    let deviation = match measured.deviation {
        None => String::new(),
        some => format!(", {}", signed(some)),
    };
    format!("reads {}{deviation}", ohms_text(&measured.ohms))
}

/// `; fits nothing, 97 %: read it again; ..` where the first of the next tests is that.
fn read_again(row: &LineRow) -> String {
    let again = row.next.iter().find(|next| next.kind == NextKind::Reread);
    again.map_or_else(String::new, |next| format!("; {}", next.text))
}

fn line_words(why: Why, row: &LineRow) -> String {
    match why {
        Why::Stop | Why::Open => {
            let reads = row
                .measured
                .as_ref()
                .map_or_else(String::new, |it| ohms_text(&it.ohms));
            if why == Why::Stop {
                format!("reads {reads}, must not be connected{}", read_again(row))
            } else {
                format!("reads {reads}")
            }
        }
        Why::FitsNothing => format!("{}{}", reads(row), read_again(row)),
        Why::InsulationLow => match &row.insulation {
            Some(it) => format!("insulation {}, too low", it.told()),
            None => why.words().to_owned(),
        },
        Why::Out | Why::Close | Why::Over | Why::Tight => {
            format!("{}: {}", reads(row), why.words())
        }
        Why::InDoubt => row.in_doubt.clone().unwrap_or_default(),
        Why::NotAllHeard => format!("{}: {}", why.words(), row.not_heard_well().join(", ")),
        Why::AnotherFitsNothing | Why::NotReadAgain | Why::Question => why.words().to_owned(),
    }
}

/// `; 152.5 W would leave the headroom`, where a load is known.
fn needed(row: &OutputRow) -> String {
    row.rating_needed_w.map_or_else(String::new, |it| {
        format!("; {} would leave the headroom", show::watt(Watt(it)))
    })
}

fn hints(row: &LineRow, out: &mut String) {
    if let Some(doubt) = &row.doubt {
        let _ = writeln!(out, "    - {doubt}");
    }
    for words in row.suspected(LEAST_SHOWN, MOST_SHOWN) {
        let _ = writeln!(out, "    - {words}");
    }
    // Of a reading that fits nothing the line itself says what to do; a cause of the whole building
    // comes with its own test.
    let fits = !row.fits_nothing() && row.first_site_wide().is_none();
    if let Some(next) = row.next.first().filter(|_| fits) {
        let _ = writeln!(out, "    - next: {}", next.text);
    }
}
