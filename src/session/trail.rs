//! The way back: where one stood before each step to another place or line, with the cursor of the place
//! as it was there.
//!
//! Never here: Esc, which is a step back by itself, and the cursor's own steps.

use super::keys::Place;
use super::tick_row::TickId;
use super::tree::RowId;
use super::{Message, Session};
use crate::review::Matter;
use crate::site::{NodeId, Ref};

/// Where one stands: the place, and the cursor of every place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Spot {
    /// The place worked in.
    pub place: Place,
    /// The row of the tree.
    pub cursor: RowId,
    /// The place on the cable.
    pub walk_at: NodeId,
    /// The row of the rack list.
    pub tick_at: TickId,
    under_rack: Place,
    /// The row of instruments, visits and figures.
    pub kit_at: Ref,
    reviewed: Option<(Matter, Ref)>,
}

impl Spot {
    /// Whether one stands on the same, as far as the place shows it.
    pub fn is_same(&self, other: &Self) -> bool {
        self.place == other.place
            && match self.place {
                Place::Walk | Place::Drawing => {
                    self.cursor == other.cursor && self.walk_at == other.walk_at
                }
                Place::Rack => self.cursor == other.cursor && self.tick_at == other.tick_at,
                Place::Kit => self.kit_at == other.kit_at,
                Place::Review => self.reviewed == other.reviewed,
                _ => self.cursor == other.cursor,
            }
    }
}

/// Where the cursor has been.
#[derive(Clone, Debug, Default)]
pub(super) struct Trail {
    back: Vec<Spot>,
    forward: Vec<Spot>,
}

impl Trail {
    /// One more step of the way back; what lay ahead is no way any more.
    pub fn keep(&mut self, spot: Spot) {
        if !self.back.last().is_some_and(|last| last.is_same(&spot)) {
            self.back.push(spot);
        }
        self.forward.clear();
    }
}

impl Session {
    /// Where one stands now.
    pub(super) fn spot(&self) -> Spot {
        Spot {
            place: self.stands_in(),
            cursor: self.cursor.clone(),
            walk_at: self.walk_at.clone(),
            tick_at: self.tick_at.clone(),
            under_rack: self.under_rack,
            kit_at: self.kit_at.clone(),
            reviewed: self
                .review
                .under()
                .map(|row| super::reviewed::key(&row.item)),
        }
    }

    /// Back or forward over the steps; where one stands already is none.
    pub(super) fn retrace(&mut self, forward: bool) {
        let now = self.spot();
        let trail = &mut self.trail;
        let (from, to) = match forward {
            true => (&mut trail.forward, &mut trail.back),
            false => (&mut trail.back, &mut trail.forward),
        };
        let plan = self.site.plan();
        let leads = |spot: &Spot| {
            let gone = matches!(&spot.cursor, RowId::Line(line) if plan.line(line).is_none());
            !gone && !spot.is_same(&now)
        };
        let Some(at) = from.iter().rposition(leads) else {
            from.clear();
            return self.say("no more places that way");
        };
        from.truncate(at + 1);
        let Some(spot) = from.pop() else { return };
        to.push(now);
        self.stand_at(spot);
    }

    fn stand_at(&mut self, spot: Spot) {
        // What was told of where one stood has no meaning here; what was done stands.
        if self.message.hint.is_empty() && !self.message.alarm {
            self.message = Message::default();
        }
        self.page = 0;
        self.place = spot.place;
        self.stand_on_row(spot.cursor);
        self.walk_at = spot.walk_at;
        self.tick_at = spot.tick_at;
        self.under_rack = spot.under_rack;
        self.kit_at = spot.kit_at;
        match (self.place, self.walked()) {
            (Place::Review, _) => {
                self.go_review();
                self.stand_on_key(spot.reviewed.as_ref());
            }
            (Place::Walk, Some(at)) => self.say_tone(at),
            _ => {}
        }
    }

    /// The cursor on the row of this item; where it is in the review no more, or was none, on that of the
    /// signature.
    fn stand_on_key(&mut self, wanted: Option<&(Matter, Ref)>) {
        let mut rows = self.review.rows.iter();
        let at = wanted
            .and_then(|wanted| rows.position(|row| super::reviewed::key(&row.item) == *wanted));
        self.review.at = at.map_or(0, |at| at + 1);
    }

    /// The cursor on a row, the branches above it opened and the filter lifted that hide it.
    fn stand_on_row(&mut self, id: RowId) {
        let plan = self.site.plan();
        let line = match &id {
            RowId::Line(line) | RowId::Zone(_, line) => plan.line(line),
            _ => None,
        };
        let output = match &id {
            RowId::Output(output) => plan.outputs.iter().position(|it| it.id == *output),
            _ => None,
        };
        if self.row_at(&id).is_none() || line.is_some() {
            match (line, output) {
                (Some(at), _) => self.show_line(at),
                (None, Some(at)) => self.show_output(at),
                (None, None) => {
                    self.end_filter();
                }
            }
        }
        match self.row_at(&id) {
            Some(_) => self.cursor = id,
            None if line.is_none() && output.is_none() => {
                self.say("that row is not shown in this order: g o chooses another");
            }
            None => {}
        }
    }

    /// What was told of one line, or asked of it, and a caution of what is typed, is gone from the screen
    /// once the cursor is elsewhere or nothing is typed any more. What was done stands until the next act.
    pub(super) fn forget_told(&mut self, before: &Spot, said: &Message, was_typing: bool) {
        if self.message != *said || self.told.as_ref() != Some(&said.text) {
            return;
        }
        let moved = !self.spot().is_same(before);
        let typed = was_typing && self.mode == super::Mode::Key;
        if moved || typed {
            self.message = Message::default();
            self.told = None;
        }
    }
}
