//! The order of entries: that of the file by their times, and that in which a line's are told, whatever the
//! clocks said.
//!
//! A laptop's clock may be set back in the middle of a sitting: what was typed later would stand
//! before what was typed earlier, and an old reading would count as the last. The counter in an id
//! knows better: an entry stands no earlier than any that the same opening recorded before it. The
//! times themselves stay as they are. Between two openings the clock alone tells.

use super::entry::Entry;
use super::id::counter;
use jiff::Timestamp;

/// The second that a time is in: the log has no finer ones, so that what stands in the file is what the
/// screen shows.
#[must_use]
pub fn whole_second(at: Timestamp) -> Timestamp {
    Timestamp::from_second(at.as_second()).unwrap_or(at)
}

/// The order of the file: by time, then row or counter, then id. A line's story follows it too, but for
/// what one opening recorded while its clock ran backwards.
#[must_use]
pub fn in_order(a: &Entry, b: &Entry) -> std::cmp::Ordering {
    a.at.cmp(&b.at)
        .then_with(|| place(a).cmp(&place(b)))
        .then_with(|| a.id.cmp(&b.id))
}

/// Row of a file, else the counter of the writer.
fn place(entry: &Entry) -> u64 {
    match entry.row {
        Some(row) => row.into(),
        None => counter(entry.id.as_str()),
    }
}

/// The opening that recorded an entry and its count there; none for a row of a file.
fn counted(entry: &Entry) -> Option<(&str, u64)> {
    if entry.row.is_some() {
        return None;
    }
    let (writer, count) = entry.id.as_str().rsplit_once('-')?;
    Some((writer, count.parse().ok()?))
}

/// Entries in the order of their telling.
pub(super) fn in_telling_order(mut entries: Vec<&Entry>) -> Vec<&Entry> {
    entries.sort_by(|a, b| in_order(a, b));
    if runs_forward(&entries) {
        return entries;
    }
    let mut by_count = entries.clone();
    by_count.sort_by_key(|entry| counted(entry));
    let mut latest: Option<(&str, Timestamp)> = None;
    let mut out: Vec<(Timestamp, &Entry)> = Vec::new();
    for entry in by_count {
        let Some((writer, _)) = counted(entry) else {
            out.push((entry.at, entry));
            continue;
        };
        let before = latest.filter(|(other, _)| *other == writer);
        let at = before.map_or(entry.at, |(_, at)| at.max(entry.at));
        latest = Some((writer, at));
        out.push((at, entry));
    }
    out.sort_by(|(at, a), (other, b)| {
        let counts = (counted(a), counted(b));
        let own = match counts {
            (Some((one, n)), Some((two, m))) if one == two => n.cmp(&m),
            _ => std::cmp::Ordering::Equal,
        };
        at.cmp(other).then(own).then_with(|| in_order(a, b))
    });
    out.into_iter().map(|(_, entry)| entry).collect()
}

/// Whether by time every opening's entries are in the order of their counts: as a rule they are.
fn runs_forward(entries: &[&Entry]) -> bool {
    let mut last: Vec<(&str, u64)> = Vec::new();
    for (writer, count) in entries.iter().filter_map(|entry| counted(entry)) {
        match last.iter_mut().find(|(other, _)| *other == writer) {
            Some((_, before)) if *before > count => return false,
            Some((_, before)) => *before = count,
            None => last.push((writer, count)),
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::example::note;

    fn order(entries: &[Entry]) -> Vec<&str> {
        let told = in_telling_order(entries.iter().collect());
        told.into_iter().map(|entry| entry.id.as_str()).collect()
    }

    #[test]
    fn a_clock_set_back_does_not_bring_an_old_reading_to_the_end() {
        // Set back by an hour before the third.
        let own = [note("w-1", 7000), note("w-2", 7100), note("w-10", 3600)];
        assert_eq!(order(&own), ["w-1", "w-2", "w-10"]);
    }

    #[test]
    fn between_two_openings_the_clock_tells_and_the_same_facts_give_the_same_order() {
        let mut all = vec![
            note("w-1", 7000),
            note("w-2", 3600),
            note("v-1", 3700),
            note("v-2", 8000),
        ];
        let wanted = ["v-1", "w-1", "w-2", "v-2"];
        assert_eq!(order(&all), wanted);
        all.reverse();
        assert_eq!(order(&all), wanted);
    }
}
