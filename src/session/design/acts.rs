//! Designing at the keyboard: an entry begins, changes what it adds, is refused or sent.

use super::built::Built;
use super::drawn::Drawn;
use super::refused::Refused;
use super::sound::sound;
use super::taken::Typed;
use super::thing::Thing;
use super::typed::quoted;
use super::{build, change, describe, gone, retap};
use crate::quantity::show;
use crate::session::keys::Place;
use crate::session::mode::{Mode, Purpose, Words};
use crate::session::tree::RowId;
use crate::session::{Effect, Message, Session};
use crate::site::{Design, Do, Elements, EntryId, Kind, LineId, Ref, TRIED_OUT};
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
    /// The page of the panel that was looked at before a reading was begun.
    pub page_under: Option<usize>,
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
        if let Cow::Owned(elements) = &mut out {
            elements.look();
        }
        out
    }

    /// The item under the cursor.
    pub(in crate::session) fn item(&self) -> Ref {
        if self.stands_in() == Place::Kit {
            return self.kit_at.clone();
        }
        match &self.cursor {
            RowId::Site => Ref::Site,
            RowId::WholeZone(id) => Ref::Zone(id.clone()),
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
            _ => Ok(Built::default()),
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
                // What belongs to another kind of thing is one key away from it.
                let advice = match (&refused, purpose) {
                    (Refused::NotHere { .. }, Purpose::Add(..)) => ": Tab changes what is added",
                    _ => "",
                };
                self.message = Message {
                    text: format!("{refused}{advice}"),
                    hint: "",
                    alarm: true,
                };
                return Vec::new();
            }
        };
        if self.asks_of_volts(&ahead, &built) {
            return Vec::new();
        }
        if let Purpose::Add(thing, _) = purpose {
            let like = Typed::rows(text).ok().and_then(|mut rows| {
                let like = rows.pop()?.name('l')?;
                Some(format!("l:{}", quoted(&like)))
            });
            self.desk.last = Some((*thing, like.unwrap_or_default()));
        }
        let why = match purpose {
            Purpose::TryOut(_) => Some(format!("{TRIED_OUT}{}", text.trim())),
            _ => None,
        };
        let title = self.design_title(purpose, text, &ahead, &built);
        self.mode = Mode::Key;
        self.send_design(built, &ahead, &title, why, now)
    }

    fn design_title(
        &self,
        purpose: &Purpose,
        text: &str,
        ahead: &Elements,
        built: &Built,
    ) -> String {
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
                // What was not said and could not be taken from above is said to be missing.
                let no_run = built.changes.iter().any(|(of, now)| {
                    ahead.standing(of).is_empty()
                        && kind == Some(Kind::Node)
                        && now.node().is_some_and(|it| it.run.is_none())
                });
                let run = if no_run {
                    ", run not known: e says it"
                } else {
                    ""
                };
                match (new, kind) {
                    (2.., _) if *thing == Thing::Junction => {
                        format!("added: {new} joint boxes, the last {own}{run}")
                    }
                    (2.., _) => {
                        let new = show::count(new, thing.word());
                        format!("added: {new}, the last {own}{run}")
                    }
                    (_, Some(Kind::Line)) if nodes > 0 => {
                        format!("added: {own} with {nodes} places")
                    }
                    _ => format!("added: {own}{run}"),
                }
            }
            Purpose::Change(of) => {
                let others = built.changes.iter().filter(|(other, _)| {
                    other != of && other.kind() == Kind::Node && !ahead.standing(other).is_empty()
                });
                let labels = others.filter_map(|(_, now)| Some(now.label()?.to_owned()));
                let others: Vec<String> = labels.collect();
                let line = |elements: &Elements| {
                    let design = elements.standing(of).first();
                    design.map(|(_, design)| design.parent().to_owned())
                };
                let stays = of.kind() == Kind::Node && line(ahead) == line(&after);
                let closed = match others.is_empty() || !stays {
                    true => String::new(),
                    false => format!("; {} closes up behind it", show::few(&others, 3)),
                };
                format!("changed: {}{closed}", name(&after, of))
            }
            Purpose::Gone(of) => format!("not there: {}", name(ahead, of)),
            Purpose::TryOut(line) => {
                let of = Ref::Line(line.clone());
                format!("{} applied to {}", text.trim(), name(ahead, &of))
            }
            _ => String::new(),
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
}
