//! One list of what stands in the way of signing, worst first, with the word that settles each.
//!
//! A word holds for the state it was said in, and for what was known when it was said: a reading,
//! an answer or a repair that comes later wants a new one. A line that must not be connected is
//! settled by a word only while it is OFF the amplifier.
//!
//! Never here: files, the clock, drawing.

use super::calibration::{calibration, one_or_two, used};
use super::cause::{likeliest, of_site};
use super::contradicted::contradicted;
use super::flag_words::{flag_words, reads};
use super::left_open::left_open;
use super::matter::Matter;
use super::output_words::output_words;
use super::question::asked_on;
use super::scope::{label_of, lines_in, outputs_in, own_label_of};
use super::struck::struck;
use super::to_move::to_move_words;
use super::unticked::{again, unticked};
use super::word::{About, Word, as_said, word, word_about};
use super::{
    Gravity, OF_AN_OUTPUT, Why, gravity_of_line, line as why_of_line, output as why_of_output,
};
use crate::analysis::{Analyst, Repaired};
use crate::site::{CORES_OFF, Decision, Do, Entry, Ref, Site, StateId, in_order};

/// One item of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is about.
    pub matter: Matter,
    /// Of which thing.
    pub of: Ref,
    /// What people call that thing.
    pub label: String,
    /// What is the matter.
    pub words: String,
    /// Of a flagged line the likeliest why, with its odds.
    pub cause: Option<String>,
    /// What was struck, where that left nothing standing.
    pub note: Option<String>,
    /// The latest word on it, whether it settles or not.
    pub word: Option<Word>,
    /// It stands in the way of signing.
    pub open: bool,
}

/// The list, worst first: what stands in the way, then what is settled.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Review {
    /// The items.
    pub items: Vec<Item>,
}

impl Review {
    /// What stands in the way of signing, worst first.
    pub fn open(&self) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(|item| item.open)
    }

    /// The rest, worst first.
    pub fn settled(&self) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(|item| !item.open)
    }
}

/// The entry that a thing came to be known by; a word that is older does not cover it.
type Since<'a> = Option<&'a Entry>;

struct Making<'a> {
    site: &'a Site,
    analyst: &'a Analyst,
    items: Vec<(Item, Gravity)>,
}

/// What stands in the way of signing a scope, and what is settled. Suspects are those that were
/// reckoned.
#[must_use]
pub fn review(site: &Site, analyst: &Analyst, scope: &Ref) -> Review {
    let mut making = Making {
        site,
        analyst,
        items: Vec::new(),
    };
    for (of, standing) in site.elements().questions() {
        let words = match standing.len() {
            _ if site.elements().is_doubted(of) => {
                "retired by one, read meanwhile by another".to_owned()
            }
            0 | 1 => "does not fit with another item".to_owned(),
            count => format!("{count} designs stand; choose one"),
        };
        making.push(
            Matter::Flagged(Why::Question),
            of.clone(),
            words,
            None,
            true,
        );
    }
    making.rivals();
    for at in lines_in(site, scope) {
        making.line(at);
    }
    for at in outputs_in(site, scope) {
        making.output(at);
    }
    making.ticks(scope);
    if *scope == Ref::Site {
        making.site_wide();
    }
    making.instruments(scope);
    let mut items = making.items;
    items.sort_by(|a, b| {
        b.0.open
            .cmp(&a.0.open)
            .then_with(|| a.0.matter.cmp(&b.0.matter))
            .then_with(|| b.1.0.total_cmp(&a.1.0))
            .then_with(|| b.1.1.total_cmp(&a.1.1))
    });
    Review {
        items: items.into_iter().map(|(item, _)| item).collect(),
    }
}

fn latest<'a>(all: impl IntoIterator<Item = Since<'a>>) -> Since<'a> {
    all.into_iter().flatten().max_by(|a, b| in_order(a, b))
}

