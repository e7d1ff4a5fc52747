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

mod common;
mod cores;
mod counts;
mod design;
mod evidence;
mod line;
mod look;
mod output;
mod question;
mod sweep;

pub use counts::Counts;
pub use design::{Budget, Design};
pub use line::{InsulationResult, LineResult, Taken};
pub use look::{Lookalike, lookalikes};
pub use output::OutputResult;
pub use question::lines_in_question;

use crate::diagnosis::{Learned, NextTest, Posterior, Prepared, SiteHint};
use crate::quantity::{Ohm, Value};
use crate::site::{Entry, EntryId, InstrumentId, LineId, Site};
use crate::verdict::Limits;
use common::Common;
use cores::on_every_core;
use evidence::{evidence, reading, walk};
use sweep::{Sweep, Worth, worth};

/// Results for every line of a site, kept up as entries come in.
#[derive(Debug)]
pub struct Analyst {
    common: Common,
    lines: Vec<LineResult>,
    last_reading: Option<Entry>,
    sweep: Sweep,
    /// How often the factors were swept: suspects of an earlier sweep want reckoning again.
    sweeps: u64,
    suspects: Vec<Option<Suspects>>,
    looked_at: Option<(usize, Prepared)>,
}

/// The suspects of a line, and of which sweep.
#[derive(Clone, Debug)]
struct Suspects {
    posterior: Posterior,
    sweep: u64,
    /// What to do next, once it was asked for.
    next: Option<Vec<NextTest>>,
}

impl Analyst {
    /// Reckons every line of a site once.
    #[must_use]
    pub fn new(site: &Site) -> Self {
        let common = Common::of(site);
        let lines = site
            .plan()
            .lines
            .iter()
            .map(|line| LineResult::of(site, line, &common))
            .collect();
        let mut analyst = Self {
            common,
            lines,
            last_reading: None,
            sweep: Sweep::new(site.plan().lines.len()),
            sweeps: 0,
            suspects: vec![None; site.plan().lines.len()],
            looked_at: None,
        };
        analyst.find_last_reading(site);
        analyst
    }

    /// Reckons again the lines that an entry touched; their suspects when they are next looked at.
    /// An edit may bring, take or move lines and change figures of all: that wants [`Self::new`].
    pub fn touched(&mut self, site: &Site, lines: &[LineId]) {
        for id in lines {
            if let Some(at) = site.plan().line(id) {
                self.lines[at] = LineResult::of(site, &site.plan().lines[at], &self.common);
                // They were those of what counted until now.
                self.suspects[at] = None;
                self.sweep.forget(at);
            }
        }
        // A known resistor belongs to no line and yet tells of all.
        self.sweep.go_stale();
        self.follow_last_reading(site, lines);
    }

    /// The last reading after an entry that touched these lines: of a large log only their part is
    /// looked at, unless the last of all no longer counts.
    fn follow_last_reading(&mut self, site: &Site, lines: &[LineId]) {
        let log = site.log();
        let last = self.last_reading.take();
        if last.as_ref().is_some_and(|last| !log.counts(&last.id)) {
            return self.find_last_reading(site);
        }
        self.last_reading = lines
            .iter()
            .flat_map(|line| log.of_line(line))
            .filter(|entry| matches!(entry.what, crate::site::Do::Read(_)))
            .chain(&last)
            .max_by(|a, b| crate::site::in_order(a, b))
            .cloned();
    }

    fn find_last_reading(&mut self, site: &Site) {
        let log = site.log();
        self.last_reading = log
            .entries()
            .iter()
            .filter(|entry| matches!(entry.what, crate::site::Do::Read(_)))
            .filter(|entry| log.counts(&entry.id))
            .max_by(|a, b| crate::site::in_order(a, b))
            .cloned();
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

    /// The last reading that counts.
    #[must_use]
    pub const fn last_reading(&self) -> Option<&Entry> {
        self.last_reading.as_ref()
    }

    /// A line as if this had been read on it with an instrument.
    #[must_use]
    pub fn with_reading(
        &self,
        site: &Site,
        at: usize,
        (value, step): (Value, Ohm),
        instrument: &InstrumentId,
    ) -> LineResult {
        let line = &site.plan().lines[at];
        let factor = self.common.factor(Some(instrument));
        self.lines[at].with_reading(line, value, step, factor, &self.common.limits)
    }

    /// The suspects of a line, if they were reckoned.
    #[must_use]
    pub fn suspects(&self, at: usize) -> Option<&Posterior> {
        self.suspects[at].as_ref().map(|it| &it.posterior)
    }

    /// What an output carries; `instead` stands for the line of that place.
    #[must_use]
    pub fn output(
        &self,
        site: &Site,
        at: usize,
        instead: Option<(usize, &LineResult)>,
    ) -> OutputResult {
        let lines = site.plan().outputs[at].lines.clone();
        let results = lines.map(|line| match instead {
            Some((place, result)) if place == line => result,
            _ => &self.lines[line],
        });
        OutputResult::of(&site.plan().outputs[at], results, &self.common.limits)
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
            self.looked_at = Some((at, prepare(site, at)));
        }
        if self.is_stale(at)
            && let Some((_, prepared)) = &self.looked_at
        {
            self.suspects[at] = self.reckon(site, at, prepared);
        }
    }

    /// Whether a line's readings tell anything: it was read, and no question stands on its drawing.
    fn is_weighed(&self, at: usize) -> bool {
        self.lines[at].is_read() && !self.lines[at].question
    }

