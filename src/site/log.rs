//! The log: every entry ever recorded, and which of them count.
//!
//! What counts is settled in `strikes`. The log only grows; the indexes here are kept as entries come in,
//! so that one more entry costs the same on a large site as on a small one.

use super::clock::{in_order, in_telling_order};
use super::entry::{Do, Entry};
use super::id::{EntryId, LineId};
use super::named::{lines_of, names_lines_alone};
use super::strikes::Strikes;
use std::collections::{HashMap, HashSet};
use std::sync::OnceLock;

/// All entries.
#[derive(Clone, Debug, Default)]
pub struct Log {
    entries: Vec<Entry>,
    by_id: HashMap<EntryId, Vec<usize>>,
    by_line: HashMap<LineId, Vec<usize>>,
    /// Entries that name something else than lines, or nothing: few, on a large site too.
    beside_lines: Vec<usize>,
    /// Ticks by the name of their item.
    ticks: HashMap<String, Vec<usize>>,
    /// Every id that some entry strikes, whether or not that entry counts.
    struck: HashSet<EntryId>,
    /// Which of them count: reckoned when first asked for after a strike came in.
    strikes: OnceLock<Strikes>,
    /// The last reading that counts: looked for when first asked for after a strike came in, followed
    /// from there.
    last_read: OnceLock<Option<usize>>,
}

impl Log {
    /// Adds an entry. False when this very entry is there already. An entry with a known id and
    /// other content is kept beside it: a collision must not lose a reading.
    pub fn add(&mut self, entry: Entry) -> bool {
        let same = self.by_id.entry(entry.id.clone()).or_default();
        if same
            .iter()
            .any(|at| says_the_same(&self.entries[*at], &entry))
        {
            return false;
        }
        let at = self.entries.len();
        same.push(at);
        if !names_lines_alone(&entry.what) {
            self.beside_lines.push(at);
        }
        if let Do::Tick(tick) = &entry.what {
            self.ticks.entry(tick.item.clone()).or_default().push(at);
        }
        match &entry.what {
            Do::Void(void) => {
                self.struck.extend(void.of.iter().cloned());
                self.forget_what_counts();
            }
            what => {
                for line in lines_of(what) {
                    self.by_line.entry(line.clone()).or_default().push(at);
                }
            }
        }
        if let Some(id) = &entry.corrects {
            self.struck.insert(id.clone());
            self.forget_what_counts();
        }
        self.entries.push(entry);
        self.follow_last_read(at);
        true
    }

    fn forget_what_counts(&mut self) {
        self.strikes.take();
        self.last_read.take();
    }

    /// One more entry: it may be the last reading where that is known.
    fn follow_last_read(&mut self, at: usize) {
        if let Some(known) = self.last_read.take() {
            let ends = [known, Some(at)];
            self.last_read = OnceLock::from(self.last_of(ends.into_iter().flatten()));
        }
    }

    /// The place of the last reading that counts among these; a correction stands where the figure
    /// was read.
    fn last_of(&self, places: impl Iterator<Item = usize>) -> Option<usize> {
        let entry = |at: &usize| &self.entries[*at];
        places
            .filter(|at| matches!(entry(at).what, Do::Read(_)) && self.counts(&entry(at).id))
            .max_by(|a, b| in_order(self.measured(entry(a)), self.measured(entry(b))))
    }

    /// Every entry in the order it came in.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The entry with this id.
    #[must_use]
    pub fn get(&self, id: &EntryId) -> Option<&Entry> {
        self.by_id.get(id)?.first().map(|at| &self.entries[*at])
    }

    /// Whether an entry counts. Entries that strike each other in a ring (a hostile file) count
    /// for nothing.
    #[must_use]
    pub fn counts(&self, id: &EntryId) -> bool {
        let concerned = self.struck.contains(id) || self.is_striker(id);
        !concerned || self.strikes().counts(id)
    }

    /// Entries that strike each other in a ring: no linewright writes such a thing.
    #[must_use]
    pub fn rings(&self) -> &[EntryId] {
        if self.struck.is_empty() {
            return &[];
        }
        self.strikes().rings()
    }

