//! Moving about the place of the whole building and that of one amplifier. The cursor is that of the tree,
//! so that Enter goes to the line or output it stands on.

use super::Session;
use super::keys::{Action, Place};
use super::movement::along;
use super::tree::RowId;
use std::ops::Range;

impl Session {
    /// The output under the cursor, or that of the line under it.
    pub(super) fn output_under(&self) -> Option<usize> {
        let plan = self.site.plan();
        match &self.cursor {
            RowId::Site | RowId::WholeZone(_) => None,
            RowId::Amplifier(id) => {
                let amplifier = plan.amplifiers.iter().find(|it| it.id == *id)?;
                Some(amplifier.outputs.start).filter(|_| !amplifier.outputs.is_empty())
            }
            RowId::Output(id) | RowId::Zone(id, _) => {
                plan.outputs.iter().position(|it| it.id == *id)
            }
            RowId::Line(id) => plan.line(id).map(|at| plan.lines[at].output),
        }
    }

    /// The outputs of the amplifier under the cursor.
    pub(super) fn amplifier_outputs(&self) -> Range<usize> {
        let output = self.output_under().unwrap_or(0);
        let amplifiers = &self.site.plan().amplifiers;
        let own = amplifiers.iter().find(|it| it.outputs.contains(&output));
        own.map_or(0..0, |it| it.outputs.clone())
    }

    /// `g b`.
    pub(super) fn go_to_building(&mut self) {
        if self.site.plan().outputs.is_empty() {
            self.say("no output stands yet: a adds an amplifier");
            return;
        }
        self.place = Place::Building;
        self.page = 0;
    }

    /// `g a`.
    pub(super) fn go_to_amplifier(&mut self) {
        if self.site.plan().outputs.is_empty() {
            self.say("no output stands yet: a adds an amplifier");
            return;
        }
        if self.output_under().is_none() {
            self.show_output(0);
        }
        self.place = Place::Amplifier;
        self.page = 0;
    }

    /// Rows of the amplifier's place: each output and the lines on it.
    pub(super) fn amplifier_rows(&self) -> Vec<RowId> {
        let plan = self.site.plan();
        let mut out = Vec::new();
        for at in self.amplifier_outputs() {
            let output = &plan.outputs[at];
            out.push(RowId::Output(output.id.clone()));
            let lines = output.lines.clone();
            out.extend(lines.map(|line| RowId::Line(plan.lines[line].id.clone())));
        }
        out
    }

    /// The row of the amplifier's place under the cursor.
    pub(super) fn amplifier_row(&self) -> usize {
        let rows = self.amplifier_rows();
        let own = rows.iter().position(|row| *row == self.cursor);
        own.or_else(|| {
            let id = &self.site.plan().outputs.get(self.output_under()?)?.id;
            rows.iter()
                .position(|row| *row == RowId::Output(id.clone()))
        })
        .unwrap_or(0)
    }

    /// A step, a screen, an end: over outputs, in the amplifier's place over its rows.
    pub(super) fn travel_outputs(&mut self, action: Action) {
        let step = |at, last, screen| along(action, at, last, screen);
        if self.place == Place::Amplifier {
            let rows = self.amplifier_rows();
            let to = step(self.amplifier_row(), rows.len().saturating_sub(1), 10);
            self.show_row(rows.get(to));
            return;
        }
        let last = self.site.plan().outputs.len().saturating_sub(1);
        let to = match (self.output_under(), action) {
            (None, Action::Down) => 0,
            (at, _) => step(at.unwrap_or(0), last, 5),
        };
        self.show_output(to);
    }

    fn show_row(&mut self, row: Option<&RowId>) {
        let plan = self.site.plan();
        match row {
            Some(RowId::Output(id)) => {
                if let Some(at) = plan.outputs.iter().position(|it| it.id == *id) {
                    self.show_output(at);
                }
            }
            Some(RowId::Line(id)) => {
                if let Some(at) = plan.line(id) {
                    self.show_line(at);
                }
            }
            _ => {}
        }
    }

    /// Left and Right: by line over the building and the drawings, by amplifier in its place.
    pub(super) fn step_aside(&mut self, forward: bool) {
        let plan = self.site.plan();
        if self.place == Place::Amplifier {
            let own = self.amplifier_outputs();
            let to = if forward {
                Some(own.end).filter(|at| *at < plan.outputs.len())
            } else {
                own.start.checked_sub(1)
            };
            if let Some(to) = to {
                let amplifiers = &self.site.plan().amplifiers;
                let other = amplifiers.iter().find(|it| it.outputs.contains(&to));
                let to = other.map_or(to, |it| it.outputs.start);
                self.show_output(to);
            }
            return;
        }
        let last = plan.lines.len().checked_sub(1);
        let to = match (self.walked(), self.output_under()) {
            (Some(line), _) if forward => last.map(|last| (line + 1).min(last)),
            (Some(line), _) => Some(line.saturating_sub(1)),
            (None, Some(output)) => {
                let start = plan.outputs[output].lines.start;
                if forward {
                    last.map(|last| start.min(last))
                } else {
                    start.checked_sub(1)
                }
            }
            (None, None) => last.map(|_| 0),
        };
        let Some(to) = to else { return };
        self.show_line(to);
        if self.place == Place::Drawing {
            self.open_drawing();
        }
    }
}
