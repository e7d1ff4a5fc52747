//! Designing at the keyboard: an entry begins, changes what it adds, is refused or sent.

use super::build::{self, Built};
use super::{Drawn, Refused, Thing, change, describe, gone, pasted, retap, sound};
use crate::session::act::{Act, Pending};
use crate::session::keys::Place;
use crate::session::mode::{Mode, Purpose, Words};
use crate::session::tree::RowId;
use crate::session::{Effect, Message, Session};
use crate::site::{Design, Do, Edit, Elements, Entry, EntryId, Kind, LineId, Ref};
use jiff::Timestamp;
use std::borrow::Cow;

/// What designing remembers between keys.
#[derive(Debug, Default)]
pub(in crate::session) struct Desk {
    /// Where the cursor goes when this entry is on the disk, if it still stands where it stood.
    pub follow: Option<(EntryId, Ref, RowId)>,
    /// What was added last, and what was said of a line that it is like.
    pub last: Option<(Thing, String)>,
    /// What is tried out, reckoned once for its words.
    pub trial: Option<Box<Trying>>,
}

/// A trial and the words it is of.
#[derive(Debug)]
pub(in crate::session) struct Trying {
    pub line: LineId,
    pub text: String,
    pub came: Result<(retap::Tried, crate::analysis::Trial), Refused>,
}

