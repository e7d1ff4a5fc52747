//! The same slip in a run of readings made one after another: whoever left the multiplier of the range
//! out, or holds the wrong meter, does so until it is noticed.
//!
//! A run begins as a single slip does. How surely the next reading has it too nobody knows beforehand:
//! every share from none to all is as likely, \[assumed\] so that the second has it with 1 / 2, the third
//! after two with 2 / 3, and all n of a run with 1 / n:
//!
//! ```text
//!   odds = rate / n x product of p(reading | slip) / p(reading | own hypotheses)
//! ```
//!
//! for each longest stretch of one meter's readings of which every one raises the odds. A reading of which
//! it cannot be told is passed over.
//!
//! Never here: what the slips are.

use super::survey::{Odds, Survey, What};

/// ln of the ratio from which on a reading raises the odds of a run: the next has the slip with 1 / 2 at
/// the least.
const RISES: f64 = std::f64::consts::LN_2;

/// ln p of a line's reading with a slip over that of its own hypotheses; none where it cannot be told.
pub(super) type LnRatio = Option<f64>;

/// The readings of a site in the order that each meter made them.
pub(super) struct Runs {
    /// Places of lines with a figure.
    in_turn: Vec<usize>,
}

impl Runs {
    pub fn of(survey: &Survey<'_>) -> Self {
        let mut in_turn: Vec<usize> = (0..survey.read.len()).collect();
        in_turn.sort_by_key(|at| {
            let line = &survey.read[*at];
            (line.weigher.own.meter, line.turn)
        });
        Self { in_turn }
    }

    /// Enters every run of a slip of this rate; `ln_ratios` line by line, `together` the ln of what the
    /// readings of a run are worth together over the product of each by itself.
    pub fn enter(
        &self,
        survey: &Survey<'_>,
        odds: &mut Odds,
        (ln_rate, ln_ratios): (f64, &[LnRatio]),
        together: impl Fn(&[usize]) -> f64,
        what: impl Fn() -> What,
    ) {
        let meter = |at: usize| survey.read[at].weigher.own.meter;
        let mut run: Vec<usize> = Vec::new();
        let mut ln_odds = 0.0;
        let mut end = |run: &mut Vec<usize>, ln_odds: f64| {
            if run.len() > 1 {
                #[allow(clippy::cast_precision_loss)]
                let ln_length = (run.len() as f64).ln();
                let ln_odds = ln_odds - ln_length + together(run);
                odds.enter_run(run, ln_odds, &what);
            }
            run.clear();
        };
        for at in self.in_turn.iter().copied() {
            let goes_on = run.last().is_some_and(|last| meter(*last) == meter(at));
            let Some(ln) = ln_ratios[at] else {
                continue;
            };
            if !goes_on || ln <= RISES {
                end(&mut run, ln_odds);
                ln_odds = ln_rate;
            }
            if ln > RISES {
                ln_odds += ln;
                run.push(at);
            }
        }
        end(&mut run, ln_odds);
    }
}
