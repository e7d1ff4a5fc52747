//! Taking a design back, and doing it again: edits that set what stood before. The log only grows.

use super::drawn::Drawn;
use crate::session::act::Act;
use crate::session::{Effect, Message, Session};
use crate::site::{Design, Do, Edit, Elements, EntryId, Kind, Ref, Retired};
use jiff::Timestamp;

impl Session {
    /// Whether an act is one of edits.
    pub(in crate::session) fn is_design(&self, ids: &[EntryId]) -> bool {
        let entry = ids.first().and_then(|id| self.sent(id));
        entry.is_some_and(|entry| matches!(entry.what, Do::Edit(_)))
    }

    /// Sets what stood before these edits; the ids of the edits that do so.
    fn reverse(
        &mut self,
        ids: &[EntryId],
        now: Timestamp,
    ) -> Result<(Vec<Effect>, Vec<EntryId>), String> {
        let ahead = self.elements_ahead().into_owned();
        let mut edits = Vec::new();
        let mut parent = None;
        for id in ids {
            let Some(Do::Edit(edit)) = self.sent(id).map(|entry| entry.what.clone()) else {
                continue;
            };
            let standing = ahead.standing(&edit.of).to_vec();
            // Equal designs under two stamps are one.
            if !standing.iter().all(|(_, design)| *design == edit.now) || standing.is_empty() {
                let label = ahead.label(&edit.of);
                return Err(format!("not taken back: {label} was changed since"));
            }
            let before = match edit.was.first() {
                Some((_, design)) => design.clone(),
                None => Design::Retired(Retired {
                    why: "taken back".to_owned(),
                    was: Box::new(edit.now.clone()),
                }),
            };
            if parent.is_none() {
                parent = above(&ahead, &edit.of, &before).or_else(|| place_of(&edit.of, &before));
            }
            edits.push(Edit {
                of: edit.of,
                was: standing,
                now: before,
                undoes: Some(id.clone()),
            });
        }
        let (effects, new) = self.send_edits(edits, None, now);
        self.follow(&new, parent);
        Ok((effects, new))
    }

    /// Takes a design back.
    pub(in crate::session) fn undo_design(&mut self, act: Act, now: Timestamp) -> Vec<Effect> {
        self.turn(act, now, "taken back", "r does it again")
    }

    /// Does a design again that was taken back.
    pub(in crate::session) fn redo_design(&mut self, act: Act, now: Timestamp) -> Vec<Effect> {
        self.turn(act, now, "done again", "u takes it back")
    }

    fn turn(&mut self, act: Act, now: Timestamp, word: &str, hint: &'static str) -> Vec<Effect> {
        let Act::Entries { ids, line, what } = &act;
        let again = hint.starts_with('u');
        match self.reverse(ids, now) {
            Ok((effects, new)) => {
                self.message = Message {
                    text: format!("{word}: {what}"),
                    hint,
                    alarm: false,
                };
                let turned = Act::Entries {
                    ids: new,
                    line: line.clone(),
                    what: what.clone(),
                };
                if again {
                    self.acts.push_again(turned);
                } else {
                    self.acts.keep_undone(turned, None);
                }
                effects
            }
            Err(why) => {
                self.message = Message {
                    text: why,
                    hint: "",
                    alarm: true,
                };
                Vec::new()
            }
        }
    }
}

/// Of a line that goes: the one above it on its output, where it was added from.
fn above(elements: &Elements, of: &Ref, now: &Design) -> Option<Ref> {
    if of.kind() != Kind::Line || !matches!(now, Design::Retired(_)) {
        return None;
    }
    let lines = Drawn(elements).below(Kind::Line, now.parent());
    let own = lines.iter().position(|(other, _)| other == of)?;
    let (above, _) = lines.get(own.checked_sub(1)?)?;
    Some(above.clone())
}

/// Where the cursor goes: the item, or what it hung on where it is gone.
fn place_of(of: &Ref, design: &Design) -> Option<Ref> {
    if !matches!(design, Design::Retired(_)) {
        return Some(of.clone());
    }
    match of.kind() {
        Kind::Node => Some(Ref::Line(design.parent().into())),
        Kind::Line => Some(Ref::Output(design.parent().into())),
        Kind::Output => Some(Ref::Amplifier(design.parent().into())),
        _ => None,
    }
}
