//! Every line as drawn, for whoever rebuilds one from this paper: places in the order of the cable, runs,
//! cables, taps, devices. Places alike that follow one another share a row.
//!
//! Never here: what was read, what is suspected.

use super::super::document::{Document, Table};
use super::super::record_rows::NodeRow;
use super::super::rows::{Assessment, LineRow, OutputRow};
use super::cells::{listed, marked, plain_table};
use crate::quantity::{Metre, Volt, Watt, show};
use std::collections::BTreeMap;

/// So many places share a row where not all of their runs and labels follow from the first.
const MOST_IN_A_ROW: usize = 12;

/// What the chapter is called, for those who point to it.
pub(super) const TITLE: &str = "Every line as drawn";

/// Places alike, each fed from the one before it.
struct Group<'a> {
    nodes: Vec<&'a NodeRow>,
}

impl<'a> Group<'a> {
    fn takes(&self, node: &NodeRow) -> bool {
        let (Some(first), Some(last)) = (self.nodes.first(), self.nodes.last()) else {
            return true;
        };
        let alike = first.what == node.what
            && first.tap_w == node.tap_w
            && first.cable == node.cable
            && first.control == node.control
            && first.drawn == node.drawn;
        // What all of them have in common is said once, however many they are.
        let follows = last.run_m == node.run_m && is_next(&last.at, &node.at);
        let in_turn = node.from.as_ref() == Some(&last.at);
        alike && in_turn && (follows || self.nodes.len() < MOST_IN_A_ROW)
    }

    fn of(row: &'a LineRow) -> Vec<Self> {
        let mut out: Vec<Self> = Vec::new();
        for node in &row.nodes {
            match out.last_mut() {
                Some(group) if group.takes(node) => group.nodes.push(node),
                _ => out.push(Self { nodes: vec![node] }),
            }
        }
        out
    }

    fn cells(&self, first: &NodeRow, line: &LineRow, is_first: bool) -> Vec<String> {
        let many = self.nodes.len() > 1;
        let tap = first.tap_w.map_or_else(String::new, |it| {
            let each = if many { " each" } else { "" };
            format!("{}{each}", show::marked_watt(Watt(it)))
        });
        let from = first.from.as_deref().unwrap_or("rack");
        vec![
            line.line.clone(),
            labels(&self.nodes),
            match many {
                true => format!("{from}, then in turn"),
                false => from.to_owned(),
            },
            runs(&self.nodes),
            cable(first).to_owned(),
            tap,
            taps(first),
            first.drawn.make.clone(),
            besides(first, many),
            if is_first {
                marked(line.design_w)
            } else {
                String::new()
            },
        ]
    }
}

/// Whether a label follows another in counting: `LS-9`, `LS-10`.
fn is_next(one: &str, other: &str) -> bool {
    let parts = |label: &str| -> Option<(String, u64, usize)> {
        let start = label.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let (name, digits) = label.split_at(start);
        Some((name.to_owned(), digits.parse().ok()?, digits.len()))
    };
    let (Some(one), Some(other)) = (parts(one), parts(other)) else {
        return false;
    };
    // A longer number is written as it is: no zero stands before it.
    let written = one.2 == other.2 || other.1.to_string().len() == other.2;
    one.0 == other.0 && one.1.checked_add(1) == Some(other.1) && written
}

/// `LS-01 to LS-12, KITCHEN`.
fn labels(nodes: &[&NodeRow]) -> String {
    let spans = nodes.chunk_by(|a, b| is_next(&a.at, &b.at));
    let spans = spans.map(|span| match span {
        [first, _, .., last] => format!("{} to {}", first.at, last.at),
        few => {
            let few: Vec<&str> = few.iter().map(|it| it.at.as_str()).collect();
            few.join(", ")
        }
    });
    spans.collect::<Vec<_>>().join(", ")
}

/// `66 m, 11 x 9 m`: the run to each place in order.
fn runs(nodes: &[&NodeRow]) -> String {
    let alike = nodes.chunk_by(|a, b| a.run_m == b.run_m);
    let alike = alike.map(|some| {
        let run = some.first().and_then(|it| it.run_m);
        let run = run.map(|it| show::metre(Metre(it)));
        match (some.len(), run) {
            (1, Some(run)) => run,
            (count, Some(run)) => format!("{count} x {run}"),
            (1, None) => "run not known".to_owned(),
            (count, None) => format!("{count} runs not known"),
        }
    });
    alike.collect::<Vec<_>>().join(", ")
}

/// A standard size, or the name of one of the site's own.
fn cable(node: &NodeRow) -> &str {
    let own = node.drawn.cable.as_ref();
    own.map_or(node.cable.as_str(), |[name, _]| name.as_str())
}

