//! The walk: one line as its cable. What is heard at each loudspeaker, one key each, in the order of
//! the cable; and a split as one flow: open here, read this side, read that side, closed again.

use super::key::Key;
use super::keys::{Action, Place};
use super::mode::{Draft, DraftKind, Mode};
use super::movement::along;
use super::{Effect, Session};
use crate::site::{
    Cut, Do, Heard, LineId, Listen, NodeId, Ref, SPLIT_CLOSED, SPLIT_OPENED, Tick, TickIs,
};
use jiff::Timestamp;

impl Session {
    /// The line that is walked, by its place in the plan.
    pub(super) fn walked(&self) -> Option<usize> {
        self.cursor_line()
            .and_then(|line| self.site.plan().line(&line))
    }

    /// Begins to walk the line under the cursor, at the place where the next test tells most, else
    /// where the walk stood.
    pub(super) fn start_walk(&mut self) {
        let Some(at) = self.walked() else {
            self.say("a walk is along a line: go to one first");
            return;
        };
        if self.place != Place::Walk {
            self.page = 0;
        }
        self.place = Place::Walk;
        self.walk_top = 0;
        self.walk_went_on = None;
        let nodes = &self.site.plan().lines[at].nodes;
        if !nodes.iter().any(|node| node.id == self.walk_at) {
            self.walk_at = NodeId::rack();
        }
        let line = &self.site.plan().lines[at];
        let history = self.site.history(&line.id);
        let answers = history.answers(&self.site, &self.analyst.line(at).state);
        let unheard = |node: &usize| {
            let node = &line.nodes[*node];
            node.is_loudspeaker() && answers.iter().all(|(_, it)| it.at != node.id)
        };
        let first = self
            .next_place(at)
            .or_else(|| (0..line.nodes.len()).find(unheard));
        let first = first.map(|node| line.nodes[node].id.clone());
        if let Some(node) = first {
            self.walk_at = node;
        }
        self.say_tone(at);
    }

    /// The node where the next test of a line tells most.
    pub(super) fn next_place(&self, at: usize) -> Option<usize> {
        // No tone gets past an opened place: what is next stands there.
        if let Some(node) = &self.analyst.line(at).open_split {
            return self.site.plan().lines[at].node(node);
        }
        self.analyst.next(at)?.first()?.at
    }

    /// The row of the walk: 0 is the rack, then the nodes.
    pub(super) fn walk_row(&self) -> usize {
        let line = self.walked().map(|at| &self.site.plan().lines[at]);
        line.and_then(|line| line.node(&self.walk_at))
            .map_or(0, |node| node + 1)
    }

    fn walk_to(&mut self, row: usize) {
        let Some(at) = self.walked() else { return };
        let nodes = &self.site.plan().lines[at].nodes;
        self.walk_at = match row.min(nodes.len()).checked_sub(1) {
            Some(node) => nodes[node].id.clone(),
            None => NodeId::rack(),
        };
    }

    /// A step, a screen, an end along the cable.
    pub(super) fn travel_walk(&mut self, action: Action) {
        self.walk_went_on = None;
        let (row, screen) = (self.walk_row(), self.body_height().saturating_sub(2).max(1));
        self.walk_to(along(action, row, usize::MAX, screen));
    }

    /// Keeps the walk's row on the screen.
    pub(super) fn clamp_walk(&mut self) {
        let Some(at) = self.walked() else {
            self.place = Place::Survey;
            return;
        };
        let rows = self.site.plan().lines[at].nodes.len() + 1;
        let (row, height) = (self.walk_row(), self.body_height().saturating_sub(1).max(1));
        if row < self.walk_top {
            self.walk_top = row;
        } else if row >= self.walk_top + height {
            self.walk_top = row + 1 - height;
        }
        self.walk_top = self.walk_top.min(rows.saturating_sub(height));
    }

    /// Enter: to the place where the next test tells most.
    pub(super) fn go_to_next_place(&mut self) {
        self.walk_went_on = None;
        match self.walked().and_then(|at| self.next_place(at)) {
            Some(node) => self.walk_to(node + 1),
            None => self.say("no place is marked next"),
        }
    }

