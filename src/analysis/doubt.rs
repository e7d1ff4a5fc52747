//! Which reading of a line, not the latest at the rack, is most likely a mistake, in words.
//!
//! Never here: how likely; the diagnosis weighs it.

use super::direct::Direct;
use crate::diagnosis::{Posterior, Test};
use crate::site::Site;

/// Which that is and what to do, where it is more likely a mistake than not; of one with direct current what
/// is drawn too, where that rests on no winding: it is all that shows an end-of-line unit.
#[must_use]
pub fn doubt(site: &Site, at: usize, suspects: &Posterior) -> Option<String> {
    let words = suspects.doubt()?;
    let dc = matches!(suspects.doubtful(), Some((Test::Dc, _)));
    let line = &site.plan().lines[at];
    let drawn = dc.then(|| Direct::of(line, site.figures(), None)).flatten();
    Some(match drawn.filter(|it| !it.by_windings) {
        Some(it) if it.ohm().is_none() => format!("{words}; as drawn it is open"),
        Some(it) => format!(
            "{words}; as drawn it is {}: look at the end of the line",
            it.words()
        ),
        None => words,
    })
}
