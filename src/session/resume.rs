//! Where the engineer stood: cursor, open branches, what was half typed. Text for the user's state
//! folder, never for the site file.

use super::keys::Place;
use super::mode::{Draft, DraftKind, Mode, Words};
use super::order::Arrangement;
use super::tick_row::TickId;
use super::tree::RowId;
use super::{Message, Session};
use crate::site::{Do, Entry, EntryId, InstrumentId, NodeId, Ref, in_order};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Where the engineer stood.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resume {
    /// Version of this text.
    pub version: u32,
    /// The row the cursor was on.
    pub cursor: RowId,
    /// Branches that were folded.
    pub folded: BTreeSet<RowId>,
    /// What was half typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draft: Option<Draft>,
    /// Words of a repair that were half typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<Words>,
    /// Page of the panel.
    pub page: usize,
    /// Where on its cable the line under the cursor was being walked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walking: Option<NodeId>,
    /// The place worked in.
    #[serde(default)]
    pub place: Place,
    /// The row of instruments, visits and figures, where those were open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kit: Option<Ref>,
    /// The row of the rack list, where that was open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ticking: Option<TickId>,
    /// Whether the review was open.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub reviewing: bool,
    /// What the review's row was about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reviewed: Option<Ref>,
    /// What the review was of, where that was a part of the site.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Ref>,
    /// Order and filter.
    #[serde(default)]
    pub arranged: Arrangement,
    /// Instruments chosen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub chosen: Vec<InstrumentId>,
    /// Entries of the act done last: the next sitting may still take it back.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub last: Vec<EntryId>,
    /// What copies in the folder hold, as it was told.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub offered: Vec<String>,
}

impl Resume {
    /// The version written now.
    pub const VERSION: u32 = 1;

    /// The text that [`Self::from_text`] reads.
    #[must_use]
    pub fn to_text(&self) -> String {
        ron::to_string(self).unwrap_or_default()
    }

    /// From text. A text of another version, or damaged, is no place to stand: the engineer starts
    /// at the first unread line, and nothing recorded is touched by that.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        ron::from_str::<Self>(text)
            .ok()
            .filter(|resume| resume.version == Self::VERSION)
    }
}