    /// Whether a line that was read has no suspects, or those of an earlier sweep.
    fn is_stale(&self, at: usize) -> bool {
        self.is_weighed(at)
            && self.suspects[at]
                .as_ref()
                .is_none_or(|it| it.sweep != self.sweeps)
    }

    fn reckon(&self, site: &Site, at: usize, prepared: &Prepared) -> Option<Suspects> {
        let (evidence, _) = evidence(site, &site.plan().lines[at], None);
        evidence.latest_rack()?;
        let posterior = prepared.posterior(&evidence, &self.sweep.without(at));
        Some(Suspects {
            posterior,
            sweep: self.sweeps,
            next: None,
        })
    }

    /// The suspects of a line if this had been read on it as well, or in the place of the reading
    /// that it corrects; none for a line that is not looked at.
    #[must_use]
    pub fn suspects_of(
        &self,
        site: &Site,
        at: usize,
        read: (Value, Ohm),
        instrument: &InstrumentId,
        corrects: Option<&EntryId>,
    ) -> Option<Posterior> {
        let settled = |place: &usize| *place == at && !self.lines[at].question;
        let (_, prepared) = self.looked_at.as_ref().filter(|it| settled(&it.0))?;
        let (mut evidence, _) = evidence(site, &site.plan().lines[at], corrects);
        evidence.readings.push(reading(site, read, instrument));
        Some(prepared.posterior(&evidence, &self.sweep.without(at)))
    }

    /// Whether the figures of a line are those of a sweep over all facts.
    #[must_use]
    pub fn is_at_rest(&self, at: usize) -> bool {
        self.sweep.is_fresh() && !self.is_stale(at)
    }

    /// One more step towards figures at rest, while nothing else happens. False when they are.
    pub fn catch_up(&mut self, site: &Site) -> bool {
        if let Some(at) = self.sweep.wanted() {
            let worth = self.is_weighed(at).then(|| match &self.looked_at {
                Some((place, prepared)) if *place == at => worth(site, at, prepared),
                _ => worth(site, at, &prepare(site, at)),
            });
            self.sweep.take(at, worth.flatten());
            return true;
        }
        if !self.sweep.is_fresh() {
            self.learn(site);
            return true;
        }
        if !self.sweep.is_done() {
            self.sweep.find_hints(site);
            return true;
        }
        // The line that is looked at first, with what to do next; then the others.
        if let Some((at, _)) = self.looked_at
            && self.is_weighed(at)
        {
            self.look(site, at);
            if self.wants_next(at) {
                self.find_next(site, at);
                return true;
            }
        }
        let Some(at) = (0..self.lines.len()).find(|at| self.is_stale(*at)) else {
            return false;
        };
        self.suspects[at] = self.reckon(site, at, &prepare(site, at));
        true
    }

    /// Whether the next test of a line is still to be found: it is offered where something is wrong.
    fn wants_next(&self, at: usize) -> bool {
        self.lines[at].is_flagged()
            && self.suspects[at]
                .as_ref()
                .is_some_and(|it| it.next.is_none())
    }

    fn find_next(&mut self, site: &Site, at: usize) {
        let suspects = self.suspects[at].as_ref();
        let next = match &self.looked_at {
            Some((place, prepared)) if *place == at => self.next_of(site, at, prepared, suspects),
            _ => self.next_of(site, at, &prepare(site, at), suspects),
        };
        if let Some(suspects) = &mut self.suspects[at] {
            suspects.next = Some(next);
        }
    }

    fn next_of(
        &self,
        site: &Site,
        at: usize,
        prepared: &Prepared,
        suspects: Option<&Suspects>,
    ) -> Vec<NextTest> {
        if suspects.is_none_or(|it| it.posterior.sure()) {
            return Vec::new();
        }
        let (evidence, last) = evidence(site, &site.plan().lines[at], None);
        let walk = walk(site, &evidence, last);
        prepared.next(&evidence, &self.sweep.without(at), &walk)
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

    /// Figures at rest at once, with every core: the suspects of all lines, or of one.
    pub fn settle(&mut self, site: &Site, only: Option<usize>) {
        let wanted: Vec<usize> = (0..self.lines.len())
            .filter(|at| self.is_weighed(*at))
            .collect();
        let worths: Vec<Option<Worth>> =
            on_every_core(&wanted, |at| worth(site, at, &prepare(site, at)));
        for at in 0..self.lines.len() {
            self.sweep.take(at, None);
        }
        for (at, worth) in wanted.iter().zip(worths) {
            self.sweep.take(*at, worth);
        }
        self.learn(site);
        self.sweep.find_hints(site);
        let wanted: Vec<usize> = wanted
            .into_iter()
            .filter(|at| only.is_none_or(|only| only == *at))
            .collect();
        let reckoned = on_every_core(&wanted, |at| {
            let prepared = prepare(site, at);
            let mut suspects = self.reckon(site, at, &prepared)?;
            // Asked for one line by name, its next test is told whatever its verdict.
            if only.is_some() || self.lines[at].is_flagged() {
                suspects.next = Some(self.next_of(site, at, &prepared, Some(&suspects)));
            }
            Some(suspects)
        });
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
    }
}

/// A line made ready for diagnosis.
fn prepare(site: &Site, at: usize) -> Prepared {
    Prepared::new(&site.plan().lines[at], site.figures(), site.returning())
}
