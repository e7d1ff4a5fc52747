//! The suspects of a line opened for a split, while the figure of one side is typed: they move with every
//! digit, as those of a reading at the rack do. They are reckoned once a key, not while drawing.

use super::Session;
use super::mode::{DraftKind, Mode};
use crate::diagnosis::Posterior;

impl Session {
    /// Reckons the suspects with what is typed of a side; none are kept where nothing is.
    pub(super) fn follow_side(&mut self) {
        self.side_typed = self.with_side();
    }

    fn with_side(&self) -> Option<(usize, Posterior)> {
        let Mode::Reading(draft) = &self.mode else {
            return None;
        };
        let read = (draft.side()?, draft.cut.as_ref()?);
        let at = self.site.plan().line(&draft.line)?;
        let (instrument, _) = self.instrument(DraftKind::Impedance)?;
        let corrects = draft.corrects.as_ref();
        let with = self.in_hand(&instrument);
        let suspects = self
            .analyst
            .suspects_of_side(&self.site, at, read, with, corrects)?;
        Some((at, suspects))
    }

    /// The suspects of a line with what is typed of a side of it.
    pub(super) fn suspects_with_side(&self, at: usize) -> Option<&Posterior> {
        let typed = self.side_typed.as_ref().filter(|it| it.0 == at);
        typed.map(|it| &it.1)
    }
}
