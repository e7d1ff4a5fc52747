//! Labels of a site, found quickly, with near misses.

use super::near::Near;
use crate::site::{Design, InstrumentId, Kind, LineId, NodeId, Reads, Ref, Site, VisitId};
use std::cell::RefCell;
use std::collections::HashMap;

/// What stands on a site by its labels; an item in question stands too, by all its labels.
pub(super) struct SiteLabels<'a> {
    lines: HashMap<&'a str, LineId>,
    nodes: HashMap<&'a str, HashMap<&'a str, NodeId>>,
    visits: HashMap<&'a str, VisitId>,
    instruments: Vec<(&'a str, InstrumentId, Reads)>,
    retired: HashMap<(Kind, &'a str), &'a str>,
    near_lines: Near<'a>,
    near_nodes: RefCell<HashMap<String, Near<'a>>>,
}

impl<'a> SiteLabels<'a> {
    pub(super) fn of(site: &'a Site) -> Self {
        let mut out = Self {
            lines: HashMap::new(),
            nodes: HashMap::new(),
            visits: HashMap::new(),
            instruments: Vec::new(),
            retired: HashMap::new(),
            near_lines: Near::default(),
            near_nodes: RefCell::default(),
        };
        for (of, _, design) in site.elements().iter() {
            let Some(label) = design.label() else {
                continue;
            };
            match (of, design) {
                (_, Design::Retired(it)) => {
                    out.retired.insert((of.kind(), label), &it.why);
                }
                (Ref::Line(id), _) => {
                    out.lines.insert(label, id.clone());
                }
                (Ref::Node(id), _) => {
                    out.nodes
                        .entry(design.parent())
                        .or_default()
                        .insert(label, id.clone());
                }
                (Ref::Visit(id), _) => {
                    out.visits.insert(label, id.clone());
                }
                (Ref::Instrument(id), Design::Instrument(it))
                    if !out.instruments.iter().any(|(_, own, _)| own == id) =>
                {
                    out.instruments.push((label, id.clone(), it.reads));
                }
                _ => {}
            }
        }
        out.near_lines = Near::new(out.lines.keys().copied());
        out
    }

    fn gone(&self, kind: Kind, label: &str) -> Option<String> {
        let why = self.retired.get(&(kind, label))?;
        Some(format!("it was taken off the site: {why}"))
    }

    /// The line, or advice.
    pub(super) fn line(&self, label: &str) -> Result<LineId, String> {
        self.lines.get(label).cloned().ok_or_else(|| {
            self.gone(Kind::Line, label)
                .unwrap_or_else(|| self.near_lines.advice(label, ""))
        })
    }

    /// The node of a line, or advice.
    pub(super) fn node(&self, line: &LineId, label: &str) -> Result<NodeId, String> {
        let own = self.nodes.get(line.as_str());
        own.and_then(|nodes| nodes.get(label))
            .cloned()
            .ok_or_else(|| {
                let mut near = self.near_nodes.borrow_mut();
                let near = near
                    .entry(line.0.clone())
                    .or_insert_with(|| Near::new(own.into_iter().flat_map(HashMap::keys).copied()));
                near.advice(label, "")
            })
    }

    /// The visit, or advice.
    pub(super) fn visit(&self, label: &str) -> Result<VisitId, String> {
        self.visits
            .get(label)
            .or_else(|| self.visits.values().find(|id| id.as_str() == label))
            .cloned()
            .ok_or_else(|| list(self.visits.keys().copied()))
    }

    /// The instrument and what it reads, or advice.
    pub(super) fn instrument(&self, label: &str) -> Result<(InstrumentId, Reads), String> {
        self.instruments
            .iter()
            .find(|(own, ..)| *own == label)
            .map(|(_, id, reads)| (id.clone(), *reads))
            .ok_or_else(|| list(self.instruments.iter().map(|(label, ..)| *label)))
    }

    /// The instruments of one kind.
    pub(super) fn instruments_reading(&self, reads: Reads) -> Vec<(&'a str, &InstrumentId)> {
        self.instruments
            .iter()
            .filter(|(_, _, own)| *own == reads)
            .map(|(label, id, _)| (*label, id))
            .collect()
    }
}

fn list<'a>(labels: impl Iterator<Item = &'a str>) -> String {
    let mut labels: Vec<&str> = labels.collect();
    labels.sort_unstable();
    format!("the site has {}", labels.join(", "))
}
