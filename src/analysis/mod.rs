//! The one place that runs circuit, verdict and diagnosis for a site; screen, commands and reports
//! all read it.
//!
//! One result a line is kept; an entry names the lines it touches and only those are reckoned
//! again. A reading being typed is an argument, not a change: what the panel shows before Enter is
//! what it shows after. Suspects are reckoned for the line that is looked at, for the others when
//! somebody asks.
//!
//! Never here: drawing, files, the clock.

mod design;
mod line;
mod look;
mod output;
mod question;

pub use design::{Budget, Design};
pub use line::{InsulationResult, LineResult, Taken};
pub use look::{Lookalike, lookalikes};
pub use output::OutputResult;
pub use question::lines_in_question;

use crate::diagnosis::{Evidence, Meter, Posterior, Prepared, Reading, Shared};
use crate::quantity::{Fraction, Ohm, Value};
use crate::site::{Entry, InstrumentId, LineId, Site};
use crate::verdict::{Factor, Limits};
use std::collections::{BTreeMap, HashMap, HashSet};

/// Results for every line of a site, kept up as entries come in.
#[derive(Debug)]
pub struct Analyst {
    common: Common,
    lines: Vec<LineResult>,
    last_reading: Option<Entry>,
    suspects: HashMap<usize, Posterior>,
    prepared: Option<(usize, Prepared)>,
}

/// Counts over the whole site.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Lines.
    pub lines: usize,
    /// Lines with a rack reading in their latest state.
    pub read: usize,
    /// Lines out of tolerance.
    pub out: usize,
    /// Lines that want a look.
    pub flagged: usize,
    /// Lines off the amplifier.
    pub off: usize,
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
            suspects: HashMap::new(),
            prepared: None,
        };
        analyst.find_last_reading(site);
        analyst
    }

    /// Reckons again the lines that an entry touched; their suspects when they are next looked at.
    pub fn touched(&mut self, site: &Site, lines: &[LineId]) {
        // An edit may have answered a question.
        self.common.in_question = lines_in_question(site);
        for id in lines {
            if let Some(at) = site.plan().line(id) {
                self.lines[at] = LineResult::of(site, &site.plan().lines[at], &self.common);
                // They were those of what counted until now.
                self.suspects.remove(&at);
            }
        }
        self.find_last_reading(site);
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
        self.suspects.get(&at)
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

    /// Makes a line ready to be asked for its suspects at every digit, and reckons those of the
    /// reading on record.
    pub fn look(&mut self, site: &Site, at: usize) {
        if self.prepared.as_ref().is_none_or(|(place, _)| *place != at) {
            let line = &site.plan().lines[at];
            self.prepared = Some((at, Prepared::new(line, site.figures(), site.returning())));
        }
        if !self.suspects.contains_key(&at)
            && let Some(posterior) = self.reckon(site, at)
        {
            self.suspects.insert(at, posterior);
        }
    }

    fn reckon(&self, site: &Site, at: usize) -> Option<Posterior> {
        let taken = self.lines[at].taken.as_ref()?;
        if self.lines[at].question {
            return None;
        }
        let (_, prepared) = self.prepared.as_ref().filter(|(place, _)| *place == at)?;
        let evidence = evidence(site, taken.value, taken.step, taken.instrument.as_ref());
        Some(prepared.posterior(&evidence, &Shared::default()))
    }

    /// The suspects of a line if this had been read on it; none for a line that is not looked at.
    #[must_use]
    pub fn suspects_of(
        &self,
        site: &Site,
        at: usize,
        (value, step): (Value, Ohm),
        instrument: &InstrumentId,
    ) -> Option<Posterior> {
        let settled = |place: &usize| *place == at && !self.lines[at].question;
        let (_, prepared) = self.prepared.as_ref().filter(|it| settled(&it.0))?;
        Some(prepared.posterior(
            &evidence(site, value, step, Some(instrument)),
            &Shared::default(),
        ))
    }

    /// Reckons the suspects of one more line that was read, while nothing else happens. False when
    /// there is none left.
    pub fn catch_up(&mut self, site: &Site) -> bool {
        let left = (0..self.lines.len()).find(|at| {
            let line = &self.lines[*at];
            line.is_read() && !line.question && !self.suspects.contains_key(at)
        });
        if let Some(at) = left {
            self.look(site, at);
        }
        left.is_some()
    }

    /// Counts over all lines.
    #[must_use]
    pub fn counts(&self) -> Counts {
        let mut counts = Counts {
            lines: self.lines.len(),
            ..Counts::default()
        };
        for line in &self.lines {
            counts.read += usize::from(line.is_read());
            counts.off += usize::from(line.off);
            counts.flagged += usize::from(line.is_flagged());
            counts.out += usize::from(
                line.verdict
                    .is_some_and(|it| it.word == crate::verdict::LineWord::Out),
            );
        }
        counts
    }
}

/// What all lines of a site have in common.
#[derive(Clone, Debug)]
pub struct Common {
    /// The limits in force.
    pub limits: Limits,
    /// What the readings of each instrument share.
    factors: BTreeMap<InstrumentId, Factor>,
    /// Lines with an item that two designs stand for.
    in_question: HashSet<LineId>,
}

impl Common {
    /// Of a site, the factors at their prior: nothing known but each instrument's accuracy.
    #[must_use]
    pub fn of(site: &Site) -> Self {
        let instruments = site.plan().instruments.iter();
        Self {
            limits: Limits::of(site.figures()),
            factors: instruments
                .map(|(id, it)| (id.clone(), Factor::of_accuracy(it.accuracy)))
                .collect(),
            in_question: lines_in_question(site),
        }
    }

    /// The factor of an instrument; a plain hand meter's where it is not known.
    #[must_use]
    pub fn factor(&self, instrument: Option<&InstrumentId>) -> Factor {
        instrument
            .and_then(|id| self.factors.get(id).copied())
            .unwrap_or_else(|| Factor::of_accuracy(Fraction(0.05)))
    }

    /// Whether two designs stand for something on a line.
    #[must_use]
    pub fn is_in_question(&self, line: &LineId) -> bool {
        self.in_question.contains(line)
    }
}

/// One rack reading as evidence.
fn evidence(site: &Site, value: Value, step: Ohm, instrument: Option<&InstrumentId>) -> Evidence {
    let known = instrument.and_then(|id| site.plan().instrument(id));
    let mut reading = Reading::at_rack(
        value,
        step,
        known.map_or(Fraction(0.05), |it| it.accuracy),
        site.figures(),
    );
    reading.meter = Meter {
        instrument: instrument.cloned().unwrap_or_default(),
        visit: site.visit(),
    };
    if let Some(range) = known.and_then(|it| it.range_ohm) {
        reading.range = range;
    }
    Evidence::of(reading)
}
