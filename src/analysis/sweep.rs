//! The factors that lines share, learned over the whole site: what each line's reading says of them,
//! kept until that line's facts change, and the sweep over all of them.
//!
//! The sweep starts from zero every time, so that the figures at rest depend on the facts alone and
//! not on the order in which they came in.

use super::ahead::OfSite;
use super::evidence::{latest_rack, meter, turns};
use crate::diagnosis::{
    KnownResistor, Latent, Learned, Meter, Prepared, Shared, SiteHint, SiteLine, SiteTerm, learn,
};
use crate::site::{Do, InstrumentId, PLAIN_ACCURACY, Site};
use crate::verdict::Factor;
use std::sync::Arc;

/// Terms of the lines and what they say together.
#[derive(Debug, Default)]
pub(super) struct Sweep {
    terms: Vec<Term>,
    learned: Option<Learned>,
    hints: Vec<SiteHint>,
    state: State,
}

/// How far the sweep has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum State {
    /// Facts have changed since the factors were learned.
    #[default]
    Stale,
    /// The factors are learned, the mistakes of the whole site are not looked for yet.
    Learned,
    /// Everything is that of all facts.
    Done,
}

/// What a line's reading is worth to the whole site.
pub(super) type Worth = (SiteTerm, SiteLine);

/// What one line's reading says of the shared factors.
#[derive(Clone, Debug, Default)]
enum Term {
    /// To be reckoned.
    #[default]
    Wanted,
    /// Reckoned; none where the line shows no figure.
    Known(Option<(SiteTerm, Arc<SiteLine>)>),
}

impl Sweep {
    /// For so many lines, nothing reckoned yet.
    pub fn new(lines: usize) -> Self {
        Self {
            terms: vec![Term::Wanted; lines],
            learned: None,
            hints: Vec::new(),
            state: State::Stale,
        }
    }

    /// Drops what was kept of a line, because facts of it have changed.
    pub fn forget(&mut self, line: usize) {
        self.terms[line] = Term::Wanted;
        self.go_stale();
    }

    /// What each line's reading says is needed no more, unless an entry comes in.
    pub fn forget_terms(&mut self) {
        self.terms.fill(Term::Wanted);
    }

    /// Facts changed: the factors are those of earlier ones.
    pub fn go_stale(&mut self) {
        self.state = State::Stale;
    }

    /// A line of which the sweep still lacks the term; none when it has all.
    pub fn wanted(&self) -> Option<usize> {
        self.terms
            .iter()
            .position(|term| matches!(term, Term::Wanted))
    }

    /// Takes a line's term.
    pub fn take(&mut self, line: usize, term: Option<Worth>) {
        self.terms[line] = Term::Known(term.map(|(term, line)| (term, Arc::new(line))));
    }

    /// Whether the factors are those of all facts.
    pub fn is_fresh(&self) -> bool {
        self.state != State::Stale
    }

    /// Whether the mistakes of the whole site were looked for as well.
    pub fn is_done(&self) -> bool {
        self.state == State::Done
    }

    /// What only the whole site shows.
    pub fn hints(&self) -> &[SiteHint] {
        &self.hints
    }

    /// All that the look for mistakes of the whole site needs.
    pub fn of_site(&self, site: &Site) -> OfSite {
        let line = |term: &Term| match term {
            Term::Known(worth) => worth.as_ref().map(|it| it.1.clone()),
            Term::Wanted => None,
        };
        OfSite {
            plan: site.shared_plan(),
            lines: self.terms.iter().map(line).collect(),
            turns: turns(site),
            shared: self
                .learned
                .as_ref()
                .map_or_else(Shared::default, Learned::shared),
            checks: known_resistors(site),
            figures: site.figures().clone(),
            returning: site.returning(),
        }
    }

    /// Takes what was found of the whole site.
    pub fn take_hints(&mut self, hints: Vec<SiteHint>) {
        self.hints = hints;
        self.state = State::Done;
    }

    /// Sweeps over all terms.
    pub fn learn(&mut self, site: &Site) {
        let terms: Vec<Option<&SiteTerm>> = self
            .terms
            .iter()
            .map(|term| match term {
                Term::Known(Some(worth)) => Some(&worth.0),
                _ => None,
            })
            .collect();
        self.learned = Some(learn(&terms, &known_resistors(site), site.figures()));
        self.state = State::Learned;
    }

    /// What all lines but one say, for that line's suspects.
    pub fn without(&self, line: usize) -> Shared {
        self.learned
            .as_ref()
            .map_or_else(Shared::default, |learned| learned.without(line))
    }

    /// What the readings of an instrument share, for verdicts; none where nothing was learned.
    pub fn factor(
        &self,
        instrument: &InstrumentId,
        hand: Option<&String>,
        site: &Site,
    ) -> Option<Factor> {
        let meter = Meter {
            instrument: instrument.clone(),
            visit: site.visit(),
            hand: hand.cloned(),
        };
        let (ln_mean, ln_var) = self
            .learned
            .as_ref()?
            .shared()
            .factor(&Latent::Meter(meter))?;
        Some(Factor { ln_mean, ln_var })
    }

    /// What was learned.
    pub const fn learned(&self) -> Option<&Learned> {
        self.learned.as_ref()
    }
}

/// What a line's latest rack reading is worth to the whole site; none where it shows no figure.
pub(super) fn worth(site: &Site, at: usize, prepared: &Prepared) -> Option<Worth> {
    let reading = latest_rack(site, &site.plan().lines[at])?;
    prepared.worth(&reading)
}

/// The known resistors read on the latest visit. All readings that are learned from are of that visit: what
/// a meter was like on an earlier one says nothing of them, and is no finding of today.
fn known_resistors(site: &Site) -> Vec<KnownResistor> {
    let visit = site.visit();
    let checks = site
        .log()
        .of_no_line()
        .into_iter()
        .filter_map(|entry| match &entry.what {
            Do::Check(check) if check.visit == visit => {
                Some((&site.log().measured(entry).by, check))
            }
            _ => None,
        });
    checks
        .map(|(by, check)| {
            let instrument = site.plan().instrument(&check.instrument);
            KnownResistor {
                meter: meter(site, &check.instrument, &check.visit, by),
                accuracy: instrument.map_or(PLAIN_ACCURACY, |it| it.accuracy),
                known: check.known_ohm,
                read: check.value,
                step: check.step_ohm,
            }
        })
        .collect()
}
