//! The visit before as a baseline, out of the site's own log: no file of then is asked for.
//!
//! Never here: figures of its own.

use super::against;
use super::record_rows::BaselineRow;
use crate::analysis::{Analyst, compare};
use crate::review::label_of;
use crate::site::{Ref, Site};

/// The site against itself as it stood when the latest visit began: all lines, or one. None where nothing
/// had been read by then, and as long as nothing is read on this visit.
pub(super) fn baseline(site: &Site, analyst: &Analyst, only: Option<&str>) -> Option<BaselineRow> {
    let is_read = |analyst: &Analyst| analyst.lines().iter().any(|line| line.taken.is_some());
    if !is_read(analyst) {
        return None;
    }
    let before = site.before_visit()?;
    let then = Analyst::of_readings(&before);
    if !is_read(&then) {
        return None;
    }
    let compared = compare((&before, &then), (site, analyst));
    let visit = label_of(&before, &Ref::Visit(before.visit()));
    let mut row = against::baseline(&compared, &format!("{}, {visit}", before.label()));
    if let Some(only) = only {
        row.lines.retain(|it| it.line == only);
        row.new.retain(|line| line == only);
        row.gone.retain(|line| line == only);
    }
    Some(row)
}
