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
    /// What has the text that is typed, best first, and which of it is shown.
    found: Vec<Found>,
    shown: usize,
}

/// Something that has what is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Found {
    /// A line of the plan.
    Line(usize),
    /// A row of the review or of the instruments.
    Row(usize),
    /// A place of the line that is walked or drawn.
    Node(usize),
    /// A row of the rack list.
    Tick(usize),
    /// An output of the plan.
    Output(usize),
    /// An amplifier of the plan that has several.
    Amplifier(usize),
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
            found: Vec::new(),
            shown: 0,
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

    /// The first of what has what is typed; where nothing has, one stands where it began.
    pub(super) fn show_first_match(&mut self, text: &str) {
        self.stand_back();
        let found = self.matches(text);
        let many = found.len();
        if let Some(stood) = &mut self.found_from {
            (stood.found, stood.shown) = (found, 0);
        }
        if plain(text).is_empty() {
            return self.say("part of a label, such as r04 for R-04, a4 for an amplifier");
        }
        if many == 0 {
            let noun = match self.place {
                Place::Review | Place::Kit => "row",
                Place::Walk | Place::Drawing if !self.racks_with(text).is_empty() => {
                    return self.say(&format!(
                        "no place or line with {text}; amplifiers are found in the survey: g s, then /"
                    ));
                }
                Place::Walk | Place::Drawing => "place or line",
                Place::Rack => "row, line or amplifier",
                _ => "line or amplifier",
            };
            return self.say(&format!("no {noun} with {text}: nothing has moved"));
        }
        let all = |is: fn(&Found) -> bool| {
            let stood = self.found_from.as_deref();
            stood.is_some_and(|stood| stood.found.iter().all(is))
        };
        let noun = match self.place {
            Place::Review | Place::Kit => "row",
            Place::Survey | Place::Building | Place::Amplifier
                if all(|it| matches!(it, Found::Line(_))) =>
            {
                "line"
            }
            _ => "found",
        };
        self.show_found();
        let s = if many == 1 || noun == "found" {
            ""
        } else {
            "s"
        };
        self.say(&format!("{many} {noun}{s} with {text}"));
    }

    /// The match behind or before the one shown, round the end.
    pub(super) fn next_match(&mut self, down: bool) {
        let Some(stood) = self.found_from.as_mut().filter(|it| !it.found.is_empty()) else {
            return;
        };
        let many = stood.found.len();
        stood.shown = (stood.shown + if down { 1 } else { many - 1 }) % many;
        self.stand_back();
        self.show_found();
    }

    /// What was found is shown in the place it was looked for in.
    fn show_found(&mut self) {
        let Some(stood) = &self.found_from else {
            return;
        };
        match stood.found.get(stood.shown).copied() {
            Some(Found::Row(at)) if self.place == Place::Review => {
                self.review.at = at + 1;
                self.page = 0;
            }
            Some(Found::Row(at)) => {
                if let Some(of) = self.kit_rows().into_iter().nth(at) {
                    self.kit_at = of;
                    self.page = 0;
                }
            }
            Some(Found::Node(at)) => {
                let line = self.walked().map(|line| &self.site.plan().lines[line]);
                if let Some(node) = line.and_then(|line| line.nodes.get(at)) {
                    self.walk_at = node.id.clone();
                }
            }
            Some(Found::Tick(at)) => {
                if let Some(id) = self.tick_rows().get(at).map(|row| row.id.clone()) {
                    self.tick_at = id;
                }
            }
            Some(Found::Line(at)) => {
                let from = self.cursor.clone();
                self.show_line(at);
                match self.place {
                    Place::Rack => self.stand_on_line(),
                    Place::Walk | Place::Drawing if self.cursor != from => self.stand_on_cable(),
                    _ => {}
                }
            }
            Some(Found::Output(at)) => self.show_rack_row(at, None),
            Some(Found::Amplifier(at)) => {
                let made = &self.site.plan().amplifiers[at];
                let (first, id) = (made.outputs.start, made.id.clone());
                self.show_rack_row(first, Some(RowId::Amplifier(id)));
            }
            None => {}
        }
    }

    /// The cursor on an output, or on the amplifier that has it; where neither has a row, since lines stand
    /// by zone or worst first, on the first line of the output.
    fn show_rack_row(&mut self, output: usize, amplifier: Option<RowId>) {
        self.show_output(output);
        let wanted = amplifier.unwrap_or_else(|| self.cursor.clone());
        if self.row_at(&wanted).is_none() {
            self.end_filter();
            self.show_output(output);
        }
        let mut lines = self.site.plan().outputs[output].lines.clone();
        match (self.row_at(&wanted), lines.next()) {
            (None, Some(line)) => self.show_line(line),
            _ => self.cursor = wanted,
        }
        if self.place == Place::Rack {
            self.stand_on_first_due();
        }
    }

    /// The cursor of the rack list on the first row that waits, else on its first.
    fn stand_on_first_due(&mut self) {
        let rows = self.tick_rows();
        let row = rows.iter().find(|row| row.is_due()).or(rows.first());
        self.tick_at = row.map(|row| row.id.clone()).unwrap_or_default();
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

    /// How well a label answers to what is typed: it is that, begins so, has it within.
    fn rank(label: &str, wanted: &str) -> Option<i32> {
        let label = plain(label);
        match label.find(wanted) {
            Some(0) if label == wanted => Some(0),
            Some(0) => Some(1),
            Some(_) => Some(2),
            None => None,
        }
    }

    /// Amplifiers and outputs that have what is typed: an amplifier of one output is that output, and where
    /// amplifiers have no row of their own outputs alone are looked through.
    fn racks_with(&self, text: &str) -> Vec<(Option<i32>, Found)> {
        let wanted = plain(text);
        if wanted.is_empty() {
            return Vec::new();
        }
        let plan = self.site.plan();
        let mut out = Vec::new();
        for (nth, made) in plan.amplifiers.iter().enumerate() {
            let own = Self::rank(&made.label, &wanted);
            let several = made.outputs.len() > 1;
            if several && self.place == Place::Survey {
                out.push((own, Found::Amplifier(nth)));
            }
            for at in made.outputs.clone() {
                let label = &plan.outputs[at].label;
                let whole = Self::rank(&format!("{} out {label}", made.label), &wanted);
                let short = Self::rank(&format!("{} {label}", made.label), &wanted);
                let alone = own.filter(|_| !several);
                let best = [whole, short, alone].into_iter().flatten().min();
                out.push((best, Found::Output(at)));
            }
        }
        out.retain(|(rank, _)| rank.is_some());
        // The rack list is one of an amplifier: of its outputs the best stands for it.
        if self.place == Place::Rack {
            let mut seen = BTreeSet::new();
            out.sort_by_key(|(rank, _)| *rank);
            out.retain(|(_, it)| match it {
                Found::Output(at) => seen.insert(
                    plan.amplifiers
                        .iter()
                        .position(|it| it.outputs.contains(at)),
                ),
                _ => true,
            });
        }
        out
    }

    /// What has what is typed, from where it began: of each kind that the place looks through those
    /// whose label is it, then those that begin so, then those that have it within, or in their zone's
    /// name.
    fn matches(&self, text: &str) -> Vec<Found> {
        let wanted = plain(text);
        if wanted.is_empty() {
            return Vec::new();
        }
        let rank = |label: &str| Self::rank(label, &wanted);
        let lines = &self.site.plan().lines;
        let line = |at: usize| {
            let zone = rank(&lines[at].zone_label).map(|_| 2);
            rank(&lines[at].label).or(zone)
        };
        let all_lines = (0..lines.len()).map(|at| (line(at), Found::Line(at)));
        let mut ranked: Vec<(Option<i32>, Found)> = match self.place {
            Place::Review => {
                let rows = self.review.rows.iter().enumerate();
                rows.map(|(at, row)| {
                    let of_line = match &row.item.of {
                        Ref::Line(id) => self.site.plan().line(id).and_then(line).map(|_| 2),
                        _ => None,
                    };
                    (rank(&row.item.label).or(of_line), Found::Row(at))
                })
                .collect()
            }
            Place::Kit => {
                let rows = self.kit_rows();
                let rows = rows.iter().enumerate();
                rows.map(|(at, of)| (rank(&self.kit_name(of)), Found::Row(at)))
                    .collect()
            }
            Place::Walk | Place::Drawing => {
                let walked = self.walked().map(|at| lines[at].nodes.as_slice());
                let nodes = walked.unwrap_or_default().iter().enumerate();
                nodes
                    .map(|(at, node)| (rank(&node.label), Found::Node(at)))
                    .chain(all_lines)
                    .collect()
            }
            Place::Rack => {
                let rows = self.tick_rows();
                let rows = rows.iter().enumerate();
                let rows = rows.map(|(at, row)| (rank(row.item.words), Found::Tick(at)));
                let racks = self.racks_with(text);
                all_lines.chain(rows).chain(racks).collect()
            }
            _ => all_lines.chain(self.racks_with(text)).collect(),
        };
        ranked.sort_by_key(|(rank, _)| *rank);
        let found = ranked.into_iter().filter(|(rank, _)| rank.is_some());
        found.map(|(_, it)| it).collect()
    }
}
