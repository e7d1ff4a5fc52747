//! Changes of the design on their way to the disk: sent as one act, they stand once the disk has them.

use super::built::Built;
use crate::session::act::{Act, New, Pending};
use crate::session::keys::Place;
use crate::session::tree::RowId;
use crate::session::{Effect, Message, Mode, Session};
use crate::site::{Do, Edit, Elements, EntryId, Kind, Ref};
use jiff::Timestamp;

impl Session {
    /// Sends changes as one act; refused ones that still wait go first, since these may lean on them.
    pub(in crate::session) fn send_design(
        &mut self,
        built: Built,
        ahead: &Elements,
        title: &str,
        why: Option<String>,
        now: Timestamp,
    ) -> Vec<Effect> {
        let edits: Vec<Edit> = built
            .changes
            .into_iter()
            .map(|(of, now)| Edit {
                was: ahead.standing(&of).to_vec(),
                of,
                now,
                undoes: None,
            })
            .collect();
        let main = built.main;
        let (effects, ids) = self.send_edits(edits, why, now);
        self.follow(&ids, main.clone());
        let line = main.and_then(|of| match of {
            Ref::Line(line) => Some(line),
            of if of.kind() == Kind::Node => {
                let design = ahead.standing(&of).first();
                design.map(|(_, design)| design.parent().into())
            }
            _ => None,
        });
        self.acts.push(Act::Entries {
            ids,
            line,
            what: title.to_owned(),
        });
        self.message = Message {
            text: format!("being written: {title}"),
            ..Message::default()
        };
        effects
    }

    pub(super) fn follow(&mut self, ids: &[EntryId], to: Option<Ref>) {
        self.desk.follow = ids
            .last()
            .cloned()
            .zip(to)
            .map(|(id, to)| (id, to, self.cursor.clone()));
    }

    pub(super) fn send_edits(
        &mut self,
        edits: Vec<Edit>,
        why: Option<String>,
        now: Timestamp,
    ) -> (Vec<Effect>, Vec<EntryId>) {
        let news = edits.into_iter().map(|edit| New {
            why: why.clone(),
            ..New::of(Do::Edit(edit))
        });
        let entries = self.entries_of(now, news.collect());
        let ids = entries.iter().map(|entry| entry.id.clone()).collect();
        (self.on_their_way(entries), ids)
    }

    /// The disk has these edits: they stand. The plan is put together once for all of them.
    pub(in crate::session) fn recorded_edits(&mut self, ids: &[EntryId]) {
        let is_edit = |pending: &Pending| {
            ids.contains(&pending.entry.id) && matches!(pending.entry.what, Do::Edit(_))
        };
        let (edits, rest): (Vec<Pending>, Vec<Pending>) = std::mem::take(&mut self.pending)
            .into_iter()
            .partition(is_edit);
        self.pending = rest;
        let Some(last) = edits.last().map(|pending| pending.entry.clone()) else {
            return;
        };
        let moved = edits
            .iter()
            .find_map(|pending| self.moved_words(&pending.entry));
        self.site
            .apply_all(edits.into_iter().map(|pending| pending.entry).collect());
        self.redraw();
        if let Some((id, to, from)) = self.desk.follow.take() {
            if !ids.contains(&id) {
                self.desk.follow = Some((id, to, from));
            } else if self.cursor == from && !matches!(self.mode, Mode::Reading(_))
                || self.row_at(&self.cursor).is_none()
            {
                // Never away from a line that a figure is being typed for.
                self.go_to_item(&to);
            }
        }
        let turned = ["taken back", "done again"];
        let turned = turned.iter().any(|it| self.message.text.starts_with(it));
        if let Some(what) = self.acts.title_of(&last.id).filter(|_| !turned) {
            let (clock, what) = (self.clock(last.at), what.to_owned());
            let since = self.redrawn_words(ids).or(moved);
            self.message = Message {
                alarm: since.is_some(),
                text: format!("recorded {clock}  {what}{}", since.unwrap_or_default()),
                hint: "u takes it back",
            };
        }
    }

    /// Puts the cursor on an item, where it has a row.
    pub(in crate::session) fn go_to_item(&mut self, of: &Ref) {
        match of {
            // What comes next is a line, and lines hang on outputs.
            Ref::Amplifier(id) => {
                let own = RowId::Amplifier(id.clone());
                let amplifier = self.site.plan().amplifiers.iter().find(|it| it.id == *id);
                let outputs = amplifier.map_or(0..0, |it| it.outputs.clone());
                if !outputs.is_empty() {
                    self.show_output(outputs.start);
                } else if self.row_at(&own).is_some() {
                    self.cursor = own;
                }
            }
            Ref::Output(id) => {
                let at = self.site.plan().outputs.iter().position(|it| it.id == *id);
                if let Some(at) = at {
                    self.show_output(at);
                }
            }
            Ref::Line(id) => {
                if let Some(at) = self.site.plan().line(id) {
                    self.show_line(at);
                }
            }
            Ref::Node(id) => {
                let lines = &self.site.plan().lines;
                if let Some(at) = lines.iter().position(|line| line.node(id).is_some()) {
                    self.show_line(at);
                    self.walk_at = id.clone();
                }
            }
            Ref::Instrument(_) | Ref::Visit(_) | Ref::Figure(_)
                if self.stands_in() == Place::Kit =>
            {
                self.kit_at = of.clone();
            }
            _ => {}
        }
    }
}
