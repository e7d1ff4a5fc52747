//! Another day on the same visit. A survey of several days is one visit, and goes on where it stood; whoever
//! comes back after hand-over begins a new one, and where nothing was entered for `visit_days` that is what is
//! proposed. An instrument's factor and the known resistor belong to a
//! visit, so that is told once: the key of a new one, and what is open of the one that stands. Nothing waits
//! for an answer.
//!
//! Never here: what a visit means (`site`), how one is typed (`design::kit`).

use super::design::{Thing, return_visit};
use super::mode::{Mode, Purpose};
use super::view::{Section, Tone, message_rows};
use super::{Place, Session};
use crate::quantity::show;
use crate::site::{Do, Entry, Figure, Ref, in_order};
use jiff::Timestamp;

/// A break shorter than this is no night, whatever the date: a shift goes on past midnight. \[assumed\]
const NIGHT_S: i64 = 6 * 60 * 60;
/// That, where the message line has room for it beside what it says already.
const OFFER: &str = "another day: goes on where it stood";
/// The same where it has not.
const HINT: &str = "another day: goes on";
/// After so long that a new visit is proposed, the same.
const ANEW: &str = "g y: a new visit";
/// So many labels are named.
const MOST_NAMED: usize = 3;

/// How long nothing was entered.
#[derive(Clone, Copy, Debug)]
pub(super) struct Break {
    /// The last entry before it.
    last: Timestamp,
    /// Whole days, where they are more than a visit goes on for.
    days: Option<i64>,
}

impl Session {
    /// A key came: where the one before was of another day, the offer is made as at an opening.
    pub(super) fn after_a_night(&mut self, before: Option<Timestamp>, now: Timestamp) {
        if before.is_some_and(|before| self.is_a_night(before, now)) {
            self.offer_visit(now);
        }
    }

    /// Offers a new visit where the last entry is of another day.
    pub(super) fn offer_visit(&mut self, now: Timestamp) {
        let Some(last) = self.last_entry(now).map(|entry| entry.at) else {
            return;
        };
        let days = now.duration_since(last).as_hours() / 24;
        let days =
            Some(days).filter(|days| *days as f64 > self.site.figures().get(Figure::VisitDays));
        // At the first look at a site on this machine there is enough to read, and whoever only looks at what
        // others did begins no visit. After so long it is said all the same.
        let is_looking = self.tour || !self.has_entered();
        if !self.may_write() || days.is_none() && (is_looking || !self.is_a_night(last, now)) {
            return;
        }
        self.another_day = Some(Break { last, days });
        if self.message.alarm {
            return;
        }
        let (offer, hint) = match days {
            Some(days) => (format!("{days} days since: g y begins a new visit"), ANEW),
            None => (OFFER.to_owned(), HINT),
        };
        let said = self.message.clone();
        if !self.message.text.is_empty() {
            self.message.text.push_str("; ");
        }
        self.message.text.push_str(&offer);
        let rows = message_rows(&self.message, self.size.0);
        if rows.iter().any(|row| row.text().contains('~')) {
            self.message = said;
            if self.message.hint.is_empty() {
                self.message.hint = hint;
            }
        }
    }

    /// Another date where the engineer is, and hours since.
    fn is_a_night(&self, before: Timestamp, now: Timestamp) -> bool {
        now.as_second() - before.as_second() >= NIGHT_S && self.date(before) < self.date(now)
    }

    /// Whether this engineer has made an entry that counts.
    fn has_entered(&self) -> bool {
        let log = self.site.log();
        let mut entries = log.entries().iter();
        entries.any(|entry| entry.by == self.opening.by && log.counts(&entry.id))
    }

    /// The last entry that counts.
    fn last_entry(&self, now: Timestamp) -> Option<&Entry> {
        let log = self.site.log();
        let counts = |entry: &&Entry| log.counts(&entry.id) && entry.at <= now;
        let all = log.entries().iter().filter(counts);
        all.max_by(|a, b| in_order(a, b))
    }

