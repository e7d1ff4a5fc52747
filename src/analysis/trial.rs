//! What would come of a change of the design: an altered copy of the site, reckoned by the same road.
//! Nothing of the site itself is altered.

use super::{Analyst, LineResult, OutputFlaw, OutputResult, ToMove};
use crate::site::{Design, Do, Entry, LineId, OutputId, Ref, Repair, Site, Stamp};

/// The outcome of changes that were tried.
#[derive(Debug)]
pub struct Trial {
    site: Site,
    analyst: Analyst,
}

impl Trial {
    /// A site with these designs in the place of those that stand. Lines in `read_anew` count as
    /// drawn: what was read of them before no longer tells (their taps change).
    #[must_use]
    pub fn of(site: &Site, changes: &[(Ref, Design)], read_anew: &[LineId]) -> Self {
        let mut elements = site.elements().clone();
        for (of, now) in changes {
            let was = elements.standing(of).to_vec();
            elements.replace(of, &was, Stamp::of_import(now), now.clone());
        }
        let mut log = site.log().clone();
        let last = log.entries().iter().map(|entry| entry.at).max();
        for (nth, line) in read_anew.iter().enumerate() {
            let state = site.history(line).state();
            log.add(Entry {
                at: last.unwrap_or(jiff::Timestamp::UNIX_EPOCH),
                id: format!("trial-{}", u64::MAX - nth as u64).into(),
                by: String::new(),
                what: Do::Repair(Repair {
                    line: line.clone(),
                    after: state,
                    what: String::new(),
                    place: None,
                    cause: None,
                }),
                act: None,
                row: None,
                corrects: None,
                why: None,
            });
        }
        let site = Site::new(site.id().clone(), elements, log);
        let mut analyst = Analyst::new(&site);
        // What is tried is told with its cores moved, and so is what was applied before it.
        analyst.to_move = ToMove::default();
        Self { site, analyst }
    }

    /// What an output would carry; none for one that is not there.
    #[must_use]
    pub fn output(&self, id: &OutputId) -> Option<OutputResult> {
        let at = self
            .site
            .plan()
            .outputs
            .iter()
            .position(|it| it.id == *id)?;
        Some(self.analyst.output(&self.site, at, None))
    }

    /// What would be wrong with an output as drawn then.
    #[must_use]
    pub fn output_flaws(&self, id: &OutputId) -> Vec<OutputFlaw> {
        let at = self.site.plan().outputs.iter().position(|it| it.id == *id);
        at.map_or_else(Vec::new, |at| self.analyst.output_flaws(&self.site, at))
    }

    /// A line as it would stand.
    #[must_use]
    pub fn line(&self, id: &LineId) -> Option<&LineResult> {
        Some(self.analyst.line(self.site.plan().line(id)?))
    }

    /// What the design would be.
    #[must_use]
    pub const fn site(&self) -> &Site {
        &self.site
    }
}