impl Session {
    /// The design with what is on its way to the disk.
    pub(in crate::session) fn elements_ahead(&self) -> Cow<'_, Elements> {
        let mut out = Cow::Borrowed(self.site.elements());
        for pending in &self.pending {
            if let Do::Edit(edit) = &pending.entry.what {
                let stamp = crate::site::Stamp(pending.entry.id.0.clone());
                out.to_mut()
                    .replace(&edit.of, &edit.was, stamp, edit.now.clone());
            }
        }
        out
    }

    /// The item under the cursor.
    pub(in crate::session) fn item(&self) -> Ref {
        match &self.cursor {
            RowId::Site => Ref::Site,
            RowId::Amplifier(id) => Ref::Amplifier(id.clone()),
            RowId::Output(id) => Ref::Output(id.clone()),
            RowId::Zone(_, line) => {
                let plan = self.site.plan();
                plan.line(line).map_or(Ref::Line(line.clone()), |at| {
                    Ref::Zone(plan.lines[at].zone.clone())
                })
            }
            RowId::Line(line) => {
                let node = matches!(self.place, Place::Drawing | Place::Walk)
                    .then(|| self.walk_row())
                    .filter(|row| *row > 0);
                match node {
                    Some(_) => Ref::Node(self.walk_at.clone()),
                    None => Ref::Line(line.clone()),
                }
            }
        }
    }

    fn begin(&mut self, purpose: Purpose, text: String) {
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        self.message = Message::default();
        let caret = text.chars().count();
        self.mode = Mode::Text(Words {
            purpose,
            text,
            caret,
        });
    }

    /// `a`: what belongs below the cursor.
    pub(in crate::session) fn start_add(&mut self) {
        let at = self.anchor();
        let thing = match &self.cursor {
            RowId::Zone(..) => Thing::Line,
            _ => Thing::below(&at),
        };
        self.begin(Purpose::Add(thing, at), String::new());
    }

    /// Where something new goes: at the item under the cursor; on a zone's row behind its last line.
    fn anchor(&self) -> Ref {
        let row = self.row_at(&self.cursor).and_then(|at| self.rows.get(at));
        match (&self.cursor, row) {
            (RowId::Zone(..), Some(row)) => {
                let last = row.lines.clone().next_back().unwrap_or(row.lines.start);
                Ref::Line(self.site.plan().lines[last].id.clone())
            }
            _ => self.item(),
        }
    }

    /// `e`: what stands under the cursor, as the line that is typed to have it.
    pub(in crate::session) fn start_change(&mut self) {
        let of = self.item();
        match change::text(&self.elements_ahead(), &of) {
            Some(text) => self.begin(Purpose::Change(of), text),
            None => self.say("two designs stand for it: choose one first"),
        }
    }

    /// Delete: it is not there, and why.
    pub(in crate::session) fn start_gone(&mut self) {
        let of = self.item();
        if of == Ref::Site {
            self.say("the whole site is not taken out: go to a line, or to a place of its drawing");
        } else {
            self.begin(Purpose::Gone(of), String::new());
        }
    }

    /// `h`: tries something out on the line under the cursor.
    pub(in crate::session) fn start_trial(&mut self) {
        let Some(line) = self.cursor_line() else {
            self.say("what is tried out is tried on a line: go to one first");
            return;
        };
        let first = retap::proposals(&self.elements_ahead(), &line);
        let text = first.into_iter().next().unwrap_or_default();
        self.begin(Purpose::TryOut(line), text);
    }

    /// `y`: yet another like the last; without a last, like what is under the cursor.
    pub(in crate::session) fn add_another(&mut self, now: Timestamp) -> Vec<Effect> {
        if !self.may_write() {
            self.say_read_only();
            return Vec::new();
        }
        let at = self.anchor();
        let (thing, text) = match (&self.desk.last, &at) {
            (Some(last), _) => last.clone(),
            (None, Ref::Line(line)) => {
                let label = super::label_of(&self.elements_ahead(), &Ref::Line(line.clone()));
                (Thing::Line, format!("l:{}", super::typed::quoted(&label)))
            }
            (None, of) => match self.site.elements().settled(of).and_then(Thing::of) {
                Some(thing) => (thing, String::new()),
                None => {
                    self.say("nothing was added yet: a adds something");
                    return Vec::new();
                }
            },
        };
        self.record_design(&Purpose::Add(thing, at), &text, now)
    }

    /// Tab, Up and Down in a design entry: another kind of thing, the item above, the next proposal.
    pub(in crate::session) fn step_design(&mut self, words: &mut Words, forward: bool) {
        let next = match &words.purpose {
            Purpose::Add(thing, at) => Some((Purpose::Add(thing.step(forward), at.clone()), None)),
            Purpose::Change(of) => {
                let ahead = self.elements_ahead();
                if self.is_untouched(words) {
                    let chain = self.chain();
                    let at = chain.iter().position(|it| it == of).unwrap_or(0);
                    let step = if forward { 1 } else { chain.len() - 1 };
                    let next = chain[(at + step) % chain.len()].clone();
                    change::text(&ahead, &next).map(|text| (Purpose::Change(next), Some(text)))
                } else {
                    None
                }
            }
            Purpose::TryOut(line) => {
                let all = retap::proposals(&self.elements_ahead(), line);
                let at = all.iter().position(|it| *it == words.text);
                let step = if forward { 1 } else { all.len().max(1) - 1 };
                let next = at.map_or(0, |at| (at + step) % all.len());
                all.get(next)
                    .map(|text| (words.purpose.clone(), Some(text.clone())))
            }
            _ => return,
        };
        match next {
            Some((purpose, text)) => {
                words.purpose = purpose;
                if let Some(text) = text {
                    words.caret = text.chars().count();
                    words.text = text;
                }
                self.message = Message::default();
            }
            None => self.say("Enter or Esc first: then another item can be changed"),
        }
    }

    /// Whether a change is opened and nothing of it typed.
    pub(in crate::session) fn is_untouched(&self, words: &Words) -> bool {
        match &words.purpose {
            Purpose::Change(of) => {
                change::text(&self.elements_ahead(), of).as_ref() == Some(&words.text)
            }
            _ => false,
        }
    }

    /// The item under the cursor and those it belongs to.
    fn chain(&self) -> Vec<Ref> {
        let ahead = self.elements_ahead();
        let drawn = Drawn(&ahead);
        let mut out = vec![self.item()];
        while let Some(design) = out.last().and_then(|of| drawn.standing(of)) {
            match design {
                Design::Loudspeaker(it) => {
                    out.push(Ref::Type(it.r#type.clone()));
                    out.push(Ref::Line(it.line.clone()));
                }
                Design::Junction(_) | Design::Device(_) => {
                    out.push(Ref::Line(design.parent().into()));
                }
                Design::Line(it) => {
                    out.push(Ref::Zone(it.zone.clone()));
                    out.push(Ref::Output(it.output.clone()));
                }
                Design::Output(it) => out.push(Ref::Amplifier(it.amplifier.clone())),
                Design::Amplifier(_) => out.push(Ref::Site),
                Design::Zone(_) if out.len() == 1 => {
                    let output = self.output_under();
                    let output = output.map(|at| &self.site.plan().outputs[at].id);
                    out.extend(output.map(|id| Ref::Output(id.clone())));
                }
                _ => break,
            }
        }
        out.retain(|of| drawn.standing(of).is_some());
        out
    }

    /// A proposal gives way to what is typed; a blank goes on behind it.
    pub(in crate::session) fn begin_over(&self, words: &mut Words, c: char) {
        if let Purpose::TryOut(line) = &words.purpose
            && c != ' '
            && retap::proposals(&self.elements_ahead(), line).contains(&words.text)
        {
            words.text.clear();
            words.caret = 0;
        }
    }

    /// What a design entry comes to; for the panel, and for Enter.
    pub(in crate::session) fn designed(&self, words: &Words) -> Result<Built, Refused> {
        let ahead = self.elements_ahead();
        self.built(&ahead, &words.purpose, &words.text)
    }

    fn built(&self, ahead: &Elements, purpose: &Purpose, text: &str) -> Result<Built, Refused> {
        match purpose {
            Purpose::Add(thing, at) => build::add(ahead, *thing, at, text),
            Purpose::Change(of) => change::change(ahead, of, text),
            Purpose::Gone(of) => gone::gone(ahead, of, text),
            Purpose::TryOut(line) => retap::tried(ahead, line, text).map(|it| it.built),
            Purpose::Find | Purpose::Repair(_) => Ok(Built::default()),
        }
    }

    /// Enter on a design entry: sent if it is sound, else it stays with the reason.
    pub(in crate::session) fn record_design(
        &mut self,
        purpose: &Purpose,
        text: &str,
        now: Timestamp,
    ) -> Vec<Effect> {
        let ahead = self.elements_ahead().into_owned();
        let built = self.built(&ahead, purpose, text).and_then(|built| {
            sound(&ahead, &built)?;
            Ok(built)
        });
        let built = match built {
            Ok(built) => built,
            Err(Refused::Same) if matches!(purpose, Purpose::Change(_)) => {
                self.mode = Mode::Key;
                self.say("nothing was changed");
                return Vec::new();
            }
            Err(refused) => {
                self.message = Message {
                    text: refused.to_string(),
                    hint: "",
                    alarm: true,
                };
                return Vec::new();
            }
        };
        if let Purpose::Add(thing, _) = purpose {
            let like = super::typed::rows(text).ok().and_then(|mut rows| {
                let like = rows.pop()?.name('l')?;
                Some(format!("l:{}", super::typed::quoted(&like)))
            });
            self.desk.last = Some((*thing, like.unwrap_or_default()));
        }
        let why = match purpose {
            Purpose::TryOut(_) => Some(format!("tried out: {}", text.trim())),
            _ => None,
        };
        let title = self.design_title(purpose, &ahead, &built);
        self.mode = Mode::Key;
        self.send_design(built, &ahead, &title, why, now)
    }

    fn design_title(&self, purpose: &Purpose, ahead: &Elements, built: &Built) -> String {
        let after = built.onto(ahead);
        let name = |elements: &Elements, of: &Ref| {
            let design = elements.standing(of).first().map(|(_, design)| design);
            design.map_or_else(
                || of.id().to_owned(),
                |design| describe::title(Drawn(elements), of, design),
            )
        };
        match purpose {
            Purpose::Add(thing, _) => {
                let main = built.main.as_ref();
                let own = main.map_or_else(String::new, |of| name(&after, of));
                let kind = main.map(Ref::kind);
                let same = |(of, now): &&(Ref, Design)| {
                    Some(of.kind()) == kind && Thing::of(now) == Some(*thing)
                };
                let new = built.changes.iter().filter(same).count();
                let nodes = built.changes.iter();
                let nodes = nodes.filter(|(of, _)| of.kind() == Kind::Node).count();
                match (new, kind) {
                    (2.., _) => format!("added: {new}, the last {own}"),
                    (_, Some(Kind::Line)) if nodes > 0 => {
                        format!("added: {own} with {nodes} places")
                    }
                    _ => format!("added: {own}"),
                }
            }
            Purpose::Change(of) => format!("changed: {}", name(&after, of)),
            Purpose::Gone(of) => format!("not there: {}", name(ahead, of)),
            Purpose::TryOut(line) => {
                let of = Ref::Line(line.clone());
                format!("applied to {}", name(ahead, &of))
            }
            _ => String::new(),
        }
    }

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
        let at = Timestamp::from_second(now.as_second()).unwrap_or(now);
        let several = edits.len() > 1;
        let first = format!("{}-{}", self.opening.writer, self.counter + 1);
        let mut entries = Vec::new();
        for edit in edits {
            self.counter += 1;
            entries.push(Entry {
                at,
                id: EntryId(format!("{}-{}", self.opening.writer, self.counter)),
                by: self.opening.by.clone(),
                what: Do::Edit(edit),
                act: several.then(|| first.clone()),
                row: None,
                corrects: None,
                why: why.clone(),
            });
        }
        let ids = entries.iter().map(|entry| entry.id.clone()).collect();
        let mut batch = self.take_refused(|entry| matches!(entry.what, Do::Edit(_)));
        batch.extend(entries.iter().cloned());
        self.pending
            .extend(entries.into_iter().map(|entry| Pending {
                entry,
                refused: None,
            }));
        (vec![Effect::Record(batch)], ids)
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
        self.site
            .apply_all(edits.into_iter().map(|pending| pending.entry).collect());
        self.redraw();
        if let Some((id, to, from)) = self.desk.follow.take() {
            if !ids.contains(&id) {
                self.desk.follow = Some((id, to, from));
            } else if self.cursor == from || self.row_at(&self.cursor).is_none() {
                self.go_to_item(&to);
            }
        }
        let turned = ["taken back", "done again"];
        let turned = turned.iter().any(|it| self.message.text.starts_with(it));
        if let Some(what) = self.acts.title_of(&last.id).filter(|_| !turned) {
            self.message = Message {
                text: format!("recorded {}  {what}", self.clock(last.at)),
                hint: "u takes it back",
                alarm: false,
            };
        }
    }

    /// Puts the cursor on an item, where it has a row.
    pub(in crate::session) fn go_to_item(&mut self, of: &Ref) {
        match of {
            Ref::Amplifier(id) => {
                let own = RowId::Amplifier(id.clone());
                let alone = self.site.plan().amplifiers.iter().find(|it| it.id == *id);
                let outputs = alone.map_or(0..0, |it| it.outputs.clone());
                if self.row_at(&own).is_some() {
                    self.cursor = own;
                } else if outputs.len() == 1 {
                    self.show_output(outputs.start);
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
            _ => {}
        }
    }

    /// A paste into a design entry: rows of a table become what would be typed, to be seen first.
    pub(in crate::session) fn paste_design(&self, words: &Words, text: &str) -> Option<String> {
        match &words.purpose {
            Purpose::Add(thing, _) => pasted::typed(*thing, text),
            _ => None,
        }
    }

    /// What is tried out is reckoned once for its words, on a copy of the site.
    pub(in crate::session) fn try_out(&mut self) {
        let trying = match &self.mode {
            Mode::Text(words) => match &words.purpose {
                Purpose::TryOut(line) => Some((line.clone(), words.text.clone())),
                _ => None,
            },
            _ => None,
        };
        let Some((line, text)) = trying else {
            self.desk.trial = None;
            return;
        };
        let known = self.desk.trial.as_ref();
        if known.is_some_and(|it| it.line == line && it.text == text) {
            return;
        }
        let ahead = self.elements_ahead().into_owned();
        let came = retap::tried(&ahead, &line, &text).and_then(|tried| {
            sound(&ahead, &tried.built)?;
            let read_anew = if tried.retapped {
                vec![line.clone()]
            } else {
                Vec::new()
            };
            let trial = crate::analysis::Trial::of(&self.site, &tried.built.changes, &read_anew);
            Ok((tried, trial))
        });
        self.desk.trial = Some(Box::new(Trying { line, text, came }));
    }

    /// Whether nothing was read in this sitting: the cautions stand before the first reading.
    pub(in crate::session) fn nothing_read(&self) -> bool {
        let own = |entry: &Entry| {
            matches!(entry.what, Do::Read(_))
                && entry.id.as_str().starts_with(self.opening.writer.as_str())
        };
        !self.pending.iter().any(|it| own(&it.entry))
            && !self.site.log().entries().iter().rev().any(own)
    }
}