    /// One answer, and on to the next loudspeaker.
    pub(super) fn answer(&mut self, key: Key, now: Timestamp) -> Vec<Effect> {
        let gives = match key {
            Key::Char(' ') => Heard::Heard,
            Key::Char('s') => Heard::Silent,
            Key::Char('-') => Heard::Quiet,
            Key::Char('+' | '=') => Heard::Loud,
            Key::Char('z') => Heard::Distorted,
            Key::Char('c') => Heard::Noisy,
            Key::Char('p') => Heard::Reversed,
            _ => return Vec::new(),
        };
        let Some(at) = self.walked() else {
            return Vec::new();
        };
        let line = &self.site.plan().lines[at];
        let here = line
            .node(&self.walk_at)
            .filter(|node| line.nodes[*node].is_loudspeaker());
        let Some(here) = here else {
            self.say("no loudspeaker stands here: Down goes on along the cable");
            return Vec::new();
        };
        if !self.may_write() {
            self.say_read_only();
            return Vec::new();
        }
        let (id, node) = (line.id.clone(), self.walk_at.clone());
        if let Some(why) = self.unheard_of(at, here) {
            return self.alarm(why);
        }
        let after = self.after(at, here);
        if let Some(was) = self.passes(at, &node, gives) {
            let label = self.node_label(&node);
            let end = self.end_of_cable(at, here, after);
            self.walk_passed = Some(node);
            self.walk_went_on = None;
            if let Some(after) = after {
                self.walk_to(after + 1);
            }
            self.say(&match was {
                Heard::Heard => format!("{label} was heard already{end}"),
                was => format!(
                    "{label} stays {}: go back to it, and Space corrects it to heard{end}",
                    was.short_word()
                ),
            });
            return Vec::new();
        }
        self.walk_passed = None;
        let is_bad = !matches!(gives, Heard::Heard | Heard::Noisy | Heard::Reversed);
        self.walk_went_on = (is_bad && after.is_some()).then(|| node.clone());
        let tone = self.tone();
        let state = self.site.history(&id).state();
        let listen = Listen {
            line: id,
            state,
            at: node,
            gives,
            tone,
            note: None,
        };
        let end = self.end_of_cable(at, here, after);
        let effects = self.send(now, Do::Listen(listen), None);
        self.message.text.push_str(&end);
        if let Some(after) = after {
            self.walk_to(after + 1);
        }
        effects
    }

    /// Said at the last loudspeaker of the cable: where the cursor goes from there, or that it stays.
    fn end_of_cable(&self, at: usize, here: usize, after: Option<usize>) -> String {
        let nodes = &self.site.plan().lines[at].nodes;
        match after {
            Some(next) if next > here => String::new(),
            Some(next) => format!("; back to {}, unheard", nodes[next].label),
            None => "; the last: each has its answer".to_owned(),
        }
    }

    /// The same of an answer that the disk has.
    pub(super) fn after_answer(&self, listen: &Listen) -> String {
        let Some(at) = self.walked().filter(|_| self.place == Place::Walk) else {
            return String::new();
        };
        let line = &self.site.plan().lines[at];
        let here = line.node(&listen.at).filter(|_| line.id == listen.line);
        here.map_or_else(String::new, |here| {
            let after = self.after(at, here);
            // Whoever has gone on meanwhile is told nothing of where they were to go.
            let there = line.node(&self.walk_at);
            match after {
                Some(_) if there != after => String::new(),
                _ => self.end_of_cable(at, here, after),
            }
        })
    }

    /// What was answered at a loudspeaker that Space passes on from: it is no correction, but for one
    /// that was passed just before and gone back to.
    fn passes(&self, at: usize, node: &NodeId, gives: Heard) -> Option<Heard> {
        if gives != Heard::Heard || self.walk_passed.as_ref() == Some(node) {
            return None;
        }
        let line = &self.site.plan().lines[at];
        let history = self.site.history(&line.id);
        let state = self.state(&line.id);
        let answers = history.answers(&self.site, &state);
        let sent = self
            .pending
            .iter()
            .rev()
            .find_map(|it| match &it.entry.what {
                Do::Listen(listen) if listen.at == *node => {
                    (!self.is_struck_ahead(&it.entry.id)).then_some(listen.gives)
                }
                _ => None,
            });
        let known = answers.iter().find(|(_, it)| it.at == *node);
        sent.or(known.map(|(_, it)| it.gives))
            .filter(|gives| *gives != Heard::Noisy)
    }

    /// The loudspeaker to go to after one was answered for: the next along the cable; at its end the
    /// first that is still unheard, so that a walk from its middle leaves none out.
    fn after(&self, at: usize, here: usize) -> Option<usize> {
        let line = &self.site.plan().lines[at];
        let history = self.site.history(&line.id);
        let state = self.state(&line.id);
        let answers = history.answers(&self.site, &state);
        let sent = |node: &NodeId| {
            self.pending.iter().any(
                |pending| matches!(&pending.entry.what, Do::Listen(listen) if listen.at == *node),
            )
        };
        let unheard = |node: &usize| {
            let id = &line.nodes[*node].id;
            !sent(id) && answers.iter().all(|(_, it)| it.at != *id)
        };
        let is_loudspeaker = |node: &usize| line.nodes[*node].is_loudspeaker();
        (here + 1..line.nodes.len())
            .find(is_loudspeaker)
            .or_else(|| (0..here).filter(is_loudspeaker).find(unheard))
    }