    fn is_striker(&self, id: &EntryId) -> bool {
        let same = self.by_id.get(id).map_or(&[][..], Vec::as_slice);
        same.iter().any(|at| {
            let entry = &self.entries[*at];
            entry.corrects.is_some() || matches!(entry.what, Do::Void(_))
        })
    }

    fn strikes(&self) -> &Strikes {
        self.strikes.get_or_init(|| Strikes::of(&self.entries))
    }

    /// The counting entries of a line, by time, then row or counter, then id; of one opening in the
    /// order they were recorded in, whatever its clock said.
    #[must_use]
    pub fn of_line(&self, line: &LineId) -> Vec<&Entry> {
        let out: Vec<&Entry> = self
            .by_line
            .get(line)
            .map_or(&[][..], Vec::as_slice)
            .iter()
            .map(|at| &self.entries[*at])
            .filter(|entry| self.counts(&entry.id))
            .collect();
        in_telling_order(out)
    }

    /// The last reading that counts; a correction stands where the figure was read.
    #[must_use]
    pub fn last_read(&self) -> Option<&Entry> {
        let last = self
            .last_read
            .get_or_init(|| self.last_of(0..self.entries.len()));
        last.map(|at| &self.entries[at])
    }

    /// Every entry, counting or not, that names something else than lines, or nothing, in the order
    /// it came in: ticks of an amplifier, known resistors, strikes, edits.
    pub fn beside_lines(&self) -> impl DoubleEndedIterator<Item = &Entry> {
        self.beside_lines.iter().map(|at| &self.entries[*at])
    }

    /// Whether a tick of an item of the lists counts, of whatever it is.
    #[must_use]
    pub fn is_ticked(&self, item: &str) -> bool {
        let ticks = self.ticks.get(item).map_or(&[][..], Vec::as_slice);
        ticks.iter().any(|at| self.counts(&self.entries[*at].id))
    }

    /// Every counting entry that belongs to no line, in order.
    #[must_use]
    pub fn of_no_line(&self) -> Vec<&Entry> {
        let mut out: Vec<&Entry> = self
            .beside_lines()
            .filter(|entry| lines_of(&entry.what).next().is_none() && self.counts(&entry.id))
            .collect();
        out.sort_by(|a, b| in_order(a, b));
        out
    }

    /// Every entry in the order of the file: by time, then row or counter, then id.
    #[must_use]
    pub fn rows(&self) -> Vec<&Entry> {
        let mut out: Vec<&Entry> = self.entries.iter().collect();
        out.sort_by(|a, b| in_order(a, b));
        out
    }

    /// The lines an entry touches; for a `Void`, those of what it strikes.
    #[must_use]
    pub fn touched(&self, entry: &Entry) -> Vec<LineId> {
        let mut out: Vec<LineId> = lines_of(&entry.what).cloned().collect();
        let mut ids: Vec<&EntryId> = entry.corrects.iter().collect();
        let mut seen: HashSet<&EntryId> = HashSet::new();
        if let Do::Void(void) = &entry.what {
            ids.extend(&void.of);
        }
        while let Some(id) = ids.pop() {
            if !seen.insert(id) {
                continue;
            }
            for at in self.by_id.get(id).map_or(&[][..], Vec::as_slice) {
                let struck = &self.entries[*at];
                out.extend(lines_of(&struck.what).cloned());
                if let Do::Void(void) = &struck.what {
                    ids.extend(&void.of);
                }
            }
        }
        out.sort();
        out.dedup();
        out
    }
}

impl PartialEq for Log {
    fn eq(&self, other: &Self) -> bool {
        self.rows() == other.rows()
    }
}

