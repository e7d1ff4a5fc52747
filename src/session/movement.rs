//! Moving: the cursor holds a label and moves only by a key.

use super::Session;
use super::keys::{Action, Place};
use super::order::{Only, Order};
use super::tree::{self, Branch, RowId, Shape};
use super::view::FRAME_ROWS;
use crate::site::{Decision, Do, EntryId, LineId, Ref};

/// Rows in sight before and behind the cursor.
const SIGHT: usize = 3;

/// Where a step, a screen or an end leads from a row of a list.
pub(super) fn along(action: Action, at: usize, last: usize, screen: usize) -> usize {
    match action {
        Action::Up => at.saturating_sub(1),
        Action::Down => (at + 1).min(last),
        Action::PageUp => at.saturating_sub(screen),
        Action::PageDown => (at + screen).min(last),
        Action::First => 0,
        _ => last,
    }
}

impl Session {
    /// Rows of the tree that the screen shows at a time.
    pub(super) fn body_height(&self) -> usize {
        self.size.1.saturating_sub(FRAME_ROWS).max(1)
    }

    pub(super) fn rebuild_rows(&mut self) {
        let shape = Shape {
            order: match self.arranged.only {
                Only::Flagged => Order::Worst,
                _ => self.arranged.order,
            },
            lines: self.in_order(),
            shown: (self.arranged.only != Only::All)
                .then(|| self.arranged.shown.iter().cloned().collect()),
        };
        self.rows = tree::rows(self.site.plan(), self.site.label(), &self.folded, &shape);
        self.row_of.clear();
        for (at, row) in self.rows.iter().enumerate() {
            self.row_of.entry(row.id.clone()).or_insert(at);
        }
    }

    pub(super) fn row_at(&self, id: &RowId) -> Option<usize> {
        self.row_of.get(id).copied()
    }

    pub(super) fn cursor_at(&self) -> usize {
        self.row_at(&self.cursor).unwrap_or(0)
    }

    /// Keeps the cursor on a row that is there and on the screen.
    pub(super) fn clamp(&mut self) {
        if self.row_at(&self.cursor).is_none() {
            self.cursor = RowId::Site;
        }
        let (at, height) = (self.cursor_at(), self.body_height());
        // A few rows beyond the cursor stay in sight, so that what comes next is seen coming.
        let margin = SIGHT.min(height.saturating_sub(1) / 2);
        if at < self.top + margin {
            self.top = at.saturating_sub(margin);
        } else if at + margin >= self.top + height {
            self.top = at + margin + 1 - height;
        }
        self.top = self.top.min(self.rows.len().saturating_sub(height));
    }

    fn move_to(&mut self, at: usize) {
        if let Some(row) = self.rows.get(at) {
            self.cursor = row.id.clone();
        }
    }

    /// Tab and Shift-Tab: the page after or before the one shown, round the end. The page chosen stays
    /// while moving; where a line has fewer its last is shown.
    pub(super) fn turn_page(&mut self, action: Action) {
        if self.tour && self.place == Place::Survey {
            // What the five lines of the first time stand on.
            self.tour = false;
            return;
        }
        let pages = self.view().pages.max(1);
        let shown = self.page.min(pages - 1);
        let step = match action {
            Action::PreviousPage => pages - 1,
            _ => 1,
        };
        self.page = (shown + step) % pages;
    }

    /// A step, a screen, an end.
    pub(super) fn travel(&mut self, action: Action) {
        let (at, last) = (self.cursor_at(), self.rows.len().saturating_sub(1));
        let screen = self.body_height().saturating_sub(1).max(1);
        self.move_to(along(action, at, last, screen));
    }

    /// Left: folds the branch, or goes to the row it hangs on.
    pub(super) fn fold(&mut self) {
        let row = &self.rows[self.cursor_at()];
        if row.branch == Branch::Open {
            self.folded.insert(row.id.clone());
            self.rebuild_rows();
        } else if let Some(parent) = row.parent.clone() {
            self.cursor = parent;
        }
    }

    /// Right, and Enter on a folded branch.
    pub(super) fn unfold(&mut self) {
        let cursor = self.cursor.clone();
        if self.folded.remove(&cursor) {
            self.rebuild_rows();
        }
    }

