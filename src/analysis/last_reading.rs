//! The last reading of a site that counts, kept up as entries come in.

use super::Analyst;
use crate::site::{Do, LineId, Site, in_order};

impl Analyst {
    /// The last reading after an entry that touched these lines: of a large log only their part is
    /// looked at, unless the last of all no longer counts.
    pub(super) fn follow_last_reading(&mut self, site: &Site, lines: &[LineId]) {
        let log = site.log();
        let last = self.last_reading.take();
        if last.as_ref().is_some_and(|last| !log.counts(&last.id)) {
            self.last_reading = log.last_read().cloned();
            return;
        }
        self.last_reading = lines
            .iter()
            .flat_map(|line| log.of_line(line))
            .filter(|entry| matches!(entry.what, Do::Read(_)))
            .chain(&last)
            .max_by(|a, b| in_order(a, b))
            .cloned();
    }
}
