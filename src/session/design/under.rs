//! Where something new goes when nothing is said of it.

use super::drawn::Drawn;
use crate::site::{AmplifierId, Design, Kind, LineId, NodeId, OutputId, Ref};

/// Where something is added: the item under the cursor and what it hangs on. What is not under the
/// cursor is the last there is.
#[derive(Clone, Debug, Default)]
pub(super) struct Under {
    pub amplifier: Option<AmplifierId>,
    pub output: Option<OutputId>,
    pub line: Option<LineId>,
    pub node: Option<NodeId>,
}

impl Under {
    /// From the item under the cursor.
    pub fn of(drawn: Drawn<'_>, anchor: &Ref) -> Self {
        let mut out = Self::default();
        match anchor {
            Ref::Amplifier(id) => out.amplifier = Some(id.clone()),
            Ref::Output(id) => out.output = Some(id.clone()),
            Ref::Line(id) => out.line = Some(id.clone()),
            Ref::Node(id) => {
                out.node = Some(id.clone());
                if let Some(design) = drawn.standing(anchor) {
                    out.line = Some(design.parent().into());
                }
            }
            _ => {}
        }
        if let Some(id) = &out.line
            && let Some(Design::Line(line)) = drawn.standing(&Ref::Line(id.clone()))
        {
            out.output = Some(line.output.clone());
        }
        if let Some(id) = &out.output
            && let Some(Design::Output(output)) = drawn.standing(&Ref::Output(id.clone()))
        {
            out.amplifier = Some(output.amplifier.clone());
        }
        let last = |kind, parent: &str| drawn.below(kind, parent).pop().map(|(of, _)| of);
        if out.amplifier.is_none()
            && let Some(Ref::Amplifier(id)) = last(Kind::Amplifier, "")
        {
            out.amplifier = Some(id);
        }
        if out.output.is_none()
            && let Some(amplifier) = &out.amplifier
            && let Some(Ref::Output(id)) = last(Kind::Output, amplifier.as_str())
        {
            out.output = Some(id);
        }
        if out.line.is_none()
            && let Some(output) = &out.output
            && let Some(Ref::Line(id)) = last(Kind::Line, output.as_str())
        {
            out.line = Some(id);
        }
        out
    }
}
