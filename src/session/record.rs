//! Entries on their way: sent to the disk, recorded or refused.

use super::act::{Act, New, Pending};
use super::next::LIFTED;
use super::{Effect, Message, Session};
use crate::quantity::show;
use crate::site::{Cut, Do, Entry, EntryId, Read, SPLIT_CLOSED, SPLIT_OPENED, whole_second};
use jiff::Timestamp;

/// Cells of a message that goes on in a second row and leaves room there for a hint.
const MOST_WITH_A_HINT: usize = 138;

impl Session {
    /// Sends an entry to the disk. It counts in no figure before the disk has it; `u` and a
    /// multiplier typed ahead of the disk mean it all the same.
    pub(super) fn send(
        &mut self,
        at: Timestamp,
        what: Do,
        corrects: Option<EntryId>,
    ) -> Vec<Effect> {
        let new = New {
            corrects,
            ..New::of(what)
        };
        self.send_all(at, vec![new])
    }

    /// Sends the entries of one act: one `u` takes all of them back.
    pub(super) fn send_all(&mut self, at: Timestamp, news: Vec<New>) -> Vec<Effect> {
        let entries = self.entries_of(at, news);
        let shared = entries.len() > 1;
        let Some(first) = entries.first() else {
            return Vec::new();
        };
        let what = if shared {
            format!("{} readings pasted", entries.len())
        } else {
            self.title(first)
        };
        self.message = Message {
            text: format!("being written: {what}"),
            ..Message::default()
        };
        if !matches!(first.what, Do::Void(_)) {
            self.acts.push(Act::Entries {
                ids: entries.iter().map(|entry| entry.id.clone()).collect(),
                line: first.what.line().cloned(),
                what,
            });
        }
        self.on_their_way(entries)
    }

    /// Entries of one act, numbered on.
    pub(super) fn entries_of(&mut self, at: Timestamp, news: Vec<New>) -> Vec<Entry> {
        let at = whole_second(at);
        let shared = news.len() > 1;
        let act = format!("{}-{}", self.opening.writer, self.counter + 1);
        let mut entries = Vec::new();
        for new in news {
            self.counter += 1;
            entries.push(Entry {
                at,
                id: self.own_id(self.counter),
                by: self.opening.by.clone(),
                what: new.what,
                act: shared.then(|| act.clone()),
                row: None,
                corrects: new.corrects,
                why: new.why,
            });
        }
        entries
    }

    fn own_id(&self, counter: u64) -> EntryId {
        EntryId(format!("{}-{counter}", self.opening.writer))
    }

    /// What was made in this sitting, in order, on the disk or on its way there.
    pub(super) fn of_this_sitting(&self) -> impl DoubleEndedIterator<Item = &Entry> {
        (1..=self.counter).filter_map(|counter| {
            let id = self.own_id(counter);
            let mut waiting = self.pending.iter().map(|pending| &pending.entry);
            let recorded = self.site.log().get(&id);
            recorded.or_else(|| waiting.find(|entry| entry.id == id))
        })
    }

    /// Whether nothing was read in this sitting: the cautions stand before the first reading.
    pub(super) fn nothing_read(&self) -> bool {
        !self
            .of_this_sitting()
            .any(|entry| matches!(entry.what, Do::Read(_)))
    }

    /// Entries on their way to the disk.
    pub(super) fn on_their_way(&mut self, entries: Vec<Entry>) -> Vec<Effect> {
        // What the disk refused goes with them, first: a reading after a repair is not to stand
        // without the repair, nor a strike without what it strikes.
        let mut batch = self.take_refused();
        batch.extend(entries.iter().cloned());
        self.pending
            .extend(entries.into_iter().map(|entry| Pending {
                entry,
                refused: None,
            }));
        vec![Effect::Record(batch)]
    }

