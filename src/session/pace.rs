//! How long the work took so far and how long the rest may take, from the times of the readings alone.

use super::Session;
use crate::quantity::{Minutes, show};
use crate::site::{Do, Entry};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};
use std::ops::Range;

/// A gap between two readings longer than this is a break, not work. \[assumed\]
const BREAK_S: i64 = 20 * 60;

/// Lines read in a visit, and the time they took.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pace {
    /// Minutes at work, breaks left out.
    pub elapsed: Minutes,
    /// Minutes a line.
    pub a_line: Minutes,
    /// Lines unread.
    pub left: usize,
    /// Minutes they will take at that pace.
    pub remaining: Minutes,
}

/// When the lines of the last day that anything was read on were read at the rack.
#[derive(Debug, Default)]
pub(super) struct Worked {
    /// So many entries of the log were looked at.
    seen: usize,
    /// The day, from its first moment to that of the next.
    day: Option<Range<Timestamp>>,
    /// Sorted.
    times: Vec<Timestamp>,
}

impl Worked {
    fn takes(&self, entry: &Entry) -> bool {
        let is_rack = matches!(&entry.what, Do::Read(read) if read.cut.is_none() && !read.is_dc());
        is_rack && self.day.as_ref().is_some_and(|day| day.contains(&entry.at))
    }
}

/// Minutes between the first and the last of these times, breaks left out, and the steps between
/// them; none for fewer than two. The times are sorted.
fn at_work(times: &[Timestamp]) -> Option<(f64, usize)> {
    let steps: Vec<i64> = times
        .windows(2)
        .map(|pair| pair[1].as_second() - pair[0].as_second())
        .filter(|gap| *gap <= BREAK_S)
        .collect();
    (!steps.is_empty()).then(|| (steps.iter().sum::<i64>() as f64 / 60.0, steps.len()))
}

impl Session {
    /// Takes in what came into the log since; all of it anew where a reading may have gone.
    pub(super) fn follow_pace(&mut self) {
        let (log, worked) = (self.site.log(), &mut self.worked);
        let new = log.entries().get(worked.seen..).unwrap_or_default();
        if new.is_empty() {
            return;
        }
        let last = log.last_read().map(|entry| entry.at);
        let strikes = |entry: &Entry| entry.corrects.is_some() || matches!(entry.what, Do::Void(_));
        let stays =
            last.is_none_or(|last| worked.day.as_ref().is_some_and(|it| it.contains(&last)));
        if worked.seen > 0 && stays && !new.iter().any(strikes) {
            for entry in new {
                if worked.takes(entry) {
                    let at = worked.times.partition_point(|before| *before <= entry.at);
                    worked.times.insert(at, entry.at);
                }
            }
        } else {
            worked.day = last.and_then(|last| day_of(last, &self.opening.zone));
            let entries = log.entries().iter();
            let taken = entries.filter(|entry| worked.takes(entry) && log.counts(&entry.id));
            let mut times: Vec<Timestamp> = taken.map(|entry| entry.at).collect();
            times.sort_unstable();
            worked.times = times;
        }
        worked.seen = log.entries().len();
    }

    /// The pace of the last day that anything was read on; none before its second reading.
    pub(super) fn pace(&self) -> Option<Pace> {
        let (minutes, steps) = at_work(&self.worked.times)?;
        let counts = self.analyst.counts();
        let left = counts.lines - counts.read;
        let a_line = minutes / steps as f64;
        Some(Pace {
            elapsed: Minutes(minutes),
            a_line: Minutes(a_line),
            left,
            remaining: Minutes(a_line * left as f64),
        })
    }

    /// The pace in words: `41 min, 2.6 min a line, 30 left, about 77 min`.
    pub(super) fn pace_words(&self) -> Option<String> {
        let pace = self.pace()?;
        let whole = |minutes: Minutes| format!("{:.0} min", minutes.get());
        let left = match pace.left {
            0 => "none left".to_owned(),
            n => format!("{n} left, about {}", whole(pace.remaining)),
        };
        Some(format!(
            "{} at it, {} a line, {left}",
            whole(pace.elapsed),
            show::minutes(pace.a_line)
        ))
    }
}

/// The day of a moment where the clocks show this zone's time.
fn day_of(at: Timestamp, zone: &TimeZone) -> Option<Range<Timestamp>> {
    let first = at.to_zoned_datetime(zone.clone()).start_of_day().ok()?;
    let next = first.checked_add(1.day()).ok()?.start_of_day().ok()?;
    Some(first.timestamp()..next.timestamp())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_break_is_no_work() {
        let times = [0, 120, 300, 300 + 3600, 300 + 3600 + 180]
            .map(|second| Timestamp::from_second(second).unwrap());
        // 2, 3 and 3 minutes; the hour between is dinner.
        assert_eq!(at_work(&times), Some((8.0, 3)));
        assert_eq!(at_work(&times[..1]), None);
    }
}
