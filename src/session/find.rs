//! Find: part of a label is typed and the cursor of the place goes along. Esc leads back to exactly
//! where it began; no place is left for it.

use super::Session;
use super::keys::Place;
use super::mode::{Mode, Purpose, Words};
use super::order::Arrangement;
use super::trail::Spot;
use super::tree::RowId;
use crate::site::Ref;
use std::collections::BTreeSet;

/// Where the engineer stood when something began to be looked for.
#[derive(Clone, Debug)]
pub(super) struct Stood {
    spot: Spot,
    folded: BTreeSet<RowId>,
    arranged: Arrangement,
    page: usize,
    walk_top: usize,
    reviewed: usize,
}

/// The letters and digits of a label, signs apart.
fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

impl Session {
    /// `/`, and `g l`.
    pub(super) fn start_find(&mut self) {
        self.found_from = Some(Box::new(Stood {
            spot: self.spot(),
            folded: self.folded.clone(),
            arranged: self.arranged.clone(),
            page: self.page,
            walk_top: self.walk_top,
            reviewed: self.review.at,
        }));
        self.mode = Mode::Text(Words::new(Purpose::Find));
    }

    /// Back to where it was looked for from.
    fn stand_back(&mut self) {
        let Some(stood) = self.found_from.as_deref().cloned() else {
            return;
        };
        self.place = stood.spot.place;
        self.cursor = stood.spot.cursor;
        self.page = stood.page;
        self.walk_at = stood.spot.walk_at;
        self.walk_top = stood.walk_top;
        self.tick_at = stood.spot.tick_at;
        self.kit_at = stood.spot.kit_at;
        self.review.at = stood.reviewed;
        if self.folded != stood.folded || self.arranged != stood.arranged {
            self.folded = stood.folded;
            self.arranged = stood.arranged;
            self.rebuild_rows();
        }
    }

    /// Esc: as if nothing had been looked for.
    pub(super) fn drop_find(&mut self) {
        self.stand_back();
        self.found_from = None;
    }

    /// Enter: one stays where it was found; `g g` leads back.
    pub(super) fn take_find(&mut self) {
        let Some(stood) = self.found_from.take() else {
            return;
        };
        if !stood.spot.is_same(&self.spot()) {
            let moved = self.cursor != stood.spot.cursor;
            self.trail.keep(stood.spot);
            if !moved {
                return;
            }
            if let (Place::Walk, Some(at)) = (self.place, self.walked()) {
                self.say_tone(at);
            }
        }
    }

    /// The first row of the place, or line, that has what is typed.
    pub(super) fn show_first_match(&mut self, text: &str) {
        if plain(text).is_empty() {
            self.stand_back();
            return self.say("part of a label, such as r04 for R-04");
        }
        let found = self.matches(text);
        let noun = match self.place {
            Place::Review | Place::Kit => "row",
            _ => "line",
        };
        // A label that begins so is meant before one that has it within, or in its zone's name.
        let begins = found.iter().find(|at| self.begins(**at, text));
        match begins.or(found.first()) {
            Some(at) => {
                self.show_found(*at);
                let s = if found.len() == 1 { "" } else { "s" };
                self.say(&format!("{} {noun}{s} with {text}", found.len()));
            }
            None => self.say(&format!("no {noun} with {text}")),
        }
    }

    /// The match behind or before the one shown, round the end.
    pub(super) fn next_match(&mut self, text: &str, down: bool) {
        let found = self.matches(text);
        let here = match self.place {
            Place::Review => self.review.at.checked_sub(1),
            Place::Kit => Some(self.kit_row(&self.kit_rows())),
            _ => self.line_under(),
        };
        let next = if down {
            let behind = found.iter().find(|at| here.is_none_or(|here| **at > here));
            behind.or(found.first())
        } else {
            let before = found.iter().rev();
            let mut before = before.filter(|at| here.is_some_and(|here| **at < here));
            before.next().or(found.last())
        };
        if let Some(at) = next {
            self.show_found(*at);
        }
    }

    /// What was found is shown in the place it was looked for in: the review, the rack list and the
    /// instruments go to their own rows.
    fn show_found(&mut self, at: usize) {
        match self.place {
            Place::Review => {
                self.review.at = at + 1;
                self.page = 0;
            }
            Place::Kit => {
                if let Some(of) = self.kit_rows().into_iter().nth(at) {
                    self.kit_at = of;
                    self.page = 0;
                }
            }
            place => {
                let from = self.cursor.clone();
                self.show_line(at);
                match place {
                    Place::Rack => self.stand_on_line(),
                    Place::Walk | Place::Drawing if self.cursor != from => self.stand_on_cable(),
                    _ => {}
                }
            }
        }
    }

    /// On a line that one was on before, where one stood on it.
    fn stand_on_cable(&mut self) {
        match self.found_from.as_deref() {
            Some(stood) if stood.spot.cursor == self.cursor => {
                self.walk_at = stood.spot.walk_at.clone();
                self.walk_top = stood.walk_top;
            }
            _ if self.place == Place::Walk => self.start_walk(),
            _ => self.open_drawing(),
        }
    }

    /// Whether the label of a match begins with what is typed.
    fn begins(&self, at: usize, text: &str) -> bool {
        let label = match self.place {
            Place::Review => self.review.rows.get(at).map(|row| row.item.label.clone()),
            Place::Kit => self.kit_rows().get(at).map(|of| self.kit_name(of)),
            _ => Some(self.site.plan().lines[at].label.clone()),
        };
        label.is_some_and(|label| plain(&label).starts_with(&plain(text)))
    }

    /// Lines that have what is typed in their label or zone; in the review and among the instruments
    /// the rows there, by their places in the list.
    fn matches(&self, text: &str) -> Vec<usize> {
        let wanted = plain(text);
        if wanted.is_empty() {
            return Vec::new();
        }
        let has = |label: &str| plain(label).contains(&wanted);
        let lines = &self.site.plan().lines;
        let line_has = |at: usize| has(&lines[at].label) || has(&lines[at].zone_label);
        match self.place {
            Place::Review => {
                let rows = self.review.rows.iter();
                let own = rows.enumerate().filter(|(_, row)| {
                    has(&row.item.label)
                        || matches!(&row.item.of, Ref::Line(id)
                            if self.site.plan().line(id).is_some_and(line_has))
                });
                own.map(|(at, _)| at).collect()
            }
            Place::Kit => {
                let rows = self.kit_rows();
                let own = rows.iter().enumerate();
                own.filter(|(_, of)| has(&self.kit_name(of)))
                    .map(|(at, _)| at)
                    .collect()
            }
            _ => (0..lines.len()).filter(|at| line_has(*at)).collect(),
        }
    }
}
