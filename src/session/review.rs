//! The review: what stands in the way of signing, worst first as it stood when it was asked for, the
//! word that settles each, the signature. What it lists is `review`'s; a word and a seal are entries.
//!
//! Never here: whether something is safe. A signature says what was measured and decided.

use super::act::New;
use super::keys::{Action, Place};
use super::mode::{Mode, Purpose, Words};
use super::movement::along;
use super::reasons::snag;
use super::review_takes::{may_be_accepted, settled_by, takes_a_word};
use super::reviewed::{Row, key};
use super::tree::RowId;
use super::{Effect, Message, Session};
use crate::review::{self, Item, Matter, Why};
use crate::site::{Decision, Do, LISTS, Ref};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

impl Session {
    /// `g v`: the list as it stands now, worst first; the cursor stays on its item.
    pub(super) fn go_review(&mut self) {
        let under = self.review.under().map(|row| key(&row.item));
        self.keep_part();
        let items = review::review(&self.site, &self.analyst, &self.scope()).items;
        self.review.at = under
            .and_then(|under| items.iter().position(|item| key(item) == under))
            .map_or_else(
                || usize::from(items.first().is_some_and(|item| item.open)),
                |at| at + 1,
            );
        let rows = items.into_iter().map(|item| Row {
            above: item.open,
            item,
            gone: false,
        });
        self.review.rows = rows.collect();
        self.place = Place::Review;
        self.page = 0;
        self.look_again();
        if self.review.in_the_way() == 0 {
            self.review.at = 0;
        }
        let words = match (self.review.in_the_way(), self.review.part.is_some()) {
            (0, _) => self.nothing_in_the_way(),
            (_, false) => "worst first, as it stands now; g v asks again".to_owned(),
            (count, true) => format!(
                "{count} in the way of {}, worst first; v chooses another part",
                self.signed_for()
            ),
        };
        self.say(&words);
    }

    /// The cursor on the first row about this; where there is none, on that of the signature.
    pub(super) fn stand_on_item(&mut self, of: Option<&Ref>) {
        let rows = &self.review.rows;
        let at = of.and_then(|of| rows.iter().position(|row| row.item.of == *of));
        self.review.at = at.map_or(0, |at| at + 1);
    }

    /// The items anew, each in its row: what is settled now stays where it was, what came since stands
    /// behind what stood in the way.
    pub(super) fn look_again(&mut self) {
        if self.stands_in() != Place::Review {
            return;
        }
        self.keep_part();
        let now = review::review(&self.site, &self.analyst, &self.scope()).items;
        let list = &mut self.review;
        let found: BTreeMap<_, &Item> = now.iter().map(|item| (key(item), item)).collect();
        for row in &mut list.rows {
            match found.get(&key(&row.item)) {
                Some(item) => {
                    row.item = (*item).clone();
                    row.gone = false;
                }
                None => row.gone = true,
            }
        }
        let known: BTreeSet<_> = list.rows.iter().map(|row| key(&row.item)).collect();
        for item in now.into_iter().filter(|item| !known.contains(&key(item))) {
            let at = match item.open {
                true => list.rows.iter().take_while(|row| row.above).count(),
                false => list.rows.len(),
            };
            list.at += usize::from(at < list.at);
            let above = item.open;
            let row = Row {
                item,
                above,
                gone: false,
            };
            list.rows.insert(at, row);
        }
        let seals = review::seals(&self.site);
        // One that was withdrawn stays in the record, and signs nothing any more; one for the whole site
        // is for each part of it.
        let scope = self.scope();
        self.review.signed = self.last_signature(&seals, |of| *of == scope || *of == Ref::Site);
    }

    /// For the header: of what, and how far it is from the signature.
    pub(super) fn review_state(&self) -> String {
        let of = match &self.review.part {
            None => "review".to_owned(),
            Some(_) => format!("review of {}", self.signed_for()),
        };
        match self.review.in_the_way() {
            0 => format!("{of}, nothing in the way"),
            count => format!("{of}, {count} in the way"),
        }
    }

    /// That it can be signed.
    pub(super) fn nothing_in_the_way(&self) -> String {
        format!(
            "nothing stands in the way of {}: Enter signs",
            self.signed_for()
        )
    }

    /// A step, a screen, an end along the list.
    pub(super) fn travel_review(&mut self, action: Action) {
        let (at, last) = (self.review.at, self.review.rows.len());
        let screen = (self.body_height() / 2).max(1);
        self.review.at = along(action, at, last, screen);
        self.page = 0;
    }

    /// The item under the cursor, where a word can be said on it; says why not.
    fn worded(&mut self) -> Option<Item> {
        if !self.may_write() {
            self.say_read_only();
            return None;
        }
        let Some(row) = self.review.under() else {
            self.say(
                "this row is the signature: Enter signs, as soon as nothing stands in the way",
            );
            return None;
        };
        let item = row.item.clone();
        let waits = match &item.of {
            Ref::Line(line) => self.is_waiting(line),
            _ => false,
        };
        let why = if row.gone {
            "it stands in nobody's way any more".to_owned()
        } else if !takes_a_word(item.matter) {
            format!("no word settles this: {}", settled_by(item.matter))
        } else if waits {
            "its last entry is not on the disk yet: a word covers what is known".to_owned()
        } else {
            return Some(item);
        };
        self.say(&why);
        None
    }

