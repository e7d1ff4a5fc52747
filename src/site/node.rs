//! What every kind of node is drawn with: the line it stands on, and the run that feeds it.
//!
//! Never here: what stands there.

use super::id::{CableId, LineId, NodeId};
use super::item::Design;
use crate::quantity::Metre;

/// A node, whatever stands there.
#[derive(Clone, Copy, Debug)]
pub struct Node<'a> {
    /// The line it stands on.
    pub line: &'a LineId,
    /// Unique on its line.
    pub label: &'a str,
    /// Places it among the nodes of its line.
    pub order: f64,
    /// The node that feeds it, or the rack.
    pub from: &'a NodeId,
    /// Length of the run that feeds it; none where nobody knows.
    pub run: Option<Metre>,
    /// The cable of that run.
    pub cable: &'a CableId,
    /// A level control at the near end of that run.
    pub control: bool,
}

/// The same to be changed; each field as in [`Node`].
#[derive(Debug)]
pub struct NodeMut<'a> {
    /// The line it stands on.
    pub line: &'a mut LineId,
    /// Unique on its line.
    pub label: &'a mut String,
    /// Places it among the nodes of its line.
    pub order: &'a mut f64,
    /// The node that feeds it, or the rack.
    pub from: &'a mut NodeId,
    /// Length of the run that feeds it.
    pub run: &'a mut Option<Metre>,
    /// The cable of that run.
    pub cable: &'a mut CableId,
    /// A level control at the near end of that run.
    pub control: &'a mut bool,
}

/// The same of each kind of node; none of what is no node.
macro_rules! of_any {
    ($design:expr, $it:ident => $fields:expr) => {
        Some(match $design {
            Design::Loudspeaker($it) => $fields,
            Design::Junction($it) => $fields,
            Design::Device($it) => $fields,
            _ => return None,
        })
    };
}

impl Design {
    /// As a node; none of what is no node, and of one that is retired.
    #[must_use]
    pub fn node(&self) -> Option<Node<'_>> {
        of_any!(self, it => Node {
            line: &it.line,
            label: &it.label,
            order: it.order,
            from: &it.from,
            run: it.run_m,
            cable: &it.cable,
            control: it.control,
        })
    }

    /// The same to be changed.
    #[must_use]
    pub fn node_mut(&mut self) -> Option<NodeMut<'_>> {
        of_any!(self, it => NodeMut {
            line: &mut it.line,
            label: &mut it.label,
            order: &mut it.order,
            from: &mut it.from,
            run: &mut it.run_m,
            cable: &mut it.cable,
            control: &mut it.control,
        })
    }
}
