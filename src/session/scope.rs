//! What is reviewed and signed: the whole site, an amplifier or a zone, chosen from a list that says of each
//! how much stands in its way.
//!
//! Never here: what stands in the way, which is `review`'s.

use super::keys::Place;
use super::mode::{Mode, Purpose, Words};
use super::{Effect, Session};
use crate::quantity::show;
use crate::review;
use crate::site::Ref;
use std::collections::BTreeSet;

/// What a signature is said to be first that something changed after.
pub(super) const BROKEN: &str = "BROKEN";

/// So many labels are named that something was taken back of.
const MOST_LABELS: usize = 2;

/// Something that can be signed for by itself.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Part {
    /// What it is.
    pub of: Ref,
    /// In words: `the whole site`, `amplifier A1`, `zone Palm house`.
    pub words: String,
    /// How many stand in its way.
    pub open: usize,
    /// The last signature for just this that was not withdrawn, in words.
    pub signed: Option<String>,
}

impl Session {
    /// What the review is of.
    pub(super) fn scope(&self) -> Ref {
        self.review.part.clone().unwrap_or(Ref::Site)
    }

    /// What something stands in the way of, in words: `sign-off`, or the part that is signed for.
    pub(super) fn signed_for(&self) -> String {
        match &self.review.part {
            None => "sign-off".to_owned(),
            Some(part) => review::scope_words(&self.site, part),
        }
    }

    /// The whole site again where the part has gone from the drawing: nothing stands in the way of what is
    /// not there.
    pub(super) fn keep_part(&mut self) {
        let gone = |part: &Ref| review::lines_in(&self.site, part).is_empty();
        if self.review.part.as_ref().is_some_and(gone) {
            self.review.part = None;
        }
    }

    /// `v`: the list of what can be signed for.
    pub(super) fn start_scope(&mut self) {
        let plan = self.site.plan();
        let mut known = BTreeSet::new();
        let mut all = vec![Ref::Site];
        let amplifiers = plan.amplifiers.iter();
        let fed = amplifiers.filter(|it| {
            let mut outputs = plan.outputs[it.outputs.clone()].iter();
            outputs.any(|output| !output.lines.is_empty())
        });
        all.extend(fed.map(|it| Ref::Amplifier(it.id.clone())));
        let zones = plan.lines.iter().map(|it| it.zone.clone());
        all.extend(zones.filter(|it| known.insert(it.clone())).map(Ref::Zone));
        let seals = review::seals(&self.site);
        let parts = all.into_iter().map(|of| Part {
            words: review::scope_words(&self.site, &of),
            open: review::review(&self.site, &self.analyst, &of)
                .open()
                .count(),
            signed: self.last_signature(&seals, |scope| *scope == of),
            of,
        });
        self.review.parts = parts.collect();
        self.mode = Mode::Text(Words::new(Purpose::Scope));
        self.say("Up and Down, or letters of its name; Enter takes it");
    }

    /// The last signature with such a scope that was not withdrawn, and whether it stands.
    pub(super) fn last_signature(
        &self,
        seals: &[review::SealState],
        is_meant: impl Fn(&Ref) -> bool,
    ) -> Option<String> {
        let log = self.site.log();
        let mut stand = seals
            .iter()
            .filter(|it| log.counts(&it.entry.id) && is_meant(&it.seal.scope));
        let it = stand.next_back()?;
        let (name, role) = (&it.seal.name, &it.seal.role);
        let of = match &it.seal.scope {
            Ref::Site => String::new(),
            part => format!(" for {}", review::scope_words(&self.site, part)),
        };
        if it.seal.visit != self.site.visit() && it.is_intact() {
            let visit = review::label_of(&self.site, &Ref::Visit(it.seal.visit.clone()));
            let at = self.day_and_clock(it.entry.at);
            return Some(format!(
                "this visit is not signed; {visit} was{of}, {at} by {name}: nothing changed since"
            ));
        }
        // What is cut off where there is no room is never that it does not stand.
        if it.standing(&self.site) == review::Standing::TakenBack {
            let (at, labels) = (self.day_or_clock(it.entry.at), it.labels(&self.site));
            let labels = show::few(&labels, MOST_LABELS);
            return Some(format!(
                "signed {at}{of}, figures as sealed: {labels} changed and taken back; by {name}"
            ));
        }
        let changes = match it.breaks.len() {
            0 => {
                let at = self.day_or_clock(it.entry.at);
                return Some(match of.is_empty() {
                    true => format!("signed {at} by {name}, {role}: nothing changed since"),
                    // What it is for before as what: both have no room in a row.
                    false => format!("signed {at}{of} by {name}: nothing changed since"),
                });
            }
            1 => "1 change".to_owned(),
            count => format!("{count} changes"),
        };
        let at = self.day_and_clock(it.entry.at);
        // What has no room is the end of what it was for, never a figure.
        Some(format!(
            "{BROKEN}, {changes} since {at}: signed by {name}{of}"
        ))
    }

