//! Typed at speed and killed at random moments: what the screen had called recorded is there.

use super::pty::*;
use std::time::{Duration, Instant};

/// Numbers that only look like chance (xorshift64*).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 16) % n
    }
}

/// Lines of the site.
const LINES: usize = 42;

/// How many of the lines the first row says are read.
fn count_in(first_row: &str) -> Option<usize> {
    let (before, _) = first_row.split_once(" of 42 read")?;
    before.split_whitespace().last()?.parse().ok()
}

/// The most lines that any whole frame said were read: a line is counted there only when the disk
/// has its reading. A frame ends by showing the cursor; one that was cut off counts for nothing.
fn most_shown(bytes: &[u8]) -> usize {
    let end = b"\x1b[?25h";
    let mut seen = parser(80, 24);
    let (mut most, mut from) = (0, 0);
    while let Some(at) = bytes[from..].windows(end.len()).position(|it| it == end) {
        let to = from + at + end.len();
        seen.process(&bytes[from..to]);
        from = to;
        let screen = seen.screen().contents();
        most = most.max(screen.lines().next().and_then(count_in).unwrap_or(0));
    }
    most
}

/// What a number of kills came to.
#[derive(Debug, Default)]
struct Counts {
    kills: usize,
    typed: usize,
    shown: usize,
    lost: usize,
    /// On the disk, not yet on the screen.
    ahead: usize,
}

/// The readings that the log holds, as typed, sorted.
fn texts(bench: &Bench) -> Vec<String> {
    let log = bench.run(&["log", bench.site().to_str().unwrap()]);
    let mut rows = csv::Reader::from_reader(log.as_bytes());
    let head = rows.headers().unwrap().clone();
    let at = |name: &str| head.iter().position(|it| it == name).unwrap();
    let (kind, value) = (at("kind"), at("value"));
    let mut out: Vec<String> = rows
        .records()
        .map(Result::unwrap)
        .filter(|row| &row[kind] == "impedance")
        .map(|row| row[value].to_owned())
        .collect();
    out.sort();
    out
}

/// Types one reading after the other, each as soon as the screen has the one before the last, and
/// kills the program at a random moment; again and again on one site until its lines are read, then
/// on the next.
fn kill(count: usize, seed: u64) -> Counts {
    let mut dice = Dice(seed);
    let mut counts = Counts::default();
    while counts.kills < count {
        let bench = Bench::new();
        let mut there = 0;
        while counts.kills < count && there + 25 <= LINES {
            counts.kills += 1;
            let mut terminal = bench.open();
            if dice.below(12) == 0 {
                // While it opens, or recovers what the last one left.
                std::thread::sleep(Duration::from_millis(dice.below(60)));
            } else {
                terminal.wait(&[&format!("{there} of 42 read"), ">"]);
                terminal.still_for(Duration::from_millis(30));
                if terminal.screen().contains("reading> ") {
                    // What the last one left half typed.
                    terminal.keys("\x7f\x7f\x7f\x7f");
                }
                // It may have been half typed on a line whose reading is there: from the top, the
                // next unread.
                terminal.keys("\x1b[Hgn");
                let new = usize::try_from(12 + dice.below(14)).unwrap();
                for typed in there..there + new {
                    let until = Instant::now() + PATIENCE;
                    while count_in(&terminal.row(0)).unwrap_or(0) + 1 < typed {
                        assert!(Instant::now() < until, "{}", terminal.screen());
                        std::thread::sleep(Duration::from_millis(1));
                    }
                    terminal.keys(&format!("{}\r", 101 + typed));
                }
                counts.typed += new;
                if dice.below(3) > 0 {
                    // In a pause of the typist; else in full flow.
                    terminal.wait(&[&format!("{} of 42 read", there + new)]);
                }
                std::thread::sleep(Duration::from_millis(dice.below(30)));
            }
            terminal.signal("KILL");
            terminal.end();
            let drawn = terminal.reader.take().unwrap();
            // The last bytes may still be in the pseudo-terminal; it ends when nobody holds it.
            let _ = drawn.join();
            let shown = most_shown(&terminal.bytes()).max(there);
            let found = texts(&bench);
            let wanted: Vec<String> = (0..found.len()).map(|n| (101 + n).to_string()).collect();
            assert_eq!(found, wanted, "nothing else, and none left out");
            counts.shown += shown - there;
            counts.lost += shown.saturating_sub(found.len());
            counts.ahead += found.len().saturating_sub(shown);
            there = found.len();
            if counts.kills.is_multiple_of(50) {
                eprintln!("so far {counts:?}");
            }
        }
    }
    counts
}

#[track_caller]
fn assert_kept(counts: &Counts) {
    eprintln!("{counts:?}");
    assert_eq!(counts.lost, 0, "{counts:?}");
    assert!(
        counts.shown * 100 >= counts.typed * 95,
        "too few were shown for this to say much: {counts:?}"
    );
}

#[test]
fn fifty_kills_lose_nothing_that_was_shown() {
    assert_kept(&kill(50, 7));
}

#[test]
#[ignore = "minutes; DEVELOPERS.md names the command"]
fn a_thousand_kills_lose_nothing_that_was_shown() {
    let mut all = Counts::default();
    std::thread::scope(|scope| {
        let part = |seed| scope.spawn(move || kill(250, seed));
        for part in [11, 12, 13, 14].map(part) {
            let part = part.join().unwrap();
            all.kills += part.kills;
            all.typed += part.typed;
            all.shown += part.shown;
            all.lost += part.lost;
            all.ahead += part.ahead;
        }
    });
    assert_kept(&all);
}
