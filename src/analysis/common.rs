//! What all lines of a site have in common: limits, instruments' factors, open questions.

use super::question::lines_in_question;
use super::redrawn::Edits;
use super::sweep::Sweep;
use crate::site::{Hands, InstrumentId, LineId, PLAIN_ACCURACY, Site};
use crate::verdict::{Factor, Limits};
use std::collections::{BTreeMap, HashSet};

/// What all lines of a site have in common.
#[derive(Clone, Debug)]
pub struct Common {
    /// The limits in force.
    pub limits: Limits,
    /// What the readings of each instrument share; of one that may be several, in the hands of each.
    factors: BTreeMap<(InstrumentId, Option<String>), Factor>,
    /// Whose instruments are whose.
    pub(super) hands: Hands,
    /// Lines with an item that two designs stand for.
    in_question: HashSet<LineId>,
    /// Edits that change what lines should read.
    pub(super) edits: Edits,
}

impl Common {
    /// What the lines of a site have in common before anything was learned: of each instrument no more is
    /// known than its accuracy.
    #[must_use]
    pub fn of(site: &Site) -> Self {
        let instruments = site.plan().instruments.iter();
        Self {
            limits: Limits::of(site.figures()),
            factors: instruments
                .flat_map(|(id, it)| {
                    let persons = site.hands().persons(id, &site.visit());
                    let hands = persons.into_iter().map(|by| Some(by.to_owned()));
                    let factor = Factor::of_accuracy(it.accuracy);
                    let each = std::iter::once(None).chain(hands);
                    each.map(move |hand| ((id.clone(), hand), factor))
                })
                .collect(),
            hands: site.hands().clone(),
            in_question: lines_in_question(site),
            edits: Edits::of(site),
        }
    }

    /// The factor of an instrument, in whose hands it was where that tells; a plain hand meter's where it is
    /// not known.
    #[must_use]
    pub fn factor(&self, instrument: Option<&InstrumentId>, hand: Option<&str>) -> Factor {
        let of = |hand: Option<&str>| {
            let key = (instrument?.clone(), hand.map(str::to_owned));
            self.factors.get(&key).copied()
        };
        // Who has read nothing with it yet knows of it what stands on its paper.
        of(hand)
            .or_else(|| of(None))
            .unwrap_or_else(|| Factor::of_accuracy(PLAIN_ACCURACY))
    }

    /// Takes the factors that a sweep has learned.
    pub(super) fn learn(&mut self, sweep: &Sweep, site: &Site) {
        for ((instrument, hand), factor) in &mut self.factors {
            if let Some(learned) = sweep.factor(instrument, hand.as_ref(), site) {
                *factor = learned;
            }
        }
    }

    /// Whether two designs stand for something on a line.
    #[must_use]
    pub fn is_in_question(&self, line: &LineId) -> bool {
        self.in_question.contains(line)
    }
}