    /// Enter with nothing typed: a branch opens or folds; a line does nothing.
    pub(super) fn go_in(&mut self) {
        let row = &self.rows[self.cursor_at()];
        if row.branch == Branch::Folded {
            self.unfold();
        } else if row.branch == Branch::Open {
            self.fold();
        }
    }

    /// Puts the cursor on a line, opening the branches above it.
    pub(super) fn show_line(&mut self, line: usize) {
        if !self.lets_through(line) {
            self.end_filter();
        }
        let plan = self.site.plan();
        let wanted = line;
        let line = &plan.lines[line];
        let output = &plan.outputs[line.output];
        let mut above = vec![
            RowId::Output(output.id.clone()),
            RowId::WholeZone(line.zone.clone()),
        ];
        above.extend(
            output
                .lines
                .clone()
                .filter(|at| *at <= wanted)
                .map(|at| RowId::Zone(output.id.clone(), plan.lines[at].id.clone())),
        );
        above.extend(
            plan.amplifiers
                .iter()
                .filter(|amplifier| amplifier.outputs.contains(&line.output))
                .map(|amplifier| RowId::Amplifier(amplifier.id.clone())),
        );
        let mut opened = false;
        for id in above {
            // Of the zones before it only the one that holds the line is opened.
            let holds = match &id {
                RowId::Zone(..) => self
                    .row_at(&id)
                    .is_some_and(|at| self.rows[at].lines.contains(&wanted)),
                _ => true,
            };
            opened |= holds && self.folded.remove(&id);
        }
        let id = RowId::Line(line.id.clone());
        if opened {
            self.rebuild_rows();
        }
        self.cursor = id;
    }

    /// To a line in the survey, keeping for the way back where one stood, and in which place.
    pub(super) fn jump(&mut self, line: usize) {
        let from = self.spot();
        self.show_line(line);
        self.place = Place::Survey;
        if (&self.cursor, self.place) != (&from.cursor, from.place) {
            self.trail.keep(from);
        }
    }

    /// What is opened from the review is of the row under its cursor.
    pub(super) fn stand_on_reviewed(&mut self) {
        let row = self.review.under().filter(|_| self.place == Place::Review);
        let at = match row.map(|row| &row.item.of) {
            Some(Ref::Line(id)) => self.site.plan().line(id),
            _ => None,
        };
        if let Some(at) = at {
            self.show_line(at);
        }
    }

    /// No rack reading of it counts, and none is on its way.
    pub(super) fn is_unread(&self, at: usize) -> bool {
        !self.is_read_ahead(at) && !self.is_waiting(&self.site.plan().lines[at].id)
    }

    /// A rack reading of it counts, and no strike of it is on its way: `u` typed ahead of the disk
    /// means it.
    pub(super) fn is_read_ahead(&self, at: usize) -> bool {
        let line = self.analyst.line(at);
        let entry = line.taken.as_ref().and_then(|taken| taken.entry.as_ref());
        line.is_read() && !entry.is_some_and(|id| self.is_struck_ahead(id))
    }

    /// A strike of this entry is on its way to the disk, and no strike of that.
    pub(super) fn is_struck_ahead(&self, id: &EntryId) -> bool {
        self.pending.iter().any(|pending| {
            matches!(&pending.entry.what, Do::Void(void) if void.of.contains(id))
                && !self.is_struck_ahead(&pending.entry.id)
        })
    }

    /// Left for later, with a reason.
    pub(super) fn is_later(&self, at: usize) -> bool {
        let id = &self.site.plan().lines[at].id;
        self.analyst.line(at).decision == Some(Decision::Skipped)
            || self.pending.iter().any(|pending| {
                matches!(&pending.entry.what, Do::Decide(decide)
                    if decide.of == Ref::Line(id.clone()) && decide.is == Decision::Skipped)
            })
    }

    /// Whether an entry of this line is on its way to the disk.
    pub(super) fn is_waiting(&self, line: &LineId) -> bool {
        self.pending.iter().any(|pending| {
            pending.entry.what.line() == Some(line) && !self.is_struck_ahead(&pending.entry.id)
        })
    }

    /// The line under the cursor, else the first of the branch under it.
    pub(super) fn line_under(&self) -> Option<usize> {
        self.rows.get(self.cursor_at())?.lines.first().copied()
    }
}
