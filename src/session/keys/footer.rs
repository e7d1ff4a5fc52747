//! The last row of the screen: the keys of the place in a few words each, taken from the key table as
//! far as the width goes.

use super::names::{Action, ModeName, Place};
use super::table::rows;
use crate::session::mode::DraftKind;

/// The letters that mean something in a reading of this kind, as far as the width goes, and how many
/// of them that are.
#[must_use]
pub fn letters(place: Place, kind: DraftKind, width: usize) -> (String, usize) {
    let mut out = String::new();
    let mut taken = 0;
    for brief in letters_of(place, kind) {
        let gap = if out.is_empty() { "" } else { "  " };
        if out.len() + gap.len() + brief.len() > width {
            break;
        }
        out.push_str(gap);
        out.push_str(brief);
        taken += 1;
    }
    (out, taken)
}

fn letters_of(place: Place, kind: DraftKind) -> impl Iterator<Item = &'static str> {
    rows(ModeName::Reading, place)
        .filter(move |row| {
            row.is_letter()
                && !row.brief.is_empty()
                && match (row.action, kind) {
                    (Action::Type, DraftKind::Insulation) => row.shown != "x",
                    (Action::Type, _) => row.shown != "a b v",
                    (Action::Phase, _) => kind == DraftKind::Impedance,
                    (Action::KnownResistor, _) => kind != DraftKind::Insulation,
                    (Action::Ohmmeter | Action::InsulationKind, _) => kind != DraftKind::Check,
                    _ => true,
                }
        })
        .map(|row| row.brief)
}

/// The footer while a reading is typed: what Enter and Esc do, then the letters that found no room
/// beside what is typed.
#[must_use]
pub fn reading_footer(place: Place, kind: DraftKind, beside: usize, width: usize) -> String {
    let ends = rows(ModeName::Reading, place)
        .filter(|row| !row.is_letter())
        .map(|row| row.brief)
        .filter(|brief| !brief.is_empty())
        // Only an impedance hands on to the next line.
        .map(|brief| match kind {
            DraftKind::Impedance => brief,
            _ => brief.trim_end_matches(", next unread"),
        });
    let letters = letters_of(place, kind).skip(beside);
    flow(ends.chain(letters).collect(), width)
}

/// The footer: brief words as far as they fit, the way to all keys always last.
#[must_use]
pub fn footer(mode: ModeName, place: Place, on_line: bool, width: usize) -> String {
    let briefs: Vec<&'static str> = rows(mode, place)
        // The list itself stands on the screen.
        .filter(|row| mode != ModeName::GoList || row.action == Action::Escape)
        .filter(|row| on_line || !row.action.wants_line())
        // On a line reading comes first; on what it hangs on, what can be added there.
        .filter(|row| {
            !on_line || row.action != Action::Add || matches!(place, Place::Drawing | Place::Kit)
        })
        .map(|row| row.brief)
        .filter(|brief| !brief.is_empty())
        .collect();
    flow(briefs, width)
}

fn flow(briefs: Vec<&'static str>, width: usize) -> String {
    let (last, rest) = match briefs.iter().position(|brief| brief.starts_with('?')) {
        Some(at) => (
            Some(briefs[at]),
            [&briefs[..at], &briefs[at + 1..]].concat(),
        ),
        None => (None, briefs),
    };
    let reserved = last.map_or(0, |last| last.len() + 2);
    let mut out = String::from(" ");
    for brief in rest {
        let gap = if out.len() > 1 { 2 } else { 0 };
        if out.len() + gap + brief.len() + reserved > width {
            break;
        }
        out.push_str(&"  "[..gap]);
        out.push_str(brief);
    }
    if let Some(last) = last {
        let fill = width.saturating_sub(out.len() + last.len() + 1);
        out.push_str(&" ".repeat(fill));
        out.push_str(last);
    }
    out
}
