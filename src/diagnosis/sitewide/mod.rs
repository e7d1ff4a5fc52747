//! What only the whole site shows: labels swapped, lines joined, a range multiplier left out, a
//! digit too many, a direct-current reading taken for impedance, each of these on one line or on a run;
//! a loudspeaker on the neighbour's line, all taps set for another line voltage; and shared factors that stand out.
//!
//! ```text
//!   odds = rate x p(readings | mistake) / p(readings | the lines' own hypotheses)
//!   probability = odds / (1 + sum of all odds that touch one of its lines, the largest such sum)
//! ```
//!
//! so that a plain explanation on a line stands against each. p is over all hypotheses of a line
//! with slips, the shared factors as the whole site has them. A line is kept as a [`SiteLine`];
//! its own hints stay as they are.
//!
//! Never here: a line's own hints.

mod compact;
mod dc;
mod factors;
mod fault;
mod joined;
mod ledger;
mod moved;
mod nominal;
mod range;
mod run;
mod sieve;
mod survey;
mod swapped;
mod weigh;
mod words;

pub(super) use compact::LineSums;
pub use compact::SiteLine;
pub(super) use dc::OF_ONE_KIND;
pub use fault::SiteFault;
pub(super) use survey::READS_AS;
pub use survey::Surveyed;

use super::evidence::Meter;
use super::learn::KnownResistor;
use super::shared::Shared;
use crate::quantity::{Fraction, Probability};
use crate::site::{Figures, LineId, NodeId, TypeId};
use run::Runs;
use survey::{Odds, Read, Survey, What};
use weigh::{Common, Weigher};

/// A mistake of the whole site, or a shared factor that stands out.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteHint {
    /// What is wrong.
    pub fault: SiteFault,
    /// The lines it touches, of a run of readings in the order they were made; none where it touches all.
    pub lines: Vec<LineId>,
    /// How likely.
    pub probability: Probability,
    /// In words, with what confirms or clears it.
    pub text: String,
    /// Which loudspeaker was moved: the line it is listed on, its id, its label, its probability,
    /// the likeliest first.
    pub places: Vec<(LineId, NodeId, String, Probability)>,
    /// Whose factor it is: an instrument on a visit.
    pub meter: Option<Meter>,
    /// Whose factor it is: a loudspeaker type.
    pub of_type: Option<TypeId>,
    /// The factor: read over true of an instrument, or of the range multiplier that was left out or the digit
    /// too many; true over marked impedance of a type.
    pub factor: Option<Fraction>,
    /// Standard uncertainty of the factor.
    pub u: Option<Fraction>,
}

/// Hints under this are left out. \[assumed\]
const LEAST: f64 = 0.05;

impl SiteHint {
    /// What it would be: its sentence without the test at its end.
    #[must_use]
    pub fn claim(&self) -> &str {
        self.text.rsplit_once("; ").map_or(&self.text, |it| it.0)
    }

    /// What confirms or clears a mistake that touches named lines: the end of its sentence.
    #[must_use]
    pub fn test(&self) -> &str {
        self.text.rsplit("; ").next().unwrap_or_default()
    }

    fn of(fault: SiteFault, probability: Probability, text: String) -> Self {
        Self {
            fault,
            lines: Vec::new(),
            probability,
            text,
            places: Vec::new(),
            meter: None,
            of_type: None,
            factor: None,
            u: None,
        }
    }
}

/// What only the whole site shows, the likeliest first, from 0.05 on. `lines` are all lines of the
/// plan, `shared` what all of them say of the factors, `checks` the known resistors read;
/// `returning` as in [`Prepared::new`](super::Prepared::new).
#[must_use]
pub fn site_hints(
    lines: &[Surveyed<'_>],
    shared: &Shared,
    checks: &[KnownResistor],
    figures: &Figures,
    returning: bool,
) -> Vec<SiteHint> {
    let common = Common::of(lines.iter().filter_map(|it| it.read), shared, figures);
    let read = lines
        .iter()
        .filter_map(|line| {
            Some(Read {
                plan: line.plan,
                weigher: Weigher::of(line.read?, &common),
                turn: line.turn,
            })
        })
        .collect();
    let survey = Survey {
        lines,
        read,
        common,
    };
    let mut odds = Odds::new(survey.read.len());
    if !survey.read.is_empty() {
        swapped::enter(&survey, &mut odds);
        joined::enter(&survey, &mut odds);
        let runs = Runs::of(&survey);
        range::enter(&survey, &runs, &mut odds);
        dc::enter(&survey, &runs, &mut odds);
        moved::enter(&survey, &mut odds);
        nominal::enter(&survey, returning, &mut odds);
    }
    let settled = odds.settle(LEAST).into_iter();
    let mut out: Vec<SiteHint> = settled
        .map(|(entry, p)| hint(&survey, &entry.what, &entry.lines, p))
        .collect();
    out.extend(factors::hints(shared, checks));
    out.sort_by(|a, b| b.probability.get().total_cmp(&a.probability.get()));
    out
}

fn hint(survey: &Survey<'_>, what: &What, lines: &[usize], p: f64) -> SiteHint {
    let fault = match what {
        What::Swapped => SiteFault::SwappedLabels,
        What::Joined => SiteFault::JoinedLines,
        What::Range(_) => SiteFault::RangeMultiplier,
        What::Digit(_) => SiteFault::DigitTooMany,
        What::Dc(_) | What::DcRun => SiteFault::DcReading,
        What::Moved(_) => SiteFault::MovedLoudspeaker,
        What::Nominal(_) => SiteFault::NominalVoltage,
    };
    let plan = |line: usize| survey.read[line].plan;
    let places = match what {
        What::Moved(nodes) => words::places(nodes, p)
            .into_iter()
            .map(|(line, node, p)| {
                let node = &plan(line).nodes[node];
                (
                    plan(line).id.clone(),
                    node.id.clone(),
                    node.label.clone(),
                    Probability(p),
                )
            })
            .collect(),
        _ => Vec::new(),
    };
    SiteHint {
        lines: lines.iter().map(|line| plan(*line).id.clone()).collect(),
        places,
        factor: match what {
            What::Range(times) => Some(Fraction(1.0 / times)),
            What::Digit(times) => Some(Fraction(*times)),
            _ => None,
        },
        ..SiteHint::of(fault, Probability(p), words::text(survey, what, lines, p))
    }
}