impl Making<'_> {
    /// Corrections of one entry that do not say the same, on the line they are of.
    fn rivals(&mut self) {
        for (_, entries) in self.site.log().rivals() {
            let of = asked_on(self.site, &entries);
            let matter = Matter::Flagged(Why::Question);
            let mut known = self.items.iter();
            if !known.any(|(it, _)| it.matter == matter && it.of == of) {
                let words = format!(
                    "{} corrections of one entry differ; choose one",
                    entries.len()
                );
                self.push(matter, of, words, None, true);
            }
        }
    }

    fn push(&mut self, matter: Matter, of: Ref, words: String, word: Option<Word>, open: bool) {
        let label = label_of(self.site, &of);
        let gravity = match &of {
            Ref::Line(id) => {
                let at = self.site.plan().line(id);
                at.map_or((0.0, 0.0), |at| gravity_of_line(self.analyst, at))
            }
            Ref::Output(_) => OF_AN_OUTPUT,
            _ => (0.0, 0.0),
        };
        let item = Item {
            matter,
            of,
            label,
            words,
            cause: None,
            note: None,
            word,
            open,
        };
        self.items.push((item, gravity));
    }

    fn line(&mut self, at: usize) {
        let (site, analyst) = (self.site, self.analyst);
        let plan = site.plan();
        let result = analyst.line(at);
        let id = plan.lines[at].id.clone();
        let of = Ref::Line(id.clone());
        let history = site.history(&id);
        let said = |about| word_about(history.entries(), &of, &result.state, about);
        // A word covers what was known when it was said, and what it is about.
        let settles = |about, since: Since<'_>, fits: &dyn Fn(&Decision) -> bool| {
            said(about).is_some_and(|(entry, decide)| {
                fits(&decide.is)
                    && word(entry, decide).is_whole()
                    && since.is_none_or(|since| in_order(since, entry).is_lt())
            })
        };
        // What was left for later puts nothing that was measured on the snag list.
        let spoken = |about| {
            said(about).map(|(entry, decide)| match about {
                About::Load => as_said(entry, decide),
                About::NotDone | About::Any => word(entry, decide),
            })
        };
        let or_skipped = |is: &Decision| is.leaves() || matches!(is, Decision::Skipped);
        let flagged = why_of_line(analyst, at).filter(|why| *why != Why::Question);
        let dangerous = flagged == Some(Why::Stop) || result.is_unproven_stop();
        if let Some(why) = flagged {
            let rack = result.taken.as_ref().and_then(|it| it.entry.as_ref());
            let insulation = history.insulation(site, &result.state);
            let answers = history.answers(site, &result.state);
            let bad = answers.iter().filter(|(_, it)| it.gives.is_wrong());
            let since = latest(
                [
                    rack.and_then(|id| site.log().get(id)),
                    insulation.last().map(|(entry, _)| *entry),
                ]
                .into_iter()
                .chain(bad.map(|(entry, _)| Some(*entry))),
            );
            let settled =
                settles(About::Load, since, &Decision::leaves) && (!dangerous || result.off);
            let words = flag_words(site, analyst, at, why);
            let spoken = spoken(About::Load);
            self.push(Matter::Flagged(why), of.clone(), words, spoken, !settled);
            if let Some((item, _)) = self.items.last_mut() {
                item.cause = likeliest(site, analyst, at);
            }
        }
        self.left_open(&of, false);
        if let Some(node) = history.open_split() {
            let before = own_label_of(site, &Ref::Node(node));
            let words = format!("opened before {before} for a split and not closed again");
            let spoken = spoken(About::Load);
            self.push(Matter::SplitOpen, of.clone(), words, spoken, true);
        }
        if let Some(words) = to_move_words(site, analyst.to_move(), &id) {
            let spoken = spoken(About::Load);
            self.push(Matter::ToMove, of.clone(), words, spoken, true);
        }
        if let Some(it) = &result.redrawn {
            let words = if it.to_be_done {
                "read before it was drawn as it is: set it so on site, say so, read it again"
            } else {
                "read before its drawing was changed: read it again, or say why it counts"
            };
            let open = !settles(About::Load, site.log().get(&it.entry), &Decision::leaves);
            let spoken = spoken(About::Load);
            self.push(Matter::Redrawn, of.clone(), words.to_owned(), spoken, open);
        }
        // What it read before a repair says more than that it is not read.
        let said_above = result.repaired.as_ref();
        let said_above = said_above.is_some_and(Repaired::is_load_unproven);
        if !result.is_read() && !result.question && !said_above {
            let struck = struck(site, &id, &result.state);
            let words = "not read".to_owned();
            // What was not read is not accepted as it is: nobody knows how it is.
            let left = |is: &Decision| or_skipped(is) && *is != Decision::Accepted;
            let open = !settles(About::Any, None, &left);
            let spoken = spoken(About::Any);
            self.push(Matter::Unread, of.clone(), words, spoken, open);
            if let Some((item, _)) = self.items.last_mut() {
                item.note = struck.map(|text| format!("its reading {text} was struck"));
            }
        }
        if result.off {
            let off = history
                .entries()
                .iter()
                .rev()
                .copied()
                .find(|entry| matches!(&entry.what, Do::Tick(tick) if tick.item == CORES_OFF));
            // What was accepted of its load is to be used: that it stays off is a snag, or it goes back on.
            let load_alone =
                |is: &Decision| flagged.is_some() && !dangerous && *is == Decision::Accepted;
            let fits = |is: &Decision| is.leaves() && !load_alone(is);
            let open = !settles(About::Load, off, &fits);
            let words = "OFF the amplifier, not back on".to_owned();
            let spoken = spoken(About::Load);
            self.push(Matter::Off, of.clone(), words, spoken, open);
        }
        if result.is_read() && result.asked < result.loudspeakers {
            let words = format!(
                "{} of {} loudspeakers not listened to",
                result.loudspeakers - result.asked,
                result.loudspeakers
            );
            let open = !settles(About::NotDone, None, &or_skipped);
            let spoken = spoken(About::NotDone);
            self.push(Matter::NotListened, of.clone(), words, spoken, open);
        }
        if plan.lines[at].insulation_asked && result.insulation.is_none() {
            let words = "insulation asked for and not read".to_owned();
            let open = !settles(About::NotDone, None, &or_skipped);
            let spoken = spoken(About::NotDone);
            self.push(Matter::NoInsulation, of.clone(), words, spoken, open);
        }
        self.repaired(at);
    }

    /// A snag of an earlier visit; the word on it is that of this visit, else the snag itself.
    fn left_open(&mut self, of: &Ref, is_over: bool) {
        let Some(it) = left_open(self.site, of).filter(|it| !(is_over && it.is_open())) else {
            return;
        };
        let words = it.words(&label_of(self.site, &Ref::Visit(it.visit.clone())));
        let open = it.is_open();
        let word = it.since.unwrap_or(it.snag);
        self.push(Matter::LeftOpen, of.clone(), words, Some(word), open);
    }

    /// A line repaired on this visit and read again.
    fn repaired(&mut self, at: usize) {
        let (site, result) = (self.site, self.analyst.line(at));
        let id = site.plan().lines[at].id.clone();
        let Some((entry, what)) = site
            .log()
            .get(&result.state.as_str().into())
            .and_then(|entry| match &entry.what {
                Do::Repair(repair) => Some((entry, repair.what.clone())),
                _ => None,
            })
        else {
            return;
        };
        if !result.is_read() {
            return;
        }
        let said = Word {
            is: Decision::Repaired {
                repair: entry.id.clone(),
            },
            by: entry.by.clone(),
            at: entry.at,
            why: Some(what),
        };
        let words = format!("read again: {}", reads(self.analyst, at));
        self.push(Matter::Repaired, Ref::Line(id), words, Some(said), false);
    }

    fn output(&mut self, at: usize) {
        let (site, analyst) = (self.site, self.analyst);
        let why = why_of_output(site, analyst, at);
        let output = &site.plan().outputs[at];
        let of = Ref::Output(output.id.clone());
        // Every line of it read on this visit, and it carries what it may: nothing is left of it.
        let unread = || analyst.output(site, at, None).carries.unread > 0;
        self.left_open(&of, why.is_none() && !unread());
        let Some(why) = why else {
            return;
        };
        let since = latest(output.lines.clone().map(|line| {
            let result = analyst.line(line);
            let state = site.log().get(&result.state.as_str().into());
            let rack = result.taken.as_ref().and_then(|it| it.entry.as_ref());
            latest([state, rack.and_then(|id| site.log().get(id))])
        }));
        let entries = site.log().of_no_line();
        let visit = StateId(site.visit().0);
        let said = word_about(&entries, &of, &visit, About::Load);
        let settled = said.is_some_and(|(entry, decide)| {
            decide.is.leaves()
                && word(entry, decide).is_whole()
                && since.is_none_or(|since| in_order(since, entry).is_lt())
        });
        let words = output_words(site, analyst, at);
        let spoken = said.map(|(entry, decide)| word(entry, decide));
        self.push(Matter::Flagged(why), of, words, spoken, !settled);
    }

    /// Mistakes that only the whole building shows: each is settled where its lines are.
    fn site_wide(&mut self) {
        for (place, cause) in of_site(self.site, self.analyst).into_iter().enumerate() {
            self.push(Matter::SiteWide(place), Ref::Site, cause.words, None, false);
            if let Some((item, _)) = self.items.last_mut()
                && !cause.lines.is_empty()
            {
                item.label = cause.lines.join(", ");
            }
        }
    }

    fn ticks(&mut self, scope: &Ref) {
        for (place, of, words) in contradicted(self.site, self.analyst, scope) {
            self.push(Matter::Contradicted(place), of, words, None, true);
        }
        for (place, of, words) in unticked(self.site, scope) {
            self.push(Matter::Tick(place), of, words, None, true);
        }
        for (place, of, words) in again(self.site, scope) {
            self.push(Matter::Again(place), of, words, None, false);
        }
    }

    /// Instruments that readings of the scope were taken with, on this visit, and whose calibration
    /// is over or not known, or which may be several.
    fn instruments(&mut self, scope: &Ref) {
        let site = self.site;
        for (id, last) in used(site, scope) {
            if let Some(words) = one_or_two(site, &id) {
                let of = Ref::Instrument(id.clone());
                self.push(Matter::OneOrTwo, of, words, None, false);
            }
            let Some(words) = calibration(site, &id, last) else {
                continue;
            };
            self.push(Matter::Calibration, Ref::Instrument(id), words, None, false);
        }
    }
}