/// The taps that a loudspeaker has.
fn taps(node: &NodeRow) -> String {
    if node.tap_w.is_none() {
        return String::new();
    }
    match node.drawn.taps_w.as_deref() {
        None => "not known".to_owned(),
        Some([_]) => "no other".to_owned(),
        Some(all) => {
            let all = all.iter().map(|it| show::marked_watt(Watt(*it)));
            let all: Vec<String> = all.map(|it| it.trim_end_matches(" W").to_owned()).collect();
            format!("{} W", all.join(", "))
        }
    }
}

/// What stands there beside a loudspeaker, and in its run.
fn besides(node: &NodeRow, many: bool) -> String {
    let mut out: Vec<String> = Vec::new();
    match node.what {
        "device" => out.push(format!("device, {}", node.drawn.device)),
        "junction" => out.push("joint box".to_owned()),
        _ => {}
    }
    if node.control {
        let which = if many { "each" } else { "it" };
        out.push(format!("level control before {which}"));
    }
    if node.drawn.dc_block {
        out.push("blocks direct current".to_owned());
    }
    out.join("; ")
}

/// `A1 out 1, 100 V, rated 240 W`.
fn output_words(row: &OutputRow) -> String {
    let rated = match row.rated_w {
        Some(_) => format!("rated {}", marked(row.rated_w)),
        None => "rating not known".to_owned(),
    };
    let alarm = if row.voice_alarm { ", voice alarm" } else { "" };
    let volts = show::volt(Volt(row.line_v));
    format!("{}, {volts}, {rated}{alarm}", row.name())
}

fn of_output(lines: &[&LineRow]) -> Table {
    let mut table = Table::new(&[
        "line",
        "places",
        "fed from",
        "runs, in order",
        "cable",
        ">tap",
        "taps it has",
        "type",
        "besides",
        ">taps in all",
    ]);
    for line in lines {
        for (at, group) in Group::of(line).iter().enumerate() {
            if let Some(first) = group.nodes.first() {
                table.row(group.cells(first, line, at == 0));
            }
        }
    }
    table
}

/// The cables that are no standard size, each once with what it is made of.
fn own_cables(data: &Assessment) -> Vec<Vec<String>> {
    let nodes = data.lines.iter().flat_map(|row| &row.nodes);
    let own = nodes.filter_map(|node| Some(node.drawn.cable.clone()?.to_vec()));
    let mut own: Vec<Vec<String>> = own.collect();
    own.sort();
    own.dedup();
    own
}

pub(super) fn lines(data: &Assessment, out: &mut Document) {
    out.chapter(TITLE);
    out.text(
        "To rebuild a line by: its places in the order of the cable, as the drawing stands after all that was changed on it; \
         lines and places that were taken out are left out. A run is the cable of two cores from the place that feeds to this \
         one. In turn: each fed from the one before it. A repair that left something otherwise \
         than drawn stands in the line's own section, what it should read under Lines. Sizes are copper by IEC 60228, or AWG.",
    );
    // A line in question may name an output that stands nowhere.
    let (drawn, in_question): (Vec<&LineRow>, Vec<&LineRow>) =
        data.lines.iter().partition(|row| row.design_w.is_some());
    let mut by_output: BTreeMap<[&str; 2], Vec<&LineRow>> = BTreeMap::new();
    for row in drawn {
        let of = [row.amplifier.as_str(), row.output.as_str()];
        by_output.entry(of).or_default().push(row);
    }
    for output in &data.outputs {
        let Some(own) = by_output.remove(&[output.amplifier.as_str(), output.output.as_str()])
        else {
            continue;
        };
        out.section(&output_words(output));
        out.table(of_output(&own));
        let bare = own.iter().filter(|row| row.nodes.is_empty());
        let bare: Vec<&str> = bare.map(|row| row.line.as_str()).collect();
        if !bare.is_empty() {
            out.text(format!("Nothing is drawn on {}.", listed(&bare)));
        }
    }
    if !in_question.is_empty() {
        let labels: Vec<&str> = in_question.iter().map(|row| row.line.as_str()).collect();
        out.text(format!(
            "In question, and left out until it is said which of their designs stands: {}.",
            listed(&labels)
        ));
    }
    let own = own_cables(data);
    if !own.is_empty() {
        out.section("Cables that are no standard size");
        out.table(plain_table(&["cable", "made of"], own));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_follows_another_only_in_counting() {
        for (one, other, next) in [
            ("LS-01", "LS-02", true),
            ("LS-9", "LS-10", true),
            ("LS-09", "LS-10", true),
            ("7", "8", true),
            ("LS-9", "LS-010", false),
            ("LS-01", "LS-03", false),
            ("LS-02", "LS-01", false),
            ("LS-01", "HORN-02", false),
            ("Foyer N", "Foyer S", false),
            ("18446744073709551615", "18446744073709551616", false),
        ] {
            assert_eq!(is_next(one, other), next, "{one} {other}");
        }
    }
}
