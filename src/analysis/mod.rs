//! The one place that runs circuit, verdict and diagnosis for a site; screen, commands and reports
//! all read it.
//!
//! One result a line is kept; an entry names the lines it touches and only those are reckoned
//! again. A reading being typed is an argument, not a change. The factors that lines share are
//! swept anew after each change while the program idles ([`Analyst::catch_up`]) or at once
//! ([`Analyst::settle`]); figures at rest are those of that sweep. Suspects are reckoned at once for
//! the line that is looked at, for the others in the same idle time.
//!
//! Never here: drawing, files, the clock.

mod agree;
mod ahead;
mod common;
mod cores;
mod counts;
mod design;
mod design_check;
mod direct;
mod doubt;
mod drift;
mod evidence;
mod flaws;
mod idle;
mod insulation;
mod last_visit;
mod line;
mod look;
mod output;
mod question;
mod rates;
mod redrawn;
mod repaired;
mod side;
mod sweep;
mod to_move;
mod trial;
mod uncertain;

pub use agree::{Disagreement, InDoubt, agree};
pub use ahead::{Ahead, Progress, Reckoned, Step};
pub use counts::Counts;
pub use design::{Budget, Design};
pub use design_check::{DesignCheck, FarEnd, Lost, Planned};
pub use direct::Direct;
pub use doubt::doubt;
pub use drift::{Baseline, Compared, Drifted, Earlier, Pair, compare};
pub use flaws::{LineFlaw, OutputFlaw};
pub use insulation::InsulationResult;
pub use last_visit::LastVisit;
pub use line::{LineResult, Taken};
pub use look::{CheckDoubt, Lookalike, check_doubt, is_no_check, lookalikes};
pub use output::OutputResult;
pub use question::lines_in_question;
pub use rates::{LearnedRate, learned_rates};
pub use redrawn::Redrawn;
pub use repaired::Repaired;
pub use side::Side;
pub use to_move::ToMove;
pub use trial::Trial;

use crate::diagnosis::{Learned, NextTest, Posterior, Prepared, SiteHint};
use crate::quantity::{Ohm, Value};
use crate::site::{EntryId, InstrumentId, LineId, Site};
use crate::verdict::Limits;
use ahead::{OfLine, OfSite, Suspects};
use common::Common;
use cores::{both, on_every_core};
use evidence::{evidence, grown, reading, walk};
use flaws::Unreached;
use rates::Rates;
use std::sync::OnceLock;
use sweep::{Sweep, Worth, worth};

/// Results for every line of a site, kept up as entries come in.
#[derive(Debug)]
pub struct Analyst {
    common: Common,
    lines: Vec<LineResult>,
    counts: Counts,
    rates: Rates,
    to_move: ToMove,
    sweep: Sweep,
    /// How often the factors were swept: suspects of an earlier sweep want reckoning again.
    sweeps: u64,
    suspects: Vec<Option<Suspects>>,
    looked_at: Option<(usize, Prepared)>,
    /// How often entries came in.
    facts: u64,
    /// Places that no way from the rack reaches, once asked for.
    unreached: OnceLock<Unreached>,
    /// A piece of reckoning is on another thread.
    away: bool,
}

/// So many entries of a line are told step by step, the latest.
const MOST_STEPS: usize = 10;

impl Analyst {
    /// Reckons every line of a site once.
    #[must_use]
    pub fn new(site: &Site) -> Self {
        let common = Common::of(site);
        let plan = site.plan();
        let all: Vec<usize> = (0..plan.lines.len()).collect();
        let lines = on_every_core(&all, |at| LineResult::of(site, &plan.lines[at], &common));
        Self {
            common,
            rates: Rates::of(site, &lines),
            counts: Counts::of(&lines),
            lines,
            to_move: ToMove::of(site),
            sweep: Sweep::new(plan.lines.len()),
            sweeps: 0,
            suspects: vec![None; plan.lines.len()],
            looked_at: None,
            facts: 0,
            unreached: OnceLock::new(),
            away: false,
        }
    }

    /// The same when the drawing or the site itself was changed: what is still being reckoned of the
    /// one before is dropped when it comes.
    #[must_use]
    pub fn anew(&self, site: &Site) -> Self {
        Self {
            facts: self.facts + 1,
            sweeps: self.sweeps,
            ..Self::new(site)
        }
    }