    /// `g y`: the words of a new visit, its date proposed.
    pub(super) fn start_visit(&mut self, now: Timestamp) {
        if !self.may_write() {
            return self.say_read_only();
        }
        let before = self.visit_label();
        let of = Ref::Visit(self.site.visit());
        let date = self.date(now);
        // Whoever comes to what was signed comes back.
        let (words, why) = match self.was_signed() {
            true => (return_visit(&date.to_string()), "signed before: a return. "),
            false => (date.to_string(), ""),
        };
        self.begin(Purpose::Add(Thing::Visit, of), words);
        self.say(&format!(
            "{why}each line is read anew with it. Enter begins it, Esc goes on with {before}"
        ));
    }

    fn visit_label(&self) -> String {
        self.kit_name(&Ref::Visit(self.site.visit()))
    }

    /// Stands until something is recorded or the cursor moves: the offer, and what is open.
    pub(super) fn another_day_sections(&self, width: usize) -> Option<Vec<Section>> {
        let Break { last, days } = self.another_day?;
        if self.place != Place::Survey || self.mode != Mode::Key {
            return None;
        }
        let visit = self.visit_label();
        let mut out = Section::titled(if days.is_some() {
            "a new visit"
        } else {
            "another day"
        });
        let mut row = |start: &str, words: &str| out.words(start, words, width, Tone::Plain);
        let stood = format!("last entry {} on {visit}", self.day_and_clock(last));
        let resistor = format!(
            "the survey goes on where it stood, with what is known of the meter: {}. g r reads it again",
            self.resistor_words()
        );
        if let Some(days) = days {
            let most = self.site.figures().get(Figure::VisitDays);
            row(
                " g y ",
                &format!(
                    "begins a new visit: {days} days since the last entry, more than {most:.0}. Every line is read \
                     anew, ticks are made anew; u takes it back"
                ),
            );
            row("   ", &stood);
            row("   ", &format!("without it {resistor}"));
        } else {
            row("   ", &stood);
            row("   ", &resistor);
            row(
                " g y ",
                "only to come back after hand-over: a new visit, every line is read anew, ticks are made anew; u \
                 takes it back",
            );
        }
        let mut open = Section::titled("open");
        for words in self.still_to_do() {
            open.words(" - ", &words, width, Tone::Plain);
        }
        Some(vec![out, open])
    }

    /// When the known resistor was read last, in words.
    fn resistor_words(&self) -> String {
        let log = self.site.log();
        let check = |entry: &&Entry| matches!(entry.what, Do::Check(_)) && log.counts(&entry.id);
        let last = log.entries().iter().filter(check);
        match last.max_by(|a, b| in_order(a, b)) {
            Some(entry) => format!(
                "the known resistor was last read {}",
                self.day_and_clock(entry.at)
            ),
            None => "no known resistor was read".to_owned(),
        }
    }

    /// What is open, a sentence each, worst first.
    fn still_to_do(&self) -> Vec<String> {
        let counts = self.analyst.counts();
        let mut out = Vec::new();
        let named = |labels: &[String]| show::few(labels, MOST_NAMED);
        let splits = self.open_splits();
        if !splits.is_empty() {
            let count = show::count(splits.len(), "split");
            out.push(format!("{count} still OPEN: {}", named(&splits)));
        }
        let off = self.left_off();
        if !off.is_empty() {
            out.push(format!(
                "{} OFF the amplifier: {}",
                show::count(off.len(), "line"),
                named(&off)
            ));
        }
        if counts.flagged > 0 {
            let verb = if counts.flagged == 1 { "wants" } else { "want" };
            out.push(format!(
                "{} {verb} a look: f shows them",
                show::count(counts.flagged, "line")
            ));
        }
        let unread = counts.lines - counts.read;
        if unread > 0 {
            out.push(format!("{} unread", show::count(unread, "line")));
        }
        out.push("what stands in the way of signing: g v".to_owned());
        out
    }
}
