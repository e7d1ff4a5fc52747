//! The next line that waits to be read, to which the cursor goes after a reading, after a reason, and by
//! `g n`.

use super::order::{Only, Order};
use super::tree::RowId;
use super::{Message, Place, Session};

/// Said at the right end where no line of those shown was left.
pub(super) const LIFTED: &str = "all lines again; u takes it back";

impl Session {
    /// The next line, in the order chosen, without a rack reading, after `from`, round the end; one
    /// that was left for later only when no other is left, the one under the cursor last of all.
    pub(super) fn next_unread(&self, from: Option<usize>) -> Option<usize> {
        self.next_unread_of(from, |session, at| session.lets_through(at))
    }

    fn next_unread_of(
        &self,
        from: Option<usize>,
        wanted: impl Fn(&Self, usize) -> bool,
    ) -> Option<usize> {
        let own = from.filter(|from| self.walked() == Some(*from));
        let unread = |session: &Self, at| session.is_unread(at) && wanted(session, at);
        let other = |session: &Self, at| unread(session, at) && Some(at) != own;
        self.next_line(from, |session, at| {
            other(session, at) && !session.is_later(at)
        })
        .or_else(|| self.next_line(from, other))
        .or_else(|| own.filter(|at| unread(self, *at)))
    }

    /// `g n`: on to the next unread line; where a filter lets no other through, to the next of all
    /// lines. From a place that shows no lines first to the one that the survey stands on.
    pub(super) fn go_next_unread(&mut self) {
        let own = self.walked();
        let shows_lines = !matches!(self.place, Place::Rack | Place::Review | Place::Kit);
        if let Some(at) = own.filter(|at| !shows_lines && self.is_unread(*at)) {
            self.place = Place::Survey;
            return self.show_line(at);
        }
        let from = self.before_next();
        let shown = self.next_unread(from).filter(|at| Some(*at) != own);
        let any = || self.next_unread_of(from, |_, _| true);
        let any = shown.or_else(|| any().filter(|at| Some(*at) != own));
        match any {
            Some(at) => {
                self.jump(at);
                if shown.is_none() {
                    self.say("all lines again: no other of those shown is unread");
                }
            }
            None if own.is_some_and(|at| self.is_unread(at)) => {
                self.place = Place::Survey;
                self.say("no other line is unread");
            }
            None => self.say("every line is read"),
        }
    }

    /// From a line that was read, or left for later, on to the next that waits. Where a filter shows
    /// none that does, on along what it shows; from the last of the unread ones to all lines again.
    pub(super) fn hand_on(&mut self, from: usize) {
        let next = self.next_unread(Some(from)).filter(|next| *next != from);
        if let Some(next) = next {
            return self.show_line(next);
        }
        match self.arranged.only {
            Only::All => {}
            Only::Unread => {
                let any = self.next_unread_of(Some(from), |_, _| true);
                if let Some(next) = any.filter(|next| *next != from) {
                    let said = self.message.clone();
                    self.show_line(next);
                    self.message = Message {
                        hint: LIFTED,
                        ..said
                    };
                }
            }
            Only::Flagged | Only::Off => {
                if let Some(next) = self.next_shown(from) {
                    self.show_line(next);
                }
            }
        }
    }

    /// The line that a filter shows behind this one.
    fn next_shown(&self, from: usize) -> Option<usize> {
        let order = self.in_order();
        let here = order.iter().position(|at| *at == from)?;
        let mut behind = order[here + 1..].iter().copied();
        behind.find(|at| self.lets_through(*at))
    }

    /// What of the way on is said at the right end of what was recorded; none where it needs no word.
    pub(super) fn hint_of_way(&self, from: usize) -> Option<&'static str> {
        if self.message.hint == LIFTED {
            return Some(LIFTED);
        }
        let stays = self.arranged.only != Only::All && self.walked() == Some(from);
        (stays && self.next_shown(from).is_none()).then_some("last of these; u takes it back")
    }

    /// The next line after `from` in the order chosen, round the end, for which `wanted` holds.
    pub(super) fn next_line(
        &self,
        from: Option<usize>,
        wanted: impl Fn(&Self, usize) -> bool,
    ) -> Option<usize> {
        let order = self.in_order();
        let start = from
            .and_then(|from| order.iter().position(|at| *at == from))
            .map_or(0, |at| at + 1);
        let round = order[start..].iter().chain(&order[..start]);
        round.copied().find(|at| wanted(self, *at))
    }

    /// The line after which "next" begins: the one under the cursor; on a branch that before its
    /// first line, so that the first is not passed over.
    pub(super) fn before_next(&self) -> Option<usize> {
        let row = self.rows.get(self.cursor_at())?;
        let first = *row.lines.first()?;
        if matches!(row.id, RowId::Line(_)) {
            return Some(first);
        }
        if self.arranged.order == Order::Rack {
            return first.checked_sub(1);
        }
        let order = self.in_order();
        let at = order.iter().position(|at| *at == first)?;
        Some(order[at.checked_sub(1)?])
    }
}
