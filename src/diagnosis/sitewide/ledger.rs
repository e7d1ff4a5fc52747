//! Odds of mistakes, and the probabilities that they make together.
//!
//! probability = odds / (1 + sum of all odds that touch one of its lines, the largest such sum).
//!
//! Never here: where odds come from.

use crate::diagnosis::slips::ln_add;

/// A mistake with its odds against the lines' own hypotheses.
#[derive(Clone, Debug)]
pub(super) struct Entry<T> {
    /// What it is.
    pub what: T,
    /// Places of the lines it touches; none where it touches all.
    pub lines: Vec<usize>,
    /// ln of its probability over that of the lines' own hypotheses, the readings in.
    pub ln_odds: f64,
}

/// The odds of every mistake that was asked about on a site.
#[derive(Clone, Debug)]
pub(super) struct Ledger<T> {
    entries: Vec<Entry<T>>,
    /// ln of the sum of odds that touch each line.
    touching: Vec<f64>,
    everywhere: f64,
}

/// ln of odds under which a mistake counts but is not kept: it would never be shown.
const KEPT_FROM: f64 = -5.0;

impl<T> Ledger<T> {
    pub fn new(lines: usize) -> Self {
        Self {
            entries: Vec::new(),
            touching: vec![f64::NEG_INFINITY; lines],
            everywhere: f64::NEG_INFINITY,
        }
    }

    /// Counts odds without keeping what they are of.
    pub fn count(&mut self, lines: &[usize], ln_odds: f64) {
        if lines.is_empty() {
            self.everywhere = ln_add(self.everywhere, ln_odds);
        }
        for line in lines {
            self.touching[*line] = ln_add(self.touching[*line], ln_odds);
        }
    }

    /// Counts odds, and keeps what they are of where they may be shown.
    pub fn enter(&mut self, lines: &[usize], ln_odds: f64, what: impl FnOnce() -> T) {
        self.count(lines, ln_odds);
        if ln_odds >= KEPT_FROM {
            self.entries.push(Entry {
                what: what(),
                lines: lines.to_vec(),
                ln_odds,
            });
        }
    }

    /// ln of 1 + the largest sum of odds that touch one of these lines.
    fn ln_whole(&self, lines: &[usize]) -> f64 {
        let most = if lines.is_empty() {
            self.touching
                .iter()
                .copied()
                .fold(f64::NEG_INFINITY, f64::max)
        } else {
            lines
                .iter()
                .map(|line| self.touching[*line])
                .fold(f64::NEG_INFINITY, f64::max)
        };
        ln_add(0.0, ln_add(most, self.everywhere))
    }

    /// The mistakes that have at least this probability, each with it.
    pub fn settle(self, least: f64) -> Vec<(Entry<T>, f64)> {
        let whole: Vec<f64> = self
            .entries
            .iter()
            .map(|it| self.ln_whole(&it.lines))
            .collect();
        self.entries
            .into_iter()
            .zip(whole)
            .map(|(entry, whole)| {
                let p = (entry.ln_odds - whole).exp();
                (entry, p)
            })
            .filter(|(_, p)| *p >= least)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odds_are_weighed_against_all_that_touch_the_same_lines() {
        let mut ledger = Ledger::new(3);
        ledger.enter(&[0, 1], 8f64.ln(), || "swapped");
        ledger.enter(&[1], 1f64.ln(), || "range");
        ledger.enter(&[2], 3f64.ln(), || "dc");
        ledger.count(&[], 0.5f64.ln());
        let got = ledger.settle(0.05);
        let p: Vec<f64> = got.iter().map(|it| it.1).collect();
        // Line 1 is touched by 8 + 1 + 0.5, line 2 by 3 + 0.5.
        for (p, want) in p.iter().zip([8.0 / 10.5, 1.0 / 10.5, 3.0 / 4.5]) {
            assert!((p - want).abs() < 1e-12);
        }
    }

    #[test]
    fn odds_beyond_all_numbers_still_make_a_probability() {
        let mut ledger = Ledger::new(1);
        ledger.enter(&[], 5000.0, || ());
        assert!((ledger.settle(0.05)[0].1 - 1.0).abs() < 1e-12);
    }
}