    /// The disk has these entries: now they count.
    pub(super) fn recorded(&mut self, ids: &[EntryId]) {
        let of_these = |pending: &&Pending| ids.contains(&pending.entry.id);
        let came = self.pending.iter().filter(of_these);
        let came: Vec<Do> = came.map(|pending| pending.entry.what.clone()).collect();
        self.recorded_edits(ids);
        let mut pasted = 0;
        for id in ids {
            let Some(at) = self
                .pending
                .iter()
                .position(|pending| pending.entry.id == *id)
            else {
                continue;
            };
            let entry = self.pending.remove(at).entry;
            let is_strike = matches!(entry.what, Do::Void(_));
            let mut touched = self.site.log().touched(&entry);
            self.site.apply(entry.clone());
            touched.extend(self.site.log().touched(&entry));
            self.analyst.touched(&self.site, &touched);
            if !is_strike {
                // The caution of a split stands while hands are on the line.
                if matches!(&entry.what, Do::Tick(tick) if is_split(&tick.item)) {
                    self.message.hint = "recorded";
                    continue;
                }
                pasted += usize::from(entry.act.is_some());
                let (mut words, mut alarm) = self.outcome(&entry);
                if let Do::Read(read) = &entry.what
                    && let Some(at) = self.site.plan().line(&read.line)
                    && let Some(more) = self.disagreement_words(at, &entry.id)
                {
                    let long = "fits nothing: read it again; leads zeroed? the right pair?";
                    words = words.replacen(long, "fits nothing", 1) + &more;
                    alarm = true;
                }
                let mut title = self.title(&entry);
                if alarm && matches!(entry.what, Do::Tick(_)) {
                    // What is flagged has the room of what the item says behind its comma.
                    title = title.split(", ").next().unwrap_or_default().to_owned();
                    title = title.replacen(" at low level", "", 1);
                }
                if pasted > 1 {
                    title = format!("{pasted} readings pasted, the last {title}");
                    words = String::new();
                }
                self.message = Message {
                    text: format!("recorded {}  {title}{words}", self.clock(entry.at)),
                    hint: self.hint_after(&entry),
                    alarm,
                };
            }
        }
        if let Some(seal) = self.seal_after(&came) {
            // In fewer words: what was signed has the room.
            let said = self.message.text.replacen(" reads ", " ", 1);
            let said = said.replace(": in tolerance", "");
            self.message.text = format!("{} {said}", seal.words);
            let Some(short) = seal.broken else {
                return;
            };
            // Of what does not fit two rows the figure stays, and who signed stands in the review.
            if self.message.text.chars().count() + 4 > 2 * self.size.0 {
                self.message.text = format!("{short} {said}");
            }
            self.message.alarm = true;
            // What was done takes the room of what can be done, as far as it must.
            self.message.hint = match self.message.text.chars().count() {
                0..=MOST_WITH_A_HINT => "u takes it back",
                _ => "",
            };
        }
    }

    /// What comes next after an entry, at the right end of the message line.
    fn hint_after(&self, entry: &Entry) -> &'static str {
        match &entry.what {
            Do::Read(read) if matches!(read.cut, Some(Cut::Far(_))) => "b when closed again",
            Do::Read(read) if self.is_last(read) => "the last: meter off; u takes it back",
            Do::Read(read) if read.cut.is_none() => {
                let at = self.site.plan().line(&read.line);
                let way = at.and_then(|at| self.hint_of_way(at));
                way.unwrap_or("u takes it back")
            }
            Do::Decide(_) if self.message.hint == LIFTED => LIFTED,
            _ => "u takes it back",
        }
    }

    /// No line waits to be read.
    /// Whether this was the one reading that was missing; a line read once more is none.
    fn is_last(&self, read: &Read) -> bool {
        let counts = self.analyst.counts();
        let history = self.site.history(&read.line);
        let hz = self.site.test_hz();
        let rack = history.reads(&self.site, &read.state);
        read.is_rack(hz)
            && counts.read == counts.lines
            && history.states(&self.site.visit()).len() == 1
            && rack.filter(|(_, it)| it.is_rack(hz)).count() == 1
    }

    /// What a rack reading came to, for the message that stays when the cursor has moved on; of an
    /// answer, where the end of the cable leads.
    pub(super) fn outcome(&self, entry: &Entry) -> (String, bool) {
        let read = match &entry.what {
            Do::Read(read) => read,
            Do::Listen(listen) => return (self.after_answer(listen), false),
            Do::Insulate(it) => return self.insulation_outcome(&entry.id, it),
            Do::Repair(it) => {
                let at = self.site.plan().line(&it.line);
                let open = at.and_then(|at| self.still_open(at));
                let words = open.as_ref().map(|open| format!("; {open}"));
                return (words.unwrap_or_default(), open.is_some());
            }
            _ => {
                let late = self.ticked_late(entry);
                let told: Vec<String> = late.into_iter().chain(self.flagged_words(entry)).collect();
                let words = match told.is_empty() {
                    true => String::new(),
                    false => format!("; {}", told.join("; ")),
                };
                return (words, !told.is_empty());
            }
        };
        if matches!(read.cut, Some(Cut::Whole(_))) {
            let words = ": kept there, not the line's reading; Home for the rack";
            return (words.to_owned(), false);
        }
        if self.opens_all(read) {
            let words = ": misread, or several faults on it; the right cores? read it again (x)";
            return (words.to_owned(), true);
        }
        let Some(at) = self
            .site
            .plan()
            .line(&read.line)
            .filter(|_| !read.is_dc() && read.cut.is_none())
        else {
            return (String::new(), false);
        };
        let deviation = self
            .analyst
            .line(at)
            .verdict
            .and_then(|verdict| verdict.deviation);
        let deviation =
            deviation.map_or_else(String::new, |it| format!(", {}", show::signed_percent(it)));
        let standing = self.standing(at, false);
        // That it does not agree with the one before says it all.
        let doubted = self.analyst.line(at).in_doubt.is_some();
        if doubted {
            return (deviation, true);
        }
        let meant = self.meant(at, read);
        if self.misfit.as_ref() == Some(&entry.id) {
            let advice = match meant {
                Some(meant) => format!("fits nothing: {meant}"),
                None => "fits nothing: read it again; leads zeroed? the right pair?".to_owned(),
            };
            return (format!("{deviation}: {advice}"), true);
        }
        // `open` and `short` are figure and word alike.
        let word = match show::value(read.value) == standing.word {
            true => String::new(),
            false => format!(": {}", standing.in_full()),
        };
        let word = meant.map_or_else(|| word.clone(), |meant| format!("{word}; {meant}"));
        (
            format!("{deviation}{word}"),
            standing.tone != super::view::Tone::Plain,
        )
    }
}

