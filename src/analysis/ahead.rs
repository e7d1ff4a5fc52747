//! Reckoning that takes its time, with all it needs beside it: done on whatever thread, its result
//! handed back. Keys go on meanwhile; what facts have overtaken is dropped.

use crate::diagnosis::{
    Evidence, FaultKind, KnownResistor, NextTest, Posterior, Prepared, Shared, SiteHint, SiteLine,
    Surveyed, Walk, site_hints,
};
use crate::quantity::Probability;
use crate::site::{EntryId, Figures, LinePlan, Plan};
use std::sync::Arc;

/// What one entry did to the odds of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The entry; none before any was made.
    pub entry: Option<EntryId>,
    /// Odds of what leads in the end.
    pub leading: Probability,
    /// Odds that nothing is wrong.
    pub none: Probability,
}

/// The suspects of a line, what to do next, and what led here.
#[derive(Clone, Debug)]
pub(super) struct Suspects {
    /// The suspects.
    pub posterior: Posterior,
    /// Of which sweep.
    pub sweep: u64,
    /// What to do next; none where it was not asked for.
    pub next: Option<Vec<NextTest>>,
    /// What each entry did to the odds.
    pub steps: Vec<Step>,
}

/// Facts that a result is of: how often the factors were swept, how often entries came in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Stamp {
    pub sweep: u64,
    pub facts: u64,
}

/// How far [`catch_up`](super::Analyst::catch_up) came.
#[derive(Clone, Debug)]
pub enum Progress {
    /// Figures are at rest, or will be once what is away comes back.
    Rest,
    /// There is more to do here.
    GoOn,
    /// This is to be done on another thread and handed back to [`take`](super::Analyst::take).
    Away(Box<Ahead>),
}

/// A piece of reckoning.
#[derive(Clone, Debug)]
pub struct Ahead(pub(super) Stamp, pub(super) What);

#[derive(Clone, Debug)]
pub(super) enum What {
    Line(Box<OfLine>),
    Site(Box<OfSite>),
}

/// The result of a piece of reckoning, to be given to `Analyst::take`.
#[derive(Clone, Debug)]
pub struct Reckoned(pub(super) Stamp, pub(super) Came);

#[derive(Clone, Debug)]
pub(super) enum Came {
    Line(usize, Option<Box<Suspects>>),
    Site(Vec<SiteHint>),
}

impl Ahead {
    /// Does the work, on whichever thread calls this.
    #[must_use]
    pub fn run(self) -> Reckoned {
        let came = match self.1 {
            What::Line(line) => Came::Line(line.at, line.run(self.0.sweep).map(Box::new)),
            What::Site(site) => Came::Site(site.run()),
        };
        Reckoned(self.0, came)
    }
}

/// The suspects of one line.
#[derive(Clone, Debug)]
pub(super) struct OfLine {
    pub at: usize,
    pub line: LinePlan,
    pub figures: Figures,
    pub returning: bool,
    pub evidence: Evidence,
    pub walk: Walk,
    pub shared: Shared,
    /// The same grown entry by entry; empty where the next test is not asked for.
    pub grown: Vec<(EntryId, Evidence)>,
    pub with_next: bool,
}

impl OfLine {
    pub fn run(self, sweep: u64) -> Option<Suspects> {
        self.evidence.latest_rack()?;
        let prepared = Prepared::new(&self.line, &self.figures, self.returning);
        if !self.with_next {
            return Some(Suspects {
                posterior: prepared.posterior(&self.evidence, &self.shared),
                sweep,
                next: None,
                steps: Vec::new(),
            });
        }
        let (posterior, next) =
            prepared.posterior_and_next(&self.evidence, &self.shared, &self.walk);
        let steps = self.steps(&prepared, &posterior);
        Some(Suspects {
            posterior,
            sweep,
            next: Some(next),
            steps,
        })
    }

    /// The odds before any reading, and after each.
    fn steps(&self, prepared: &Prepared, in_the_end: &Posterior) -> Vec<Step> {
        let Some(leading) = in_the_end.hints.first() else {
            return Vec::new();
        };
        let step = |entry: Option<&EntryId>, posterior: &Posterior| Step {
            entry: entry.cloned(),
            leading: posterior.probability(leading.fault),
            none: posterior.probability(FaultKind::None),
        };
        let before = prepared.posterior(&Evidence::default(), &self.shared);
        let mut out = vec![step(None, &before)];
        let last = self.grown.len().saturating_sub(1);
        for (at, (entry, evidence)) in self.grown.iter().enumerate() {
            out.push(if at == last {
                step(Some(entry), in_the_end)
            } else {
                step(Some(entry), &prepared.posterior(evidence, &self.shared))
            });
        }
        out
    }
}

/// What only the whole site shows.
#[derive(Clone, Debug)]
pub(super) struct OfSite {
    pub plan: Arc<Plan>,
    pub lines: Vec<Option<Arc<SiteLine>>>,
    /// Place of each line's reading in the order they were made.
    pub turns: Vec<usize>,
    pub shared: Shared,
    pub checks: Vec<KnownResistor>,
    pub figures: Figures,
    pub returning: bool,
}

impl OfSite {
    pub fn run(&self) -> Vec<SiteHint> {
        let lines: Vec<Surveyed<'_>> = self
            .plan
            .lines
            .iter()
            .zip(&self.lines)
            .zip(&self.turns)
            .map(|((plan, line), turn)| Surveyed {
                plan,
                read: line.as_deref(),
                turn: *turn,
            })
            .collect();
        site_hints(
            &lines,
            &self.shared,
            &self.checks,
            &self.figures,
            self.returning,
        )
    }
}
