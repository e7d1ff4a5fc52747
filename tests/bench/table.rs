//! Times taken in turn, so that whatever else the machine does falls on both sides alike, and the
//! table of their ratios.

use std::time::{Duration, Instant};

/// How long a piece of work takes.
pub fn time<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let start = Instant::now();
    let done = std::hint::black_box(work());
    (start.elapsed(), done)
}

/// The middle of several times, in seconds.
pub fn median(times: &[Duration]) -> f64 {
    let mut seconds: Vec<f64> = times.iter().map(Duration::as_secs_f64).collect();
    seconds.sort_by(f64::total_cmp);
    let n = seconds.len();
    match n {
        0 => f64::NAN,
        _ if n % 2 == 1 => seconds[n / 2],
        _ => (seconds[n / 2 - 1] + seconds[n / 2]) / 2.0,
    }
}

/// Two pieces of work in turn, so many times each; the medians.
pub fn in_turn(
    times: usize,
    mut one: impl FnMut() -> Duration,
    mut other: impl FnMut() -> Duration,
) -> (f64, f64) {
    let (mut ones, mut others) = (Vec::new(), Vec::new());
    for _ in 0..times {
        ones.push(one());
        others.push(other());
    }
    (median(&ones), median(&others))
}

/// What a ratio has to be.
#[derive(Clone, Copy)]
pub enum Limit {
    Below(f64),
    AtMost(f64),
    AtLeast(f64),
}

/// Rows of the table.
#[derive(Default)]
pub struct Table(Vec<[String; 4]>);

impl Table {
    /// A ratio against its limit.
    pub fn row(&mut self, what: &str, ratio: f64, limit: Limit) {
        let (words, held) = match limit {
            Limit::Below(limit) => (format!("below {limit}"), ratio < limit),
            Limit::AtMost(limit) => (format!("at most {limit}"), ratio <= limit),
            Limit::AtLeast(limit) => (format!("at least {limit}"), ratio >= limit),
        };
        let word = if held { "held" } else { "fell short" };
        self.add([what, &three_digits(ratio), &words, word]);
    }

    /// What could not be taken, and why.
    pub fn missing(&mut self, what: &str, why: &str) {
        self.add([what, "-", "-", why]);
    }

    fn add(&mut self, row: [&str; 4]) {
        eprintln!("{}: {} ({}) {}", row[0], row[1], row[2], row[3]);
        self.0.push(row.map(str::to_owned));
    }

    /// The whole table, as Markdown.
    pub fn print(&self) {
        println!("| what | ratio | limit | |");
        println!("| --- | ---: | --- | --- |");
        for [what, ratio, limit, word] in &self.0 {
            println!("| {what} | {ratio} | {limit} | {word} |");
        }
    }
}

fn three_digits(ratio: f64) -> String {
    match ratio {
        r if r >= 100.0 => format!("{r:.0}"),
        r if r >= 10.0 => format!("{r:.1}"),
        r if r >= 0.1 => format!("{r:.2}"),
        r => format!("{r:.5}"),
    }
}
