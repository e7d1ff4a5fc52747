//! Rates that learn: causes confirmed by repairs counted beside the default rates, so that a building
//! with old joints is diagnosed as one.
//!
//! rate' = (50 rate + confirmed) / (50 + looked at): the mean of a Beta that began worth 50 looks.
//! Looked at are the loudspeakers, runs, controls or lines whose state is settled: on a line in
//! tolerance of which all were heard, every one; elsewhere those of which a repair confirmed some
//! cause. Faults that exclude each other at a place (a tap wrong, a coil open) share their looks:
//! where the one was found the other was not, so every kind of a list has the same number of looks,
//! and their rates together stay the rate of that list. \[assumed\] Off where the figure
//! `learn_rates` is 0.
//!
//! Never here: what the rates are used for.

use super::sweep::Sweep;
use super::{Analyst, LineResult};
use crate::diagnosis::{FAULTS, FaultKind, FaultType, List, Prepared};
use crate::quantity::Fraction;
use crate::site::{Do, Figure, Figures, LinePlan, NodeId, Site};

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

/// How many of what the faults of a list may befall are on a line.
fn exposed(list: List, line: &LinePlan) -> usize {
    match list {
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

/// How many kinds of fault have a rate: all but none and two at once.
const KINDS: usize = FaultKind::ALL.len() - 2;

/// What one line tells of each fault: causes confirmed, and looked at.
type Looks = [(usize, usize); KINDS];

/// Of one line.
fn looks(site: &Site, line: &LinePlan, result: &LineResult) -> Looks {
    let mut out = [(0, 0); KINDS];
    let figures = site.figures();
    if figures.get(Figure::LearnRates) <= 0.0 {
        return out;
    }
    let settled = is_settled(result, Fraction(figures.get(Figure::Tolerance)));
    let history = site.history(&line.id);
    let kind = |cause: &str| FAULTS.into_iter().find(|of| of.kind.as_str() == cause);
    let found: Vec<(&FaultType, Option<&NodeId>)> = history
        .entries()
        .iter()
        .filter_map(|entry| match &entry.what {
            Do::Repair(repair) => Some((kind(repair.cause.as_deref()?)?, repair.place.as_ref())),
            _ => None,
        })
        .collect();
    for (of, (confirmed, looked_at)) in FAULTS.into_iter().zip(&mut out) {
        *confirmed = found.iter().filter(|it| it.0.kind == of.kind).count();
        let in_list: Vec<Option<&NodeId>> = found
            .iter()
            .filter(|it| it.0.list == of.list)
            .map(|it| it.1)
            .collect();
        *looked_at = in_list.len();
        if settled {
            // A place found bad was looked at each time it was; that it is good now is the repair's
            // doing. Every other one was looked at once.
            let bad = distinct(&in_list, of.list);
            *looked_at += exposed(of.list, line).saturating_sub(bad);
        }
    }
    out
}

/// How many places these are; one that was not noted is taken for another. Of a list of the whole
/// line there is one.
fn distinct(places: &[Option<&NodeId>], list: List) -> usize {
    if list.is_of_the_line() {
        return places.len().min(1);
    }
    let unknown = places.iter().filter(|it| it.is_none()).count();
    let mut known: Vec<&NodeId> = places.iter().flatten().copied().collect();
    known.sort();
    known.dedup();
    unknown + known.len()
}

fn sum(all: &[Looks]) -> Looks {
    let mut out = [(0, 0); KINDS];
    for looks in all {
        for (sum, it) in out.iter_mut().zip(looks) {
            sum.0 += it.0;
            sum.1 += it.1;
        }
    }
    out
}

fn learned(site: &Site, all: &Looks) -> Vec<LearnedRate> {
    FAULTS
        .into_iter()
        .enumerate()
        .map(|(at, of)| {
            let set = site.figures().get(of.rate);
            let (confirmed, looked_at) = all[at];
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

/// Every rate of a fault of a line, as confirmed causes have it.
#[must_use]
pub fn learned_rates(site: &Site, lines: &[LineResult]) -> Vec<LearnedRate> {
    learned(site, &sum(&all_looks(site, lines)))
}

/// Of every line.
fn all_looks(site: &Site, lines: &[LineResult]) -> Vec<Looks> {
    let plan = site.plan().lines.iter().zip(lines);
    plan.map(|(line, result)| looks(site, line, result))
        .collect()
}

/// The site's figures with the rates that were learned.
fn figures(site: &Site, all: &Looks) -> Figures {
    let rates = learned(site, all)
        .into_iter()
        .filter(|it| it.looked_at > 0)
        .map(|it| (it.figure, it.rate));
    Figures::with(site.figures().own().chain(rates))
}

/// What each line tells of the rates, and the site's figures with the rates so learned.
#[derive(Debug)]
pub(super) struct Rates {
    looks: Vec<Looks>,
    /// Their sum.
    all: Looks,
    /// The figures that suspects are weighed by.
    pub figures: Figures,
}

impl Rates {
    pub fn of(site: &Site, lines: &[LineResult]) -> Self {
        let looks = all_looks(site, lines);
        let all = sum(&looks);
        let figures = figures(site, &all);
        Self {
            looks,
            all,
            figures,
        }
    }

    /// Counts a line anew, because facts of it have changed.
    pub fn touched(&mut self, site: &Site, at: usize, result: &LineResult) {
        let now = looks(site, &site.plan().lines[at], result);
        let before = std::mem::replace(&mut self.looks[at], now);
        for (sum, (now, before)) in self.all.iter_mut().zip(now.iter().zip(&before)) {
            sum.0 = sum.0 + now.0 - before.0;
            sum.1 = sum.1 + now.1 - before.1;
        }
    }
}

impl Analyst {
    /// A cause confirmed, or one more line settled: what every line's suspects rest on is another,
    /// and all of it is reckoned anew while the program idles.
    pub(super) fn learn_rates(&mut self, site: &Site) {
        let figures = figures(site, &self.rates.all);
        if figures == self.rates.figures {
            return;
        }
        self.rates.figures = figures;
        self.sweep = Sweep::new(self.lines.len());
        if let Some((at, _)) = self.looked_at {
            self.looked_at = Some((at, self.prepare(site, at)));
        }
    }

    /// A line made ready for diagnosis.
    pub(super) fn prepare(&self, site: &Site, at: usize) -> Prepared {
        Prepared::new(
            &site.plan().lines[at],
            &self.rates.figures,
            site.returning(),
        )
    }
}
