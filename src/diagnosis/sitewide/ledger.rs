//! Odds of mistakes, and the probabilities that they make together.
//!
//! probability = odds / (1 + sum of all odds that touch one of its lines, the largest such sum).
//!
//! What touches all lines stands against all runs of slips at once: beside one of them, or beside one
//! line, its odds are over those of the other runs.
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
    /// Runs of slips: lines and ln of odds.
    runs: Vec<(Vec<usize>, f64)>,
}

/// Runs that have no line in common, the likeliest first.
struct Apart {
    /// The run that each line is in.
    of_line: Vec<Option<usize>>,
    /// ln of 1 + odds of each.
    ln_whole: Vec<f64>,
    /// Of all of them.
    all: f64,
}

impl Apart {
    fn of(lines: usize, mut runs: Vec<(Vec<usize>, f64)>) -> Self {
        runs.sort_by(|a, b| b.1.total_cmp(&a.1));
        let mut of_line = vec![None; lines];
        let mut ln_whole = Vec::new();
        for (run, ln_odds) in runs {
            if run.iter().all(|line| of_line[*line].is_none()) {
                for line in run {
                    of_line[line] = Some(ln_whole.len());
                }
                ln_whole.push(ln_add(0.0, ln_odds));
            }
        }
        let all = ln_whole.iter().sum();
        Self {
            of_line,
            ln_whole,
            all,
        }
    }

    /// ln of what the runs beside these lines come to; beside the likeliest where it is all lines.
    fn beside(&self, lines: &[usize]) -> f64 {
        let mut own: Vec<usize> = lines.iter().filter_map(|it| self.of_line[*it]).collect();
        own.sort_unstable();
        own.dedup();
        let own: f64 = match lines {
            [] => self.ln_whole.first().copied().unwrap_or(0.0),
            _ => own.iter().map(|run| self.ln_whole[*run]).sum(),
        };
        self.all - own
    }
}

/// ln of odds under which a mistake counts but is not kept: it would never be shown.
const KEPT_FROM: f64 = -5.0;

impl<T> Ledger<T> {
    pub fn new(lines: usize) -> Self {
        Self {
            entries: Vec::new(),
            touching: vec![f64::NEG_INFINITY; lines],
            everywhere: f64::NEG_INFINITY,
            runs: Vec::new(),
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

    /// Enters a run of slips.
    pub fn enter_run(&mut self, lines: &[usize], ln_odds: f64, what: impl FnOnce() -> T) {
        self.enter(lines, ln_odds, what);
        self.runs.push((lines.to_vec(), ln_odds));
    }

    /// ln of 1 + the largest sum of odds that touch one of these lines.
    fn ln_whole(&self, lines: &[usize], apart: &Apart) -> f64 {
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
        ln_add(0.0, ln_add(most, self.everywhere - apart.beside(lines)))
    }

    /// The mistakes that have at least this probability, each with it.
    pub fn settle(mut self, least: f64) -> Vec<(Entry<T>, f64)> {
        let apart = Apart::of(self.touching.len(), std::mem::take(&mut self.runs));
        let p: Vec<f64> = self
            .entries
            .iter()
            .map(|it| {
                let ln_odds = match it.lines[..] {
                    [] => it.ln_odds - apart.beside(&[]),
                    _ => it.ln_odds,
                };
                (ln_odds - self.ln_whole(&it.lines, &apart)).exp()
            })
            .collect();
        self.entries
            .into_iter()
            .zip(p)
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
    fn what_touches_all_lines_stands_against_all_runs_at_once() {
        let mut ledger = Ledger::new(5);
        ledger.enter_run(&[0, 1], 50f64.ln(), || "run");
        ledger.enter_run(&[2, 3], 20f64.ln(), || "other run");
        // The same lines as another slip: only the likelier of the two counts.
        ledger.enter_run(&[3, 4], 2f64.ln(), || "less likely");
        ledger.enter(&[4], 1f64.ln(), || "single");
        ledger.enter(&[], 100f64.ln(), || "all");
        let got = ledger.settle(0.0);
        let p: Vec<f64> = got.iter().map(|it| it.1).collect();
        // Over all it is 100 against 51 x 21; the third line has 20 and 2 against 100 / 51.
        let (beside_one, beside_other) = (100.0 / 21.0, 100.0 / 51.0);
        let beside_both = 100.0 / (51.0 * 21.0);
        let want = [
            50.0 / (51.0 + beside_one),
            20.0 / (23.0 + beside_other),
            2.0 / (23.0 + beside_other),
            1.0 / (4.0 + beside_both),
            beside_one / (51.0 + beside_one),
        ];
        for (p, want) in p.iter().zip(want) {
            assert!((p - want).abs() < 1e-12, "{p} {want}");
        }
    }

    #[test]
    fn odds_beyond_all_numbers_still_make_a_probability() {
        let mut ledger = Ledger::new(1);
        ledger.enter(&[], 5000.0, || ());
        assert!((ledger.settle(0.05)[0].1 - 1.0).abs() < 1e-12);
    }
}
