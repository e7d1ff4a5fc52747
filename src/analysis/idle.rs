//! Steps towards figures at rest while no key waits: small ones here, long ones handed out and taken
//! back.
//!
//! Never here: what a step reckons.

use super::Analyst;
use super::ahead::{Ahead, Came, Progress, Reckoned, Stamp, What};
use super::sweep::worth;
use crate::site::Site;

impl Analyst {
    /// One more step towards figures at rest, while nothing else happens.
    pub fn catch_up(&mut self, site: &Site) -> Progress {
        if let Some(at) = self.sweep.wanted() {
            let worth = self.is_weighed(at).then(|| match &self.looked_at {
                Some((place, prepared)) if *place == at => worth(site, at, prepared),
                _ => worth(site, at, &self.prepare(site, at)),
            });
            self.sweep.take(at, worth.flatten());
            return Progress::GoOn;
        }
        if !self.sweep.is_fresh() {
            self.learn(site);
            return Progress::GoOn;
        }
        if self.away {
            return Progress::Rest;
        }
        // The line that is looked at first, with what to do next; then the whole site, then others.
        let here = self.looked_at.as_ref().map(|(at, _)| *at);
        let what = if let Some(at) = here.filter(|at| self.is_stale(*at) || self.wants_next(*at)) {
            What::Line(Box::new(self.of_line(
                site,
                at,
                self.lines[at].is_flagged(),
            )))
        } else if !self.sweep.is_done() {
            What::Site(Box::new(self.sweep.of_site(site)))
        } else if let Some(at) = (0..self.lines.len()).find(|at| self.is_stale(*at)) {
            What::Line(Box::new(self.of_line(site, at, false)))
        } else {
            return Progress::Rest;
        };
        self.away = true;
        Progress::Away(Box::new(Ahead(self.stamp(), what)))
    }

    /// Takes what was reckoned elsewhere; what facts have overtaken is dropped and reckoned again.
    pub fn take(&mut self, reckoned: Reckoned) {
        self.away = false;
        if reckoned.0 != self.stamp() {
            return;
        }
        match reckoned.1 {
            Came::Line(at, suspects) => {
                if let Some(held) = self.suspects.get_mut(at) {
                    *held = suspects.map(|it| *it);
                }
            }
            Came::Site(hints) => self.sweep.take_hints(hints),
        }
    }

    /// The facts that a result of now is of.
    const fn stamp(&self) -> Stamp {
        Stamp {
            sweep: self.sweeps,
            facts: self.facts,
        }
    }

    /// Whether the next test of a line is still to be found: it is offered where something is wrong.
    fn wants_next(&self, at: usize) -> bool {
        self.is_weighed(at)
            && self.lines[at].is_flagged()
            && self.suspects[at]
                .as_ref()
                .is_some_and(|it| it.next.is_none())
    }
}