/// What is half typed, and the entry that its Enter may have made.
enum Half<'a> {
    Draft(&'a Draft),
    Words(&'a Words),
}

impl Session {
    /// Stands where the engineer stood; without that, at the first unread line.
    pub(super) fn stand(&mut self, resume: Option<Resume>) {
        let resumed = resume.is_some();
        let resume = resume.unwrap_or_default();
        self.tour = !resumed && self.may_write();
        self.folded = resume.folded;
        self.page = resume.page;
        self.arranged = resume.arranged;
        self.chosen = resume.chosen;
        self.offers_told = resume.offered;
        self.take_up_acts(&resume.last);
        self.rebuild_rows();
        if resumed && self.row_at(&resume.cursor).is_some() {
            self.cursor = resume.cursor;
        } else {
            match self.next_unread(None) {
                Some(line) => self.show_line(line),
                None => self.cursor = RowId::Site,
            }
        }
        if let Some(node) = resume.walking
            && self.walked().is_some()
        {
            self.place = Place::Walk;
            self.walk_at = node;
        }
        if let Some(row) = resume.ticking
            && self.amplifier_under().is_some()
        {
            self.place = Place::Rack;
            self.tick_at = row;
        }
        self.review.part = resume.part;
        self.keep_part();
        if resume.reviewing {
            self.go_review();
            self.stand_on_item(resume.reviewed.as_ref());
        }
        self.stand_in(resume.place, resume.kit);
        if let Some(draft) = self.still_typed(resume.draft, &resume.last)
            && self.may_write()
            && (draft.kind == DraftKind::Check || self.site.plan().line(&draft.line).is_some())
        {
            self.mode = Mode::Reading(draft);
        }
        if let Some(mut words) = self.still_said(resume.words, &resume.last)
            && self.may_write()
            && words
                .purpose
                .line()
                .is_none_or(|line| self.site.plan().line(line).is_some())
        {
            // Wherever a damaged text put the caret, it stands within the words.
            words.step(0);
            self.mode = Mode::Text(words);
        }
        self.say_where();
        self.say_resumed_draft();
        self.say_resumed_words();
        self.clamp();
    }

    /// Says what stands now and what waits, for whoever comes back to the screen.
    fn say_where(&mut self) {
        let plan = self.site.plan();
        if plan.amplifiers.is_empty() {
            return self.say("nothing stands here yet: a adds an amplifier; ? shows every key");
        }
        let read = (0..plan.lines.len())
            .filter(|at| self.analyst.line(*at).is_read())
            .count();
        let last = self.site.log().last_read();
        let last = last.map(|entry| {
            let title = self.title(entry).replacen(" reads ", ": ", 1);
            let when = match self.date(entry.at) == self.date(self.opening.at) {
                true => format!(" at {}", self.clock(entry.at)),
                false => format!(", {}", self.day(entry.at)),
            };
            format!(", last {title}{when}")
        });
        let next = self
            .next_unread(None)
            .map(|at| plan.lines[at].label.as_str());
        let next = next.map_or_else(String::new, |label| format!(", next unread {label}"));
        let text = format!(
            "{read} of {} lines read{}{next}",
            plan.lines.len(),
            last.unwrap_or_default()
        );
        self.say(&text);
    }

    /// A half entry that was brought back would take the next keys: it is said aloud.
    fn say_resumed_draft(&mut self) {
        if let Mode::Reading(draft) = &self.mode {
            let label = self.label_of(&draft.line);
            // The caution it was begun with is as true as it was then.
            let caution = self.caution_of_draft(draft);
            self.message = Message {
                text: format!(
                    "half typed for {label}: {}  Enter records it, Esc drops it{caution}",
                    draft.text
                ),
                hint: "",
                alarm: true,
            };
        }
    }

    /// As [`Self::say_resumed_draft`], for a design that was half typed.
    fn say_resumed_words(&mut self) {
        if let Mode::Text(words) = &self.mode
            && words.purpose.is_design()
        {
            self.message = Message {
                text: format!("half typed: {}  Enter takes it, Esc drops it", words.text),
                hint: "",
                alarm: true,
            };
        }
    }

    /// The draft of the sitting before, unless its Enter had reached the disk: then the program went
    /// down before it could say so, and what was typed is an entry.
    pub(super) fn still_typed(&self, draft: Option<Draft>, last: &[EntryId]) -> Option<Draft> {
        draft.filter(|draft| !self.is_recorded(&Half::Draft(draft), last))
    }

    /// As [`Self::still_typed`], for words.
    pub(super) fn still_said(&self, words: Option<Words>, last: &[EntryId]) -> Option<Words> {
        words.filter(|words| !self.is_recorded(&Half::Words(words), last))
    }

    /// Whether the newest act by this hand is what stands here. One that was known when it was typed
    /// (`last`) is another: somebody reads a line again and finds the same.
    fn is_recorded(&self, half: &Half<'_>, last: &[EntryId]) -> bool {
        let entries = || self.site.log().entries().iter();
        let own = entries().filter(|entry| entry.by == self.opening.by);
        let Some(newest) = own.max_by(|a, b| in_order(a, b)) else {
            return false;
        };
        let one_act = |entry: &&Entry| {
            entry.id == newest.id || entry.act.is_some() && entry.act == newest.act
        };
        entries()
            .filter(one_act)
            .any(|entry| !last.contains(&entry.id) && half.says(entry))
    }
}

impl Half<'_> {
    fn says(&self, entry: &Entry) -> bool {
        match (self, &entry.what) {
            (Self::Draft(draft), Do::Read(read)) => {
                let kind = match read.is_dc() {
                    true => DraftKind::Dc,
                    false => DraftKind::Impedance,
                };
                let place = (&read.line, &read.cut, &entry.corrects);
                place == (&draft.line, &draft.cut, &draft.corrects)
                    && kind == draft.kind
                    && read.text == draft.figure_text()
            }
            (Self::Draft(draft), Do::Insulate(it)) => {
                draft.kind == DraftKind::Insulation
                    && it.line == draft.line
                    && it.text == draft.figure_text()
            }
            (Self::Draft(draft), Do::Check(it)) => {
                draft.kind == DraftKind::Check && it.text == draft.figure_text()
            }
            (Self::Words(words), Do::Note(it)) => it.text == words.text.trim(),
            (Self::Words(words), Do::Decide(_)) => entry.why.as_deref() == Some(words.text.trim()),
            (Self::Words(words), Do::Repair(it)) => it.what == words.text.trim(),
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::order::{Only, Order};

    #[test]
    fn where_the_engineer_stood_survives_as_text() {
        let resume = Resume {
            version: Resume::VERSION,
            cursor: RowId::Line("R-04".into()),
            folded: [RowId::Output("A1/2".into())].into(),
            draft: Some(Draft::new("R-04".into(), DraftKind::Impedance, "41x")),
            words: None,
            page: 1,
            walking: Some("R-04/LS-7".into()),
            place: Place::Kit,
            kit: Some(Ref::Figure("tolerance".into())),
            ticking: Some(TickId {
                item: "told".into(),
                line: None,
                output: None,
            }),
            reviewing: true,
            reviewed: Some(Ref::Line("R-04".into())),
            part: Some(Ref::Zone("Hall".into())),
            arranged: Arrangement {
                order: Order::Worst,
                sorted: vec!["R-04".into()],
                only: Only::Unread,
                shown: vec!["R-04".into()],
            },
            chosen: vec!["meter".into()],
            last: vec!["w-7".into()],
            offered: vec!["a copy".into()],
        };
        assert_eq!(Resume::from_text(&resume.to_text()), Some(resume));
        assert_eq!(Resume::from_text("(version: 9)"), None);
        assert_eq!(Resume::from_text("\u{0}"), None);
    }
}