    /// Reckons again the lines that an entry touched; their suspects when they are next looked at.
    /// An edit may bring, take or move lines and change figures of all: that wants [`Self::new`].
    pub fn touched(&mut self, site: &Site, lines: &[LineId]) {
        if self.common.hands != *site.hands() {
            // Readings of other lines too are those of another meter now.
            *self = self.anew(site);
            return;
        }
        self.facts += 1;
        for id in lines {
            if let Some(at) = site.plan().line(id) {
                self.counts.take_off(&self.lines[at]);
                self.lines[at] = LineResult::of(site, &site.plan().lines[at], &self.common);
                self.counts.add(&self.lines[at]);
                self.rates.touched(site, at, &self.lines[at]);
                // They were those of what counted until now.
                self.suspects[at] = None;
                self.sweep.forget(at);
            }
        }
        self.to_move = ToMove::of(site);
        // A known resistor belongs to no line and yet tells of all.
        self.sweep.go_stale();
        self.learn_rates(site);
    }

    /// The line at this place of the plan.
    #[must_use]
    pub fn line(&self, at: usize) -> &LineResult {
        &self.lines[at]
    }

    /// Every line, in rack order.
    #[must_use]
    pub fn lines(&self) -> &[LineResult] {
        &self.lines
    }

    /// The limits in force.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.common.limits
    }

    /// A line as if this had been read on it with an instrument in somebody's hands.
    #[must_use]
    pub fn with_reading(
        &self,
        site: &Site,
        at: usize,
        (value, step): (Value, Ohm),
        with: (&InstrumentId, &str),
    ) -> LineResult {
        let line = &site.plan().lines[at];
        let factor = self.factor_in_hands(site, with);
        self.lines[at].with_reading(line, value, step, factor, &self.common.limits)
    }

    /// The suspects of a line, if they were reckoned.
    #[must_use]
    pub fn suspects(&self, at: usize) -> Option<&Posterior> {
        self.suspects[at].as_ref().map(|it| &it.posterior)
    }

    /// What the whole site says of the shared factors, once they were swept.
    #[must_use]
    pub const fn learned(&self) -> Option<&Learned> {
        self.sweep.learned()
    }

    /// Makes a line ready to be asked for its suspects at every digit, and reckons those of what is
    /// on record.
    pub fn look(&mut self, site: &Site, at: usize) {
        if self
            .looked_at
            .as_ref()
            .is_none_or(|(place, _)| *place != at)
        {
            self.looked_at = Some((at, self.prepare(site, at)));
        }
        // Rack readings alone cost no network; whatever else was read or heard is weighed ahead.
        if self.is_stale(at)
            && let Some((_, prepared)) = &self.looked_at
        {
            let (evidence, _) = evidence(site, &site.plan().lines[at], None);
            if evidence.is_plain() && evidence.latest_rack().is_some() {
                let posterior = prepared.posterior(&evidence, &self.sweep.without(at));
                let sweep = self.sweeps;
                self.suspects[at] = Some(Suspects {
                    posterior,
                    sweep,
                    next: None,
                    steps: Vec::new(),
                });
            }
        }
    }

    /// Whether a line's readings tell anything: it was read, no question stands on its drawing, and that is
    /// not one which is still to be done.
    fn is_weighed(&self, at: usize) -> bool {
        self.lines[at].is_read() && self.lines[at].is_judged()
    }

    /// Whether a line that was read has no suspects, or those of an earlier sweep.
    fn is_stale(&self, at: usize) -> bool {
        self.is_weighed(at)
            && self.suspects[at]
                .as_ref()
                .is_none_or(|it| it.sweep != self.sweeps)
    }

    /// All that the suspects of a line need.
    fn of_line(&self, site: &Site, at: usize, with_next: bool) -> OfLine {
        let line = &site.plan().lines[at];
        let (evidence, last) = evidence(site, line, None);
        let mut grown = if with_next {
            grown(site, line)
        } else {
            Vec::new()
        };
        grown.drain(..grown.len().saturating_sub(MOST_STEPS));
        OfLine {
            at,
            line: line.clone(),
            figures: self.rates.figures.clone(),
            returning: site.returning(),
            walk: walk(site, &evidence, last),
            evidence,
            shared: self.sweep.without(at),
            grown,
            with_next,
        }
    }

    /// The suspects of a line if this had been read on it as well, or in the place of the reading
    /// that it corrects; none for a line that is not looked at.
    #[must_use]
    pub fn suspects_of(
        &self,
        site: &Site,
        at: usize,
        read: (Value, Ohm),
        with: (&InstrumentId, &str),
        corrects: Option<&EntryId>,
    ) -> Option<Posterior> {
        let settled = |place: &usize| *place == at && self.lines[at].is_judged();
        let (_, prepared) = self.looked_at.as_ref().filter(|it| settled(&it.0))?;
        let (mut evidence, _) = evidence(site, &site.plan().lines[at], corrects);
        // With splits or answers beside it a figure costs more than a key may wait for.
        if !evidence.is_plain() {
            return None;
        }
        evidence.readings.push(reading(site, read, with));
        Some(prepared.posterior(&evidence, &self.sweep.without(at)))
    }

    /// Whether the figures of a line are those of a sweep over all facts.
    #[must_use]
    pub fn is_at_rest(&self, at: usize) -> bool {
        self.sweep.is_fresh() && !self.is_stale(at)
    }

    /// What each entry did to the odds of a line, once it was reckoned.
    #[must_use]
    pub fn steps(&self, at: usize) -> &[Step] {
        self.suspects[at].as_ref().map_or(&[], |it| &it.steps)
    }

    /// What to do next on a line, best first; none while it is not reckoned.
    #[must_use]
    pub fn next(&self, at: usize) -> Option<&[NextTest]> {
        self.suspects[at].as_ref()?.next.as_deref()
    }

    /// What only the whole site shows, as far as it was reckoned.
    #[must_use]
    pub fn site_hints(&self) -> &[SiteHint] {
        self.sweep.hints()
    }

    /// Reckons a site whose facts stay as they are, figures at rest: the suspects of all lines, or of
    /// one. What is kept for entries to come takes room and is left out.
    #[must_use]
    pub fn at_rest(site: &Site, only: Option<usize>) -> Self {
        let mut analyst = Self::new(site);
        analyst.learn_all(site);
        let of_site = analyst.sweep.of_site(site);
        analyst.sweep.forget_terms();
        analyst.find_all(site, of_site, only);
        analyst
    }

    /// Reckons what was read and the factors that the lines share; nobody's suspects.
    #[must_use]
    pub fn of_readings(site: &Site) -> Self {
        let mut analyst = Self::new(site);
        analyst.learn_all(site);
        analyst
    }

    /// Figures at rest at once, with every core: the suspects of all lines, or of one.
    pub fn settle(&mut self, site: &Site, only: Option<usize>) {
        self.learn_all(site);
        let of_site = self.sweep.of_site(site);
        self.find_all(site, of_site, only);
    }

    /// The factors that lines share.
    fn learn_all(&mut self, site: &Site) {
        let wanted: Vec<usize> = (0..self.lines.len())
            .filter(|at| self.is_weighed(*at))
            .collect();
        let worths: Vec<Option<Worth>> =
            on_every_core(&wanted, |at| worth(site, at, &self.prepare(site, at)));
        for at in 0..self.lines.len() {
            self.sweep.take(at, None);
        }
        for (at, worth) in wanted.iter().zip(worths) {
            self.sweep.take(*at, worth);
        }
        self.learn(site);
    }

    /// The mistakes of the whole site, and the suspects of lines: neither needs the other.
    fn find_all(&mut self, site: &Site, of_site: OfSite, only: Option<usize>) {
        let wanted: Vec<usize> = (0..self.lines.len())
            .filter(|at| self.is_weighed(*at) && only.is_none_or(|only| only == *at))
            .collect();
        let suspects = || {
            on_every_core(&wanted, |at| {
                // Asked for one line by name, its next test is told whatever its verdict.
                let with_next = only.is_some() || self.lines[at].is_flagged();
                self.of_line(site, at, with_next).run(self.sweeps)
            })
        };
        let (hints, reckoned) = both(move || of_site.run(), suspects);
        self.sweep.take_hints(hints);
        for (at, suspects) in wanted.into_iter().zip(reckoned) {
            self.suspects[at] = suspects;
        }
    }

    fn learn(&mut self, site: &Site) {
        self.sweep.learn(site);
        self.sweeps += 1;
        self.common.learn(&self.sweep, site);
        for line in &mut self.lines {
            line.judge_again(&self.common);
        }
        self.counts = Counts::of(&self.lines);
    }
}