    /// Opens the line before this place, or says that it is closed again.
    pub(super) fn break_here(&mut self, now: Timestamp) -> Vec<Effect> {
        let Some(at) = self.walked() else {
            return Vec::new();
        };
        if !self.may_write() {
            self.say_read_only();
            return Vec::new();
        }
        let line = self.site.plan().lines[at].id.clone();
        if let Some(node) = self.analyst.line(at).open_split.clone() {
            let effects = self.tick(SPLIT_CLOSED, &line, &node, now);
            self.say("closed again: back at the rack the line reads as before?");
            return effects;
        }
        let Some(node) = self.site.plan().lines[at].node(&self.walk_at) else {
            self.say("the rack itself is not opened here: go to a place on the cable");
            return Vec::new();
        };
        let id = self.site.plan().lines[at].nodes[node].id.clone();
        if self.asks_which_place(&id) || self.asks_to_open(at) {
            return Vec::new();
        }
        let effects = self.tick(SPLIT_OPENED, &line, &id, now);
        self.mode = Mode::Reading(Draft {
            cut: Some(Cut::Near(id.clone())),
            ..Draft::new(line, DraftKind::Impedance, "")
        });
        let here = self.node_label(&id);
        self.say(&format!(
            "proved dead? lift the incoming cores at {here}; say aloud: opened, hands clear. No tone or \
             test while hands are on it"
        ));
        effects
    }

    /// Whoever did not hear a loudspeaker and opens the line next may mean the place they stand at, which the
    /// cursor has left: asked once, before anything is said to be open.
    fn asks_which_place(&mut self, here: &NodeId) -> bool {
        let Some(from) = self.walk_went_on.take().filter(|from| from != here) else {
            return false;
        };
        let (from, here) = (self.node_label(&from), self.node_label(here));
        self.alarm(format!(
            "the cursor went on to {here}: b again opens before {here}; Up, then b: before {from}"
        ));
        true
    }

    fn tick(&mut self, item: &str, line: &LineId, node: &NodeId, now: Timestamp) -> Vec<Effect> {
        let tick = Tick {
            item: item.to_owned(),
            of: vec![Ref::Line(line.clone()), Ref::Node(node.clone())],
            visit: self.site.visit(),
            is: TickIs::Done,
        };
        self.send(now, Do::Tick(tick), None)
    }

    /// The side of an opened line that is to be read: the near one, then the far one, which is read
    /// again where both were; none of a line that is not open.
    pub(super) fn side_to_read(&self, at: usize) -> Option<Cut> {
        let node = self.open_split_ahead(at)?;
        Some(match self.sides_read(at, &node) {
            [false, _] => Cut::Near(node),
            [true, _] => Cut::Far(node),
        })
    }

    /// Whether the far side of an opening on the line that is walked was read.
    pub(super) fn far_side_was_read(&self, node: &NodeId) -> bool {
        let walked = self.walked();
        walked.is_some_and(|at| self.sides_read(at, node)[1])
    }

    /// Which sides were read since a line was opened before a node: the near, the far.
    pub(super) fn sides_read(&self, at: usize, node: &NodeId) -> [bool; 2] {
        let line = &self.site.plan().lines[at].id;
        let history = self.site.history(line);
        let sent = self.pending.iter().map(|it| &it.entry);
        let entries = history.entries().iter().copied().chain(sent);
        let mut read = [false; 2];
        for entry in entries.filter(|entry| !self.is_struck_ahead(&entry.id)) {
            match &entry.what {
                Do::Tick(tick)
                    if tick.item == SPLIT_OPENED && tick.of.contains(&Ref::Line(line.clone())) =>
                {
                    read = [false; 2];
                }
                Do::Read(it) if it.line == *line => match &it.cut {
                    Some(Cut::Near(at)) => read[0] |= at == node,
                    Some(Cut::Far(at)) => read[1] |= at == node,
                    _ => {}
                },
                _ => {}
            }
        }
        read
    }

    /// After the near side comes the far side, unless it was read already.
    pub(super) fn after_cut(&mut self, draft: &Draft) {
        let at = self.site.plan().line(&draft.line);
        if let (Some(Cut::Near(node)), Some(at)) = (&draft.cut, at)
            && self.open_split_ahead(at).as_ref() == Some(node)
            && !self.sides_read(at, node)[1]
        {
            self.mode = Mode::Reading(Draft {
                cut: Some(Cut::Far(node.clone())),
                ..Draft::new(draft.line.clone(), draft.kind, "")
            });
        }
    }
}
