//! The row of a line's panel that says what it read on the last visit.

use super::super::Session;
use super::section::Section;
use super::text::{self, Tone};
use crate::analysis::LineResult;
use crate::quantity::show;
use crate::review;
use crate::site::Ref;

/// The most cells of the visit's label.
const LABEL: usize = 12;

impl Session {
    /// Nothing where no earlier visit read it at the rack.
    pub(super) fn last_visit_row(
        &self,
        at: usize,
        result: &LineResult,
        width: usize,
        out: &mut Section,
    ) {
        let now = result.taken.as_ref();
        let Some(it) = self.analyst.last_visit(&self.site, at, now) else {
            return;
        };
        let label = text::cut(
            &review::label_of(&self.site, &Ref::Visit(it.visit.clone())),
            LABEL,
        );
        let value = show::value(it.taken.value);
        let date = it.taken.at.map_or_else(String::new, |at| self.day(at));
        let (start, words) = match it.is_otherwise() {
            true => (" ? ", format!("{label}  {value}  {date}: otherwise")),
            false => ("   ", format!("{label}  {value}  {date}")),
        };
        out.words(start, &words, width, Tone::Plain);
    }
}
