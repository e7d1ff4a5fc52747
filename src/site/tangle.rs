//! Tangles: items each sound on its own that do not fit together, as two copies joined can leave
//! them. Whatever the order in which copies are joined, the same elements give the same tangles.

use super::Elements;
use super::assemble::{NodeRow, node_row};
use super::check::{Problem, What, Whence};
use super::item::{Design, Kind, Ref};
use std::collections::{BTreeMap, HashMap, HashSet};

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

/// All tangles among the items that have one design.
pub(super) fn tangles(elements: &Elements) -> Vec<Tangle> {
    let mut out = Vec::new();
    let mut labels: BTreeMap<(Kind, &str, &str), Vec<&Ref>> = BTreeMap::new();
    let mut nodes: BTreeMap<&str, Vec<(&Ref, NodeRow<'_>)>> = BTreeMap::new();
    let retired: HashSet<&Ref> = elements
        .lone()
        .filter(|(_, design)| matches!(design, Design::Retired(_)))
        .map(|(of, _)| of)
        .collect();
    for (of, design) in elements.lone() {
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
            labels
                .entry((of.kind(), within, label))
                .or_default()
                .push(of);
        }
        if !retired.is_empty() {
            leans(&retired, of, design, &mut out);
        }
        if let Some(row) = node_row(design) {
            if comes_from_elsewhere(elements, &row) {
                out.push(Tangle {
                    of: vec![of.clone()],
                    why: TangleIs::OtherLine {
                        from: Ref::Node(row.from.clone()),
                    },
                });
            }
            nodes.entry(row.line.as_str()).or_default().push((of, row));
        }
    }
    for ((_, _, label), of) in labels {
        if of.len() > 1 {
            out.push(Tangle {
                of: of.into_iter().cloned().collect(),
                why: TangleIs::Label {
                    label: label.to_owned(),
                },
            });
        }
    }
    for rows in nodes.values() {
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
    if let Some(row) = node_row(design) {
        wants("line", Ref::Line(row.line.clone()));
        wants("cable", Ref::Cable(row.cable.into()));
        if !row.from.is_rack() {
            wants("from", Ref::Node(row.from.clone()));
        }
    }
}

/// Whether a feeding node is there, none of its designs retired, and none of them on the line of
/// the node that it feeds.
fn comes_from_elsewhere(elements: &Elements, row: &NodeRow<'_>) -> bool {
    if row.from.is_rack() {
        return false;
    }
    let feeding = elements.standing(&Ref::Node(row.from.clone()));
    !feeding.is_empty()
        && feeding
            .iter()
            .all(|(_, design)| node_row(design).is_some_and(|feeding| feeding.line != row.line))
}

/// Nodes of a line that no way from the rack reaches, because they feed each other.
fn rings(rows: &[(&Ref, NodeRow<'_>)], out: &mut Vec<Tangle>) {
    let from: HashMap<&str, (&str, &str)> = rows
        .iter()
        .map(|(of, row)| (of.id(), (row.from.as_str(), row.label)))
        .collect();
    let mut sound: HashSet<&str> = HashSet::new();
    for (of, _) in rows {
        let mut path: Vec<&str> = Vec::new();
        let mut on_path: HashMap<&str, usize> = HashMap::new();
        let mut at = of.id();
        while let Some((next, _)) = from.get(at) {
            if sound.contains(at) {
                break;
            }
            if let Some(start) = on_path.get(at) {
                let ring = &path[*start..];
                out.push(Tangle {
                    of: ring.iter().map(|id| Ref::Node((*id).into())).collect(),
                    why: TangleIs::Ring {
                        labels: ring.iter().map(|id| from[id].1.to_owned()).collect(),
                    },
                });
                break;
            }
            on_path.insert(at, path.len());
            path.push(at);
            at = next;
        }
        sound.extend(path);
    }
}
