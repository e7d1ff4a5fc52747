//! Tangles: items each sound on its own that do not fit together, as two copies joined can leave
//! them. Whatever the order in which copies are joined, the same elements give the same tangles.

use super::item::Design;
use super::item_ref::{Kind, Ref};
use super::node::Node;
use super::problem::{Problem, What, Whence};
use super::standing::{StandingDesigns, lone_items};
use std::collections::HashSet;

/// Items that do not fit together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tangle {
    /// The items, at least one, the one it is told of first.
    pub of: Vec<Ref>,
    /// How they do not fit.
    pub why: TangleIs,
}

/// How items do not fit together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TangleIs {
    /// Cables that feed each other in a ring, each item by the next.
    Ring {
        /// Their labels.
        labels: Vec<String>,
    },
    /// One label twice where it must be its item's own.
    Label {
        /// The label.
        label: String,
    },
    /// The item leans on another that is retired.
    Retired {
        /// The field that names it.
        field: &'static str,
        /// The other.
        on: Ref,
    },
    /// The item's cable comes from one that is on another line.
    OtherLine {
        /// That one.
        from: Ref,
    },
}

impl Tangle {
    /// The same as problems, for those who take no questions: whoever edits or reads a file that
    /// nobody joined.
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        let problem = |of: &Ref, what| Problem {
            whence: Whence::Item(of.clone()),
            what,
        };
        let first = &self.of[0];
        match &self.why {
            TangleIs::Ring { labels } => {
                let ring = labels.join(", ");
                vec![problem(first, What::Ring { ring })]
            }
            TangleIs::Label { label } => {
                let twice = |other: &Ref| What::Twice {
                    label: label.clone(),
                    other: other.id().to_owned(),
                };
                let pairs = self.of.windows(2);
                pairs
                    .map(|pair| problem(&pair[1], twice(&pair[0])))
                    .collect()
            }
            TangleIs::Retired { field, on } => {
                let found = on.id().to_owned();
                vec![problem(first, What::Missing { field, found })]
            }
            TangleIs::OtherLine { from } => {
                let (field, found) = ("from", from.id().to_owned());
                vec![problem(first, What::Missing { field, found })]
            }
        }
    }
}

/// All tangles among the items that have one design. Items come sorted, so that what is gathered here
/// is in order already, or nearly: sorting it costs next to nothing.
pub(super) fn tangles(standing: &StandingDesigns) -> Vec<Tangle> {
    let mut out = Vec::new();
    let mut labels: Vec<((Kind, &str, &str), &Ref)> = Vec::new();
    let mut nodes: Vec<(&Ref, Node<'_>)> = Vec::new();
    let retired: HashSet<&Ref> = lone_items(standing)
        .filter(|(_, design)| matches!(design, Design::Retired(_)))
        .map(|(of, _)| of)
        .collect();
    for (of, design) in lone_items(standing) {
        if retired.contains(of) {
            continue;
        }
        if let Some(label) = design.label() {
            // Labels of lines are unique on the site, those below a parent within it.
            let within = if matches!(design, Design::Line(_)) {
                ""
            } else {
                design.parent()
            };
            labels.push(((of.kind(), within, label), of));
        }
        if !retired.is_empty() {
            leans(&retired, of, design, &mut out);
        }
        if let Some(row) = design.node() {
            nodes.push((of, row));
        }
    }
    nodes.sort_by_key(|(_, row)| row.line.as_str());
    let lines = || nodes.chunk_by(|(_, a), (_, b)| a.line == b.line);
    for rows in lines() {
        come_from_elsewhere(standing, rows, &mut out);
    }
    out.sort_by(|a, b| a.of.cmp(&b.of));
    labels.sort_by_key(|(key, _)| *key);
    for same in labels.chunk_by(|(a, _), (b, _)| a == b) {
        if let [((_, _, label), _), _, ..] = same {
            out.push(Tangle {
                of: same.iter().map(|(_, of)| (*of).clone()).collect(),
                why: TangleIs::Label {
                    label: (*label).to_owned(),
                },
            });
        }
    }
    for rows in lines() {
        rings(rows, &mut out);
    }
    out
}

/// What an item needs to stand at all, and is retired.
fn leans(retired: &HashSet<&Ref>, of: &Ref, design: &Design, out: &mut Vec<Tangle>) {
    let mut wants = |field, on: Ref| {
        if retired.contains(&on) {
            out.push(Tangle {
                of: vec![of.clone()],
                why: TangleIs::Retired { field, on },
            });
        }
    };
    match design {
        Design::Output(it) => wants("amplifier", Ref::Amplifier(it.amplifier.clone())),
        Design::Line(it) => wants("output", Ref::Output(it.output.clone())),
        _ => {}
    }
    if let Some(row) = design.node() {
        wants("line", Ref::Line(row.line.clone()));
        wants("cable", Ref::Cable(row.cable.clone()));
        if !row.from.is_rack() {
            wants("from", Ref::Node(row.from.clone()));
        }
    }
}

/// Where a node stands among those of its line, which are sorted by id.
fn place(rows: &[(&Ref, Node<'_>)], id: &str) -> Option<usize> {
    rows.binary_search_by(|(of, _)| of.id().cmp(id)).ok()
}

/// Nodes whose feeding node is there, none of its designs retired, and none of them on their line.
fn come_from_elsewhere(
    standing: &StandingDesigns,
    rows: &[(&Ref, Node<'_>)],
    out: &mut Vec<Tangle>,
) {
    for (of, row) in rows {
        // Nearly always it is one of its own line.
        if row.from.is_rack() || place(rows, row.from.as_str()).is_some() {
            continue;
        }
        let from = Ref::Node(row.from.clone());
        let feeding = standing.get(&from).map_or(&[][..], Vec::as_slice);
        let is_elsewhere = |design: &Design| {
            design
                .node()
                .is_some_and(|feeding| feeding.line != row.line)
        };
        if !feeding.is_empty() && feeding.iter().all(|(_, design)| is_elsewhere(design)) {
            out.push(Tangle {
                of: vec![(*of).clone()],
                why: TangleIs::OtherLine { from },
            });
        }
    }
}

/// Nodes of a line that no way from the rack reaches, because they feed each other.
fn rings(rows: &[(&Ref, Node<'_>)], out: &mut Vec<Tangle>) {
    let from: Vec<Option<usize>> = rows
        .iter()
        .map(|(_, row)| place(rows, row.from.as_str()))
        .collect();
    // In which walk towards the rack a node was passed; none before any.
    let mut passed: Vec<Option<usize>> = vec![None; rows.len()];
    for walk in 0..rows.len() {
        let mut at = Some(walk);
        while let Some(here) = at.filter(|here| passed[*here].is_none()) {
            passed[here] = Some(walk);
            at = from[here];
        }
        let Some(start) = at.filter(|here| passed[*here] == Some(walk)) else {
            continue;
        };
        let mut ring = vec![start];
        ring.extend(
            std::iter::successors(from[start], |here| from[*here]).take_while(|it| *it != start),
        );
        out.push(Tangle {
            of: ring.iter().map(|at| rows[*at].0.clone()).collect(),
            why: TangleIs::Ring {
                labels: ring.iter().map(|at| rows[*at].1.label.to_owned()).collect(),
            },
        });
    }
}
