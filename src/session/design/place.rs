//! The drawing: one line as its cable, to be changed place by place. It stands where the walk stands,
//! so that going from one to the other keeps the place.

use crate::session::Session;
use crate::session::keys::Place;
use crate::session::tree::RowId;

impl Session {
    /// Opens the drawing of the line under the cursor.
    pub(in crate::session) fn open_drawing(&mut self) {
        let Some(at) = self.walked() else {
            self.say("a drawing is of a line: go to one first; a adds one");
            return;
        };
        if self.place != Place::Drawing {
            self.page = 0;
        }
        self.place = Place::Drawing;
        self.walk_top = 0;
        let nodes = &self.site.plan().lines[at].nodes;
        if !nodes.iter().any(|node| node.id == self.walk_at) {
            let last = nodes.last().map(|node| node.id.clone());
            self.walk_at = last.unwrap_or_else(crate::site::NodeId::rack);
        }
    }

    /// Puts the cursor on an output, opening the branches above it.
    pub(in crate::session) fn show_output(&mut self, output: usize) {
        let plan = self.site.plan();
        let Some(id) = plan.outputs.get(output).map(|it| it.id.clone()) else {
            return;
        };
        let above = plan
            .amplifiers
            .iter()
            .find(|it| it.outputs.contains(&output));
        let above = above.map(|it| RowId::Amplifier(it.id.clone()));
        if above.is_some_and(|above| self.folded.remove(&above)) {
            self.rebuild_rows();
        }
        self.cursor = RowId::Output(id);
    }
}
