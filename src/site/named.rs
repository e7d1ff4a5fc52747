//! Which lines and items an entry names.

use super::entry::Do;
use super::id::LineId;
use super::item_ref::{Kind, Ref};

/// The lines it names.
pub(super) fn lines_of(what: &Do) -> impl Iterator<Item = &LineId> {
    what.line()
        .into_iter()
        .chain(refs_of(what).iter().filter_map(|of| match of {
            Ref::Line(line) => Some(line),
            _ => None,
        }))
}

fn refs_of(what: &Do) -> &[Ref] {
    match what {
        Do::Tick(tick) => &tick.of,
        Do::Decide(decide) => std::slice::from_ref(&decide.of),
        Do::Note(note) => std::slice::from_ref(&note.of),
        _ => &[],
    }
}

/// Whether it names lines and nothing else.
pub(super) fn names_lines_alone(what: &Do) -> bool {
    lines_of(what).next().is_some() && refs_of(what).iter().all(|of| of.kind() == Kind::Line)
}
