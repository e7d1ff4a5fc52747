//! The factors that lines share, learned over the whole site: what each line's reading says of them,
//! kept until that line's facts change, and the sweep over all of them.
//!
//! The sweep starts from zero every time, so that the figures at rest depend on the facts alone and
//! not on the order in which they came in.

use super::evidence::latest_rack;
use crate::diagnosis::{KnownResistor, Latent, Learned, Meter, Prepared, Shared, SiteTerm, learn};
use crate::quantity::Fraction;
use crate::site::{Do, InstrumentId, Site};
use crate::verdict::Factor;

/// Terms of the lines and what they say together.
#[derive(Debug, Default)]
pub(super) struct Sweep {
    terms: Vec<Term>,
    learned: Option<Learned>,
    fresh: bool,
}

/// What one line's reading says of the shared factors.
#[derive(Clone, Debug, Default)]
enum Term {
    /// To be reckoned.
    #[default]
    Wanted,
    /// Reckoned; none where the line shows no figure.
    Known(Option<Box<SiteTerm>>),
}

impl Sweep {
    /// For so many lines, nothing reckoned yet.
    pub fn new(lines: usize) -> Self {
        Self {
            terms: vec![Term::Wanted; lines],
            learned: None,
            fresh: false,
        }
    }

    /// The facts of a line changed.
    pub fn forget(&mut self, line: usize) {
        self.terms[line] = Term::Wanted;
        self.go_stale();
    }

    /// Facts changed: the factors are those of earlier ones.
    pub fn go_stale(&mut self) {
        self.fresh = false;
    }

    /// A line whose term is wanted.
    pub fn wanted(&self) -> Option<usize> {
        self.terms
            .iter()
            .position(|term| matches!(term, Term::Wanted))
    }

    /// Takes a line's term.
    pub fn take(&mut self, line: usize, term: Option<SiteTerm>) {
        self.terms[line] = Term::Known(term.map(Box::new));
    }

    /// Whether the factors are those of all facts.
    pub const fn is_fresh(&self) -> bool {
        self.fresh
    }

    /// Sweeps over all terms.
    pub fn learn(&mut self, site: &Site) {
        let terms: Vec<Option<&SiteTerm>> = self
            .terms
            .iter()
            .map(|term| match term {
                Term::Known(Some(term)) => Some(&**term),
                _ => None,
            })
            .collect();
        self.learned = Some(learn(&terms, &known_resistors(site), site.figures()));
        self.fresh = true;
    }

    /// What all lines but one say, for that line's suspects.
    pub fn without(&self, line: usize) -> Shared {
        self.learned
            .as_ref()
            .map_or_else(Shared::default, |learned| learned.without(line))
    }

    /// What the readings of an instrument share, for verdicts; none where nothing was learned.
    pub fn factor(&self, instrument: &InstrumentId, site: &Site) -> Option<Factor> {
        let meter = Meter {
            instrument: instrument.clone(),
            visit: site.visit(),
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

/// What a line's latest rack reading says of the shared factors.
pub(super) fn term(site: &Site, at: usize, prepared: &Prepared) -> Option<SiteTerm> {
    SiteTerm::of(prepared, &latest_rack(site, &site.plan().lines[at])?)
}

/// The known resistors read, of every visit.
fn known_resistors(site: &Site) -> Vec<KnownResistor> {
    let checks = site
        .log()
        .of_no_line()
        .into_iter()
        .filter_map(|entry| match &entry.what {
            Do::Check(check) => Some(check),
            _ => None,
        });
    checks
        .map(|check| {
            let instrument = site.plan().instrument(&check.instrument);
            KnownResistor {
                meter: Meter {
                    instrument: check.instrument.clone(),
                    visit: check.visit.clone(),
                },
                accuracy: instrument.map_or(Fraction(0.05), |it| it.accuracy),
                known: check.known_ohm,
                read: check.value,
                step: check.step_ohm,
            }
        })
        .collect()
}
