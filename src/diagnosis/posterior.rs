//! What is likely once the readings are in: classes, places, misfit.
//!
//! Never here: words.

use super::densities::Densities;
use super::evidence::{Reading, Test};
use super::hints::{Hint, Place, hints};
use super::hypothesis::Hypothesis;
use super::kept::Gathered;
use super::kind::FaultKind;
use super::likelihood::Likelihood;
use super::pairs::Seen;
use super::prepared::Prepared;
use super::tally::Tally;
use crate::quantity::{Probability, show};

/// What the readings of a line say.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    /// Probability that the latest rack reading is a slip.
    pub misfit: Probability,
    /// Of each reading that is weighed, in the order of the evidence, the probability that it is a slip.
    /// Empty where all of them were read at the rack with the line whole: then misfit is what there is.
    pub slipped: Vec<(Test, Probability)>,
    /// One hint a class, the likeliest first; those under 1e-7 are left out.
    pub hints: Vec<Hint>,
    /// For every node in the plan's order: its id, its label, and the probability that a fault
    /// sits there; a pair counts at both its places.
    pub places: Vec<Place>,
    /// Probability that all taps are set for another line voltage, alone or with another fault.
    pub other_voltage: Probability,
}

/// The pairs of a first fault that together weigh less than this of no fault and all single ones may
/// have spreads of first order.
const NEARLY_UNDER: f64 = 1e-4;
/// From this on a place, other voltage or nothing wrong is sure: no further test is wanted.
/// \[assumed\]
const SURE_FROM: f64 = 0.95;
/// Over this the headline of the line is that the reading fits nothing. \[assumed: likelier than not\]
pub const FITS_NOTHING_OVER: f64 = 0.5;

impl Posterior {
    /// Pairs that count are added to the singles of `gathered` on the way; where they are not gone
    /// through in plain numbers it is emptied.
    pub(super) fn of(
        prepared: &Prepared,
        likelihood: &Likelihood,
        gathered: &mut Option<Gathered>,
    ) -> Self {
        let mut tally = Tally::at_rack(prepared);
        for (hypothesis, ln_weight, prediction, weights) in prepared.alone() {
            let it = likelihood.of(prediction, weights);
            tally.add(prepared, hypothesis, ln_weight, it.ln, &[it.latest_slipped]);
        }
        let unit = tally.unit().filter(|_| likelihood.is_plain());
        if let Some(unit) = unit {
            // In plain numbers and the units of what is there already.
            let singles = gathered.as_ref().map(Gathered::sum);
            let start = || {
                let pairs = gathered.as_ref().map(Gathered::for_pairs);
                (Tally::at_rack(prepared), Densities::default(), pairs)
            };
            let enough = NEARLY_UNDER * tally.classes.iter().sum::<f64>() / unit;
            let parts = prepared.pair_sums(start, |(tally, densities, pairs), batch| {
                likelihood.plain_each(batch, densities);
                if !batch.is_exact() && densities.right > enough {
                    return Seen::WantedExact;
                }
                tally.add_batch(prepared, batch, unit, densities);
                if let Some(pairs) = pairs {
                    pairs.add(batch, densities);
                }
                Seen::Enough
            });
            for (part, _, pairs) in parts {
                tally.join(&part);
                if let (Some(all), Some(singles), Some(pairs)) = (&mut *gathered, singles, pairs) {
                    all.join(singles, pairs);
                }
            }
            return Self::of_survey(prepared, &[], tally);
        }
        *gathered = None;
        if likelihood.is_nothing() {
            prepared.each_pair_weight(|faults, ln_weight| {
                tally.add(prepared, Hypothesis::two(faults), ln_weight, 0.0, &[]);
            });
        } else {
            prepared.each_pair(|row| {
                let (pair, it) = (
                    Hypothesis::two(row.faults),
                    likelihood.of(row.prediction, row.weights),
                );
                tally.add(prepared, pair, row.ln_weight, it.ln, &[it.latest_slipped]);
            });
        }
        Self::of_survey(prepared, &[], tally)
    }

    /// Of what was added up; `several` are the readings where they are of several tests.
    pub(super) fn of_survey(prepared: &Prepared, several: &[Reading], mut tally: Tally) -> Self {
        // Nothing at all explains it, not even a slip (their rate may be set to 0): what stands is the
        // prior, and that the readings fit nothing.
        let unexplained = tally.is_empty();
        if unexplained {
            prepared.each(|hypothesis, ln_weight, _, _| {
                tally.add(prepared, hypothesis, ln_weight, 0.0, &[]);
            });
            tally.sound_slipped = tally.classes[FaultKind::None as usize];
        }
        tally.normalise();
        let places = prepared
            .nodes
            .iter()
            .zip(&tally.places)
            .map(|((id, label), p)| (id.clone(), label.clone(), Probability(*p)))
            .collect();
        let slip = |p: f64| Probability(if unexplained { 1.0 } else { p.min(1.0) });
        let slipped = several.iter().zip(&tally.slipped);
        Self {
            misfit: slip(tally.misfit()),
            slipped: slipped.map(|(read, p)| (read.test, slip(*p))).collect(),
            hints: hints(prepared, &tally),
            places,
            other_voltage: Probability(tally.voltage),
        }
    }

    /// Whether one place, other voltage or nothing wrong holds 0.95.
    #[must_use]
    pub fn sure(&self) -> bool {
        let places = self.places.iter().map(|(.., p)| *p);
        places
            .chain([self.other_voltage, self.probability(FaultKind::None)])
            .any(|p| p.get() >= SURE_FROM)
    }

    /// The hint of a class; none where it is under 1e-7.
    #[must_use]
    pub fn hint(&self, fault: FaultKind) -> Option<&Hint> {
        self.hints.iter().find(|hint| hint.fault == fault)
    }

    /// Probability of a class.
    #[must_use]
    pub fn probability(&self, fault: FaultKind) -> Probability {
        self.hint(fault)
            .map_or(Probability(0.0), |hint| hint.probability)
    }

    /// Whether the reading fits nothing: more likely a slip than not.
    #[must_use]
    pub fn fits_nothing(&self) -> bool {
        self.misfit.get() > FITS_NOTHING_OVER
    }

    /// The test whose reading is most likely a slip, where it is more likely one than not and not the
    /// latest at the rack, of which [`Self::misfit`] tells.
    #[must_use]
    pub fn doubtful(&self) -> Option<(Test, Probability)> {
        let others = self.slipped.iter().filter(|(test, _)| *test != Test::Rack);
        let worst = others.max_by(|a, b| a.1.get().total_cmp(&b.1.get()))?;
        (worst.1.get() > FITS_NOTHING_OVER).then_some(*worst)
    }

    /// Which reading that is, where, and what to do.
    #[must_use]
    pub fn doubt(&self) -> Option<String> {
        let (test, p) = self.doubtful()?;
        let label = |at: usize| self.places.get(at).map_or("", |(_, label, _)| &**label);
        let what = match test {
            Test::Rack => "the reading at the rack".to_owned(),
            Test::Dc => "the DC reading".to_owned(),
            Test::Near(at) => format!("near of {}", label(at)),
            Test::Far(at) => format!("far of {}", label(at)),
        };
        let odds = show::probability(p);
        Some(format!("{what} fits nothing, {odds}: read it again"))
    }
}
