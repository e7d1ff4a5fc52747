//! Rates that learn: causes confirmed by repairs counted beside the default rates, so that a building
//! with old joints is diagnosed as one.
//!
//! rate' = (50 rate + confirmed) / (50 + looked at): the mean of a Beta (or Gamma) that began worth 50
//! looks. Looked at are the loudspeakers, runs, controls or lines whose state is settled: on a line in
//! tolerance of which all were heard, every one; elsewhere those whose cause a repair confirmed.
//! \[assumed\] Off where the figure `learn_rates` is 0.
//!
//! Never here: what the rates are used for.

use super::sweep::Sweep;
use super::{Analyst, LineResult};
use crate::diagnosis::{FAULTS, FaultType, List, Prepared};
use crate::quantity::Fraction;
use crate::site::{Do, Figure, Figures, LinePlan, Site};

/// What the default rate is worth, in looks. \[assumed\]
const WORTH: f64 = 50.0;

/// A rate, and what it became.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LearnedRate {
    /// Which.
    pub figure: Figure,
    /// As set for the site, else the default; a share.
    pub set: f64,
    /// Causes confirmed by repairs.
    pub confirmed: usize,
    /// Loudspeakers, runs, controls or lines whose state is settled.
    pub looked_at: usize,
    /// With those counted.
    pub rate: f64,
}

/// How many of what a fault may befall are on a line.
fn exposed(of: &FaultType, line: &LinePlan) -> usize {
    match of.list {
        List::Loudspeaker => line.loudspeakers(),
        List::Run => line.nodes.len(),
        List::Control => line.nodes.iter().filter(|node| node.control).count(),
        List::Unlisted | List::Voltage => 1,
    }
}

/// In tolerance as read, and all heard. The verdict itself follows what is learned of the meter, and
/// what rates rest on must depend on the facts alone.
fn is_settled(result: &LineResult, tolerance: Fraction) -> bool {
    let deviation = result.taken.as_ref().and_then(|taken| taken.deviation);
    deviation.is_some_and(|it| it.get().abs() <= tolerance.get())
        && result.loudspeakers > 0
        && result.asked >= result.loudspeakers
        && !result.not_all_well
}

/// Every rate of a fault of a line, as confirmed causes have it.
#[must_use]
pub fn learned_rates(site: &Site, lines: &[LineResult]) -> Vec<LearnedRate> {
    let figures = site.figures();
    let tolerance = Fraction(figures.get(Figure::Tolerance));
    let mut counts = vec![(0usize, 0usize); FAULTS.len()];
    if figures.get(Figure::LearnRates) > 0.0 {
        for (line, result) in site.plan().lines.iter().zip(lines) {
            let settled = is_settled(result, tolerance);
            let history = site.history(&line.id);
            for (of, (confirmed, looked_at)) in FAULTS.into_iter().zip(&mut counts) {
                let found = history.entries().iter().filter(|entry| {
                    matches!(&entry.what, Do::Repair(repair)
                        if repair.cause.as_deref() == Some(of.kind.as_str()))
                });
                let found = found.count();
                *confirmed += found;
                *looked_at += if settled {
                    exposed(of, line).max(found)
                } else {
                    found
                };
            }
        }
    }
    FAULTS
        .into_iter()
        .zip(counts)
        .map(|(of, (confirmed, looked_at))| {
            let set = figures.get(of.rate);
            LearnedRate {
                figure: of.rate,
                set,
                confirmed,
                looked_at,
                rate: (WORTH * set + confirmed as f64) / (WORTH + looked_at as f64),
            }
        })
        .collect()
}

/// The site's figures with the rates that were learned.
pub(super) fn figures(site: &Site, lines: &[LineResult]) -> Figures {
    let learned = learned_rates(site, lines).into_iter();
    let rates = learned
        .filter(|it| it.looked_at > 0)
        .map(|it| (it.figure, it.rate));
    Figures::with(site.figures().own().chain(rates))
}

impl Analyst {
    /// A cause confirmed, or one more line settled: what every line's suspects rest on is another,
    /// and all of it is reckoned anew while the program idles.
    pub(super) fn learn_rates(&mut self, site: &Site) {
        let figures = figures(site, &self.lines);
        if figures == self.figures {
            return;
        }
        self.figures = figures;
        self.sweep = Sweep::new(self.lines.len());
        if let Some((at, _)) = self.looked_at {
            self.looked_at = Some((at, self.prepare(site, at)));
        }
    }

    /// A line made ready for diagnosis.
    pub(super) fn prepare(&self, site: &Site, at: usize) -> Prepared {
        Prepared::new(&site.plan().lines[at], &self.figures, site.returning())
    }
}