pub(super) fn is_split(item: &str) -> bool {
    item == SPLIT_OPENED || item == SPLIT_CLOSED
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Access, Event, Opening, update};
    use crate::site::{
        Amplifier, Design, Edit, Elements, Line, Log, Output, Ref, Site, Stamp, Zone, birth_items,
    };

    fn line(label: &str, order: f64) -> (Ref, Design) {
        let design = Line {
            label: label.to_owned(),
            order,
            output: "A/1".into(),
            zone: "Hall".into(),
            insulation_asked: false,
            note: None,
        };
        (Ref::Line(label.into()), Design::Line(design))
    }

    /// A session on one output with these lines, in this order.
    fn on_lines(labels: &[&str]) -> Session {
        let mut elements = Elements::from_iter(birth_items());
        let amplifier = Design::Amplifier(Amplifier {
            label: "A".into(),
            order: 1.0,
            voice_alarm: false,
            note: None,
        });
        let output = Design::Output(Output {
            amplifier: "A".into(),
            label: "1".into(),
            order: 1.0,
            volts: crate::quantity::Volt(100.0),
            rated_w: None,
            headroom: None,
            elv: false,
        });
        let zone = Design::Zone(Zone {
            label: "Hall".into(),
            order: 1.0,
        });
        let lines = labels
            .iter()
            .zip(2..)
            .map(|(label, at)| line(label, f64::from(at)));
        for (of, design) in [
            (Ref::Amplifier("A".into()), amplifier),
            (Ref::Output("A/1".into()), output),
            (Ref::Zone("Hall".into()), zone),
        ]
        .into_iter()
        .chain(lines)
        {
            elements.add(of, Stamp::of_import(&design), design);
        }
        let opening = Opening {
            by: "engineer A".into(),
            writer: "aaaaaaaaaaaaaaaa".into(),
            at: jiff::Timestamp::UNIX_EPOCH,
            access: Access::Writes,
            zone: jiff::tz::TimeZone::UTC,
            ascii: true,
        };
        Session::new(
            Site::new("s-a".into(), elements, Log::default()),
            opening,
            None,
        )
    }

    #[test]
    fn a_line_that_an_edit_brings_before_all_others_is_reckoned_with_them() {
        let mut session = on_lines(&["L-2", "L-3"]);
        let (of, now) = line("L-1", 1.0);
        let edit = Do::Edit(Edit {
            of,
            was: Vec::new(),
            now,
            undoes: None,
        });
        session.send(Timestamp::UNIX_EPOCH, edit, None);
        let id = session.pending[0].entry.id.clone();
        update(&mut session, Event::Recorded(vec![id]));
        let labels: Vec<&str> = session.rows.iter().map(|row| row.title.as_str()).collect();
        assert_eq!(labels[2..], ["L-1", "L-2", "L-3"]);
        assert_eq!(session.analyst.lines().len(), 3);
        assert_eq!(
            session.cursor_line(),
            Some("L-2".into()),
            "the cursor holds its label"
        );
        let mut waiting = vec![Event::Idle];
        while let Some(event) = waiting.pop() {
            waiting.extend(update(&mut session, event).into_iter().filter_map(
                |effect| match effect {
                    Effect::GoOn => Some(Event::Idle),
                    Effect::Reckon(ahead) => Some(Event::Reckoned(Box::new(ahead.run()))),
                    _ => None,
                },
            ));
        }
        assert!(session.view().tree.len() > 4);
    }
}