    /// Space: accepted, with a reason.
    pub(super) fn start_accept(&mut self) {
        let Some(item) = self.worded() else { return };
        if !may_be_accepted(item.matter) {
            return self
                .say("what was not done is not accepted: l leaves it for later, with a reason");
        }
        if item.matter == Matter::Off && self.is_read_wrong(&item.of) {
            return self.say(
                "a word on what it reads does not keep it OFF: back on and ticked (Enter), or left open (l)",
            );
        }
        self.mode = Mode::Text(Words::new(Purpose::Accept(item.of)));
        self.say(match item.matter {
            Matter::Flagged(Why::Stop) => {
                "why it stays as it is; it must not be connected, and counts as settled only OFF"
            }
            _ => "why it stays as it is, in a few words",
        });
    }

    /// Whether a line is flagged for what it reads, and may be used all the same.
    fn is_read_wrong(&self, of: &Ref) -> bool {
        let mut rows = self.review.rows.iter().filter(|row| row.item.of == *of);
        rows.any(|row| match row.item.matter {
            Matter::Flagged(why) => !matches!(why, Why::Stop | Why::NotReadAgain | Why::Question),
            _ => false,
        })
    }

    /// `l`: left open. What was only not done is skipped; an unread line that wants more is a snag.
    pub(super) fn start_leave_open(&mut self) {
        let Some(item) = self.worded() else { return };
        let wants_more = self.review.rows.iter().any(|row| {
            !row.gone
                && row.item.of == item.of
                && matches!(
                    row.item.matter,
                    Matter::Flagged(_) | Matter::LeftOpen | Matter::Redrawn | Matter::Off
                )
        });
        if wants_more && !item.matter.is_not_done() {
            self.mode = Mode::Text(Words::new(Purpose::Snag(item.of)));
            self.say("why, owner, date, such as: tap too high, N. N., 2026-12-01");
        } else {
            self.mode = Mode::Text(Words::new(Purpose::Skip(item.of)));
            self.say("why it is left for later, such as: locked room; or why, owner, date: a snag");
        }
    }

    pub(super) fn alarm(&mut self, text: String) -> Vec<Effect> {
        self.told = Some(text.clone());
        self.message = Message {
            text,
            hint: "",
            alarm: true,
        };
        Vec::new()
    }

    /// Enter on what is typed in the review.
    pub(super) fn record_review(&mut self, words: &Words, now: Timestamp) -> Vec<Effect> {
        let text = words.text.trim();
        let (of, said) = match &words.purpose {
            Purpose::Sign => return self.sign(text, now),
            Purpose::Scope => return self.take_part(text),
            _ if text.is_empty() => {
                self.say("say in a few words why; Esc drops it");
                return Vec::new();
            }
            Purpose::Accept(of) => (of, Ok((Decision::Accepted, text.to_owned()))),
            Purpose::Skip(of) => (of, Ok((Decision::Skipped, text.to_owned()))),
            Purpose::Snag(of) => {
                let today = now.to_zoned_datetime(self.opening.zone.clone()).date();
                (of, snag(text, today))
            }
            _ => return Vec::new(),
        };
        let (is, why) = match said {
            Ok(said) => said,
            Err(error) => return self.alarm(error),
        };
        self.mode = Mode::Key;
        self.keep_reason(&words.purpose, text);
        let of = of.clone();
        let what = Do::Decide(review::decide(&self.site, of.clone(), is));
        let effects = self.send_all(
            now,
            vec![New {
                why: Some(why),
                ..New::of(what)
            }],
        );
        self.next_open_row(&of);
        effects
    }

    /// Enter: to where the item is settled; on the first row the signature.
    pub(super) fn enter_review(&mut self) {
        let Some(row) = self.review.under() else {
            return self.start_signature();
        };
        let (of, matter) = (row.item.of.clone(), row.item.matter);
        if matter == Matter::Flagged(Why::Question) {
            return self.start_choice(of);
        }
        match (&of, matter) {
            (_, Matter::Tick(place) | Matter::Again(place) | Matter::Contradicted(place)) => {
                let plan = self.site.plan();
                let amplifiers = &plan.amplifiers;
                let amplifier = amplifiers.iter().find(|it| {
                    matches!(&of, Ref::Amplifier(id) if *id == it.id) || matches!(of, Ref::Visit(_))
                });
                if let Some(made) = amplifier {
                    let id = RowId::Amplifier(made.id.clone());
                    let output = made.outputs.start;
                    match self.row_at(&id) {
                        Some(_) => self.cursor = id,
                        None => self.show_output(output),
                    }
                }
                self.go_rack();
                self.stand_on_tick(LISTS[place].item);
                self.stand_within_part(LISTS[place].item);
            }
            (Ref::Line(id), _) => {
                let Some(at) = self.site.plan().line(id) else {
                    return;
                };
                self.show_line(at);
                if matches!(matter, Matter::Off | Matter::ToMove) {
                    self.go_rack();
                    if matter == Matter::ToMove {
                        self.stand_on_cores();
                    }
                } else {
                    self.place = Place::Survey;
                }
            }
            (Ref::Output(id), _) => {
                let plan = self.site.plan();
                let at = plan.outputs.iter().position(|it| it.id == *id);
                self.place = Place::Survey;
                self.page = 0;
                self.show_output(at.unwrap_or_default());
            }
            (Ref::Instrument(_), Matter::OneOrTwo) => {
                self.kit_at = of.clone();
                self.go_kit();
            }
            _ => self.say(settled_by(matter)),
        }
    }
}
