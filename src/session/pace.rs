//! How long it took so far and how long it may take: from the times of the readings alone.

use super::Session;
use crate::quantity::{Minutes, show};
use crate::site::Do;
use jiff::Timestamp;

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

/// Minutes between the first and the last of these times, breaks left out, and the steps between
/// them; none for fewer than two.
fn at_work(mut times: Vec<Timestamp>) -> Option<(f64, usize)> {
    times.sort_unstable();
    let steps: Vec<i64> = times
        .windows(2)
        .map(|pair| pair[1].as_second() - pair[0].as_second())
        .filter(|gap| *gap <= BREAK_S)
        .collect();
    (!steps.is_empty()).then(|| (steps.iter().sum::<i64>() as f64 / 60.0, steps.len()))
}

impl Session {
    /// The pace of the last day that anything was read on; none before its second reading.
    pub(super) fn pace(&self) -> Option<Pace> {
        let log = self.site.log();
        let day = |at: Timestamp| at.to_zoned_datetime(self.opening.zone.clone()).date();
        let last = day(self.analyst.last_reading()?.at);
        let times = log
            .entries()
            .iter()
            .filter(|entry| matches!(&entry.what, Do::Read(read) if read.cut.is_none() && !read.is_dc()))
            .filter(|entry| day(entry.at) == last && log.counts(&entry.id))
            .map(|entry| entry.at)
            .collect();
        let (minutes, steps) = at_work(times)?;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_break_is_no_work() {
        let times = [0, 120, 300, 300 + 3600, 300 + 3600 + 180]
            .map(|second| Timestamp::from_second(second).unwrap());
        // 2, 3 and 3 minutes; the hour between is dinner.
        assert_eq!(at_work(times.to_vec()), Some((8.0, 3)));
        assert_eq!(at_work(times[..1].to_vec()), None);
    }
}
