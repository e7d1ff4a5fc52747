//! Which parts of a panel's why find room on a page.

use super::section::Section;
use super::text::Line;

/// Whether what is left of the odds stands last.
pub(super) fn ends_with_the_rest(parts: &[Section]) -> bool {
    let last = parts.last().and_then(|part| part.0.last());
    last.is_some_and(|line| line.text().ends_with("  all else"))
}

/// A heading alone.
pub(super) fn heads(part: &Section) -> bool {
    part.0.last().is_some_and(Line::is_title)
}

/// How many parts find room in so many rows, from the first on. A heading that what it heads found no room
/// under says of nothing that it is there.
pub(super) fn fitting(parts: &[Section], mut left: usize) -> usize {
    let fit = parts.iter().take_while(|part| {
        let fits = part.0.len() <= left;
        left = left.saturating_sub(part.0.len());
        fits
    });
    let fit = fit.count();
    match fit < parts.len() {
        true => fit - parts[..fit].iter().rev().take_while(|it| heads(it)).count(),
        false => fit,
    }
}

/// So many rows what leads takes: the headings before it, and itself.
pub(super) fn leading(parts: &[Section]) -> usize {
    let heads = parts.iter().take_while(|part| heads(part)).count();
    parts.iter().take(heads + 1).map(|part| part.0.len()).sum()
}