/// Whether two entries of one id say the same. A row of a CSV file is named by what it says, so
/// where it stood, and beside which others, makes no second entry of it.
fn says_the_same(a: &Entry, b: &Entry) -> bool {
    a == b
        || a.id.as_str().starts_with("c-")
            && (a.at, &a.by, &a.what, &a.corrects, &a.why)
                == (b.at, &b.by, &b.what, &b.corrects, &b.why)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::entry::Void;
    use crate::site::example::note;

    fn void(id: &str, of: &[&str]) -> Entry {
        Entry {
            what: Do::Void(Void {
                of: of.iter().map(|id| (*id).into()).collect(),
            }),
            ..note(id, 9)
        }
    }

    fn log(entries: &[Entry]) -> Log {
        let mut log = Log::default();
        for entry in entries {
            log.add(entry.clone());
        }
        log
    }

    #[test]
    fn a_struck_entry_no_longer_counts_and_striking_the_strike_brings_it_back() {
        let mut log = log(&[note("w-1", 1), void("w-2", &["w-1"])]);
        assert!(!log.counts(&"w-1".into()));
        assert!(log.of_line(&"L-1".into()).is_empty());
        log.add(void("w-3", &["w-2"]));
        assert!(log.counts(&"w-1".into()));
    }

    #[test]
    fn a_correction_takes_the_place_of_what_it_corrects_until_it_is_struck() {
        let correction = Entry {
            corrects: Some("w-1".into()),
            ..note("w-2", 2)
        };
        let mut log = log(&[note("w-1", 1), correction]);
        assert!(!log.counts(&"w-1".into()));
        assert!(log.counts(&"w-2".into()));
        log.add(void("w-3", &["w-2"]));
        assert!(log.counts(&"w-1".into()));
    }

    #[test]
    fn a_ring_of_strikes_counts_for_nothing_and_does_not_hang() {
        let log = log(&[
            void("w-1", &["w-2"]),
            void("w-2", &["w-1"]),
            void("w-3", &["w-3"]),
        ]);
        for id in ["w-1", "w-2", "w-3"] {
            assert!(!log.counts(&id.into()), "{id}");
        }
    }

    #[test]
    fn what_a_ring_strikes_stands_and_the_ring_is_told() {
        let ring = [
            note("n-1", 1),
            void("w-1", &["w-2", "n-1"]),
            void("w-2", &["w-1"]),
        ];
        let log = log(&ring);
        assert!(log.counts(&"n-1".into()));
        assert_eq!(log.rings(), [EntryId::from("w-1"), "w-2".into()]);
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_strikes_comes_to_an_end() {
        let mut entries = vec![note("w-0", 1)];
        for n in 1..=100_000 {
            entries.push(void(&format!("w-{n}"), &[&format!("w-{}", n - 1)]));
        }
        let log = log(&entries);
        let counting = entries.iter().filter(|it| log.counts(&it.id)).count();
        // Every second one, the last among them.
        assert_eq!(counting, 50_001);
        assert!(log.counts(&"w-0".into()));
    }

    #[test]
    fn strikes_that_cross_chain_upon_chain_come_to_an_end() {
        // Each layer of two strikes both of the layer below: 2^100 ways from the lowest to the top.
        let mut entries = vec![note("n-0", 1)];
        let mut below = vec!["n-0".to_owned()];
        for layer in 1..=100 {
            let own: Vec<String> = (0..2).map(|n| format!("w{n}-{layer}")).collect();
            let of: Vec<&str> = below.iter().map(String::as_str).collect();
            entries.extend(own.iter().map(|id| void(id, &of)));
            below = own;
        }
        // An even number of layers above: every second one counts, the lowest among them.
        assert!(log(&entries).counts(&"n-0".into()));
    }

    #[test]
    fn the_same_entry_twice_is_one_and_a_forged_id_keeps_both() {
        let mut log = log(&[note("w-1", 1)]);
        assert!(!log.add(note("w-1", 1)));
        assert!(log.add(note("w-1", 2)));
        assert_eq!(log.entries().len(), 2);
    }

    #[test]
    fn a_line_tells_its_story_in_order_of_time_then_counter_as_a_number() {
        let log = log(&[note("w-10", 5), note("w-9", 5), note("v-11", 1)]);
        let ids: Vec<_> = log
            .of_line(&"L-1".into())
            .iter()
            .map(|e| e.id.to_string())
            .collect();
        assert_eq!(ids, ["v-11", "w-9", "w-10"]);
    }

    #[test]
    fn a_strike_touches_the_line_of_what_it_strikes() {
        let log = log(&[note("w-1", 1), void("w-2", &["w-1"])]);
        assert_eq!(log.touched(&void("w-3", &["w-2"])), [LineId::from("L-1")]);
    }
}