    /// Whether this is a part as the list writes it: what is typed next takes its place.
    pub(super) fn is_a_part(&self, text: &str) -> bool {
        self.review.parts.iter().any(|part| part.words == text)
    }

    /// The part that these letters mean: its words, its label, else the first that has them.
    pub(super) fn meant_part(&self, text: &str) -> Option<usize> {
        let parts = &self.review.parts;
        let typed = text.trim().to_lowercase();
        if typed.is_empty() {
            let now = self.scope();
            return parts.iter().position(|part| part.of == now);
        }
        let find = |fits: &dyn Fn(&str) -> bool| {
            let mut all = parts.iter();
            all.position(|part| fits(&part.words.to_lowercase()))
        };
        find(&|words| words == typed)
            .or_else(|| find(&|words| words.split_once(' ').is_some_and(|it| it.1 == typed)))
            .or_else(|| {
                find(&|words| {
                    words
                        .split_once(' ')
                        .is_some_and(|it| it.1.starts_with(&typed))
                })
            })
            .or_else(|| find(&|words| words.contains(&typed)))
    }

    /// Up and Down in the list.
    pub(super) fn step_part(&self, words: &mut Words, down: bool) {
        let last = self.review.parts.len().saturating_sub(1);
        let at = match (self.meant_part(&words.text), down) {
            (None, _) => 0,
            (Some(at), true) => (at + 1).min(last),
            (Some(at), false) => at.saturating_sub(1),
        };
        if let Some(part) = self.review.parts.get(at) {
            words.text.clone_from(&part.words);
            words.caret = part.words.chars().count();
        }
    }

    /// Enter: the review is of that part from now on.
    pub(super) fn take_part(&mut self, text: &str) -> Vec<Effect> {
        let Some(at) = self.meant_part(text) else {
            return self.alarm(format!(
                "no amplifier or zone is called {text}: Up and Down go through them"
            ));
        };
        let of = self.review.parts[at].of.clone();
        self.review.part = Some(of).filter(|of| *of != Ref::Site);
        self.mode = Mode::Key;
        self.review.at = 0;
        self.go_review();
        Vec::new()
    }

    /// What the list of parts is open for, as typed so far.
    pub(super) fn choosing(&self) -> Option<&str> {
        match &self.mode {
            Mode::Text(words)
                if words.purpose == Purpose::Scope && self.stands_in() == Place::Review =>
            {
                Some(&words.text)
            }
            _ => None,
        }
    }

    /// In the review of a part: the first row of an item that waits for nothing outside of it.
    pub(super) fn stand_within_part(&mut self, item: &str) {
        let Some(part) = &self.review.part else {
            return;
        };
        let lines = review::lines_in(&self.site, part);
        let rows = self.tick_rows();
        let within = rows.iter().find(|row| {
            row.id.item == item
                && row.stands.waits()
                && !row.lines.is_empty()
                && row.lines.iter().all(|at| lines.contains(at))
        });
        if let Some(id) = within.map(|row| row.id.clone()) {
            self.tick_at = id;
        }
    }
}
