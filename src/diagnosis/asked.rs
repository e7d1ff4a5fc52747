//! What is asked of a line made ready: what its readings say, what to do next, and what a reading is
//! worth to the whole site.
//!
//! Never here: how any of that is reckoned.

use super::evidence::{Evidence, Reading};
use super::joint::{Joint, weighed};
use super::kept::Gathered;
use super::likelihood::Likelihood;
use super::next_test::NextTest;
use super::posterior::Posterior;
use super::prepared::Prepared;
use super::shared::Shared;
use super::sitewide::{LineSums, SiteLine};
use super::survey::survey;
use super::term::{SiteTerm, TermSums};
use super::walk::Walk;

impl Prepared {
    /// What a reading at the rack is worth to the whole site, both ways of it: what it says of the
    /// shared factors, and the line made small; none where it shows no figure.
    #[must_use]
    pub fn worth(&self, reading: &Reading) -> Option<(SiteTerm, SiteLine)> {
        let nothing = TermSums::of(self, reading)?;
        let (term, line) = self.summed(&(nothing, LineSums::of(self, reading)?));
        Some((term.term(), line.line(self, reading)))
    }

    /// What the readings and answers say, given what is known of the shared factors. With none it
    /// is the prior. Rack readings alone cost one likelihood a hypothesis; others solve each of
    /// their trees once a single fault and take the derivatives of every pair that can matter.
    #[must_use]
    pub fn posterior(&self, evidence: &Evidence, shared: &Shared) -> Posterior {
        if !evidence.is_plain() {
            let evidence = weighed(self, evidence);
            if !evidence.is_plain() {
                let joint = Joint::new(self, &evidence, shared, None, &[]);
                let posterior = Posterior::of_survey(self, &evidence.readings, survey(&joint));
                return posterior.beside_answers(self, &evidence);
            }
            return self.posterior(&evidence, shared);
        }
        let likelihood = Likelihood::new(evidence, shared, &self.types, &self.figures);
        Posterior::of(self, &likelihood, &mut None)
    }

    /// [`Self::posterior`] and, where that leaves something to tell apart, [`Self::next`]; the pairs of
    /// a plain reading are gone through once for both.
    #[must_use]
    pub fn posterior_and_next(
        &self,
        evidence: &Evidence,
        shared: &Shared,
        walk: &Walk,
    ) -> (Posterior, Vec<NextTest>) {
        let mut gathered = None;
        let posterior = if evidence.is_plain() {
            let likelihood = Likelihood::new(evidence, shared, &self.types, &self.figures);
            gathered = Gathered::singles(self, &likelihood);
            Posterior::of(self, &likelihood, &mut gathered)
        } else {
            self.posterior(evidence, shared)
        };
        let next = match posterior.sure() {
            true => Vec::new(),
            false => self.next_of(evidence, shared, walk, gathered),
        };
        (posterior, next)
    }
}
