//! What a schedule left blank where blank means a plain value: a new site takes that, a revised one keeps what
//! it knows.
//!
//! Never here: blanks that mean not known; those stand in the items themselves.

use super::schedule_node::Node;
use super::table::{Row, Table};
use crate::site::{AmplifierId, Design, LineId, NodeId, OutputId};
use std::collections::HashSet;

/// Items of a schedule, by their ids there, of which so much was not said.
#[derive(Clone, Debug, Default)]
pub struct Unsaid {
    /// Outputs without a line voltage in any row.
    volts: HashSet<OutputId>,
    /// Places without a cable.
    cable: HashSet<NodeId>,
    /// Places without a word on a control.
    control: HashSet<NodeId>,
    /// Loudspeakers without a word on a capacitor.
    dc_block: HashSet<NodeId>,
}

impl Unsaid {
    /// Of rows and what was understood of each.
    pub(super) fn of(table: &Table, rows: &[Row], nodes: &[Node]) -> Self {
        let mut out = Self::default();
        let output_of =
            |node: &Node| OutputId::of(&AmplifierId::from(node.amplifier.as_str()), &node.output);
        for (row, node) in rows.iter().zip(nodes) {
            let id = NodeId::of(&LineId::from(node.line.as_str()), &node.label);
            let blank = |column| table.cell(row, column).is_empty();
            if blank("line_v") {
                out.volts.insert(output_of(node));
            }
            for (column, of) in [
                ("cable", &mut out.cable),
                ("control", &mut out.control),
                ("dc_block", &mut out.dc_block),
            ] {
                if blank(column) {
                    of.insert(id.clone());
                }
            }
        }
        // One row that says it says it of the whole output.
        let said = nodes.iter().filter(|node| node.volts.is_some());
        for node in said {
            out.volts.remove(&output_of(node));
        }
        out
    }

    /// Of an item of this id in the schedule what was not said stays as the site has it.
    pub(super) fn keep(&self, id: &str, old: &Design, new: &mut Design) {
        if let (Design::Output(old), Design::Output(new)) = (old, &mut *new)
            && self.volts.contains(&OutputId::from(id))
        {
            new.volts = old.volts;
        }
        let id = NodeId::from(id);
        macro_rules! keep {
            ($old:expr, $new:expr) => {{
                if self.cable.contains(&id) {
                    $new.cable.clone_from(&$old.cable);
                }
                if self.control.contains(&id) {
                    $new.control = $old.control;
                }
            }};
        }
        match (old, new) {
            (Design::Loudspeaker(old), Design::Loudspeaker(new)) => {
                keep!(old, new);
                if self.dc_block.contains(&id) {
                    new.dc_block = old.dc_block;
                }
            }
            (Design::Junction(old), Design::Junction(new)) => keep!(old, new),
            (Design::Device(old), Design::Device(new)) => keep!(old, new),
            _ => {}
        }
    }
}
