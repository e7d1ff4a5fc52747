//! The list of what can be reviewed and signed for by itself, while it is chosen from.

use super::super::Session;
use super::TreeLine;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};

/// Cells of how many stand in the way of a part, with a blank before.
const PART_FIGURES: usize = 11;

/// What stands under, or beside, the list.
pub(super) fn choosing_parts(width: usize) -> Parts {
    let mut out = Section::default();
    out.words(
        " ",
        "What is reviewed and signed for: the whole site, or a part of it by itself. A seal says \
         what it is for, and of the rest nothing.",
        width,
        Tone::Plain,
    );
    Parts {
        first: vec![out],
        ..Parts::default()
    }
}

impl Session {
    /// What can be signed for, how many stand in the way of each, and whether it was signed.
    pub(super) fn part_lines(&self, typed: &str, width: usize, rows: usize) -> Vec<TreeLine> {
        let parts = &self.review.parts;
        let meant = self.meant_part(typed);
        let longest = parts.iter().map(|part| text::width(&part.words)).max();
        let name = longest
            .unwrap_or(0)
            .min(width.saturating_sub(PART_FIGURES + 3));
        // The heading stands whatever is scrolled away under it, and says that something is.
        let room = rows.saturating_sub(1);
        let at = meant.unwrap_or(0);
        let top = text::first_shown(at, room, parts.len());
        let shown = match parts.len() > room {
            true => format!("  {} to {} of {}", top + 1, top + room, parts.len()),
            false => String::new(),
        };
        let heads = format!("   {} in the way{shown}", text::left("sign for", name));
        let mut out = vec![Line::tone(text::left(&heads, width), Tone::Title).into()];
        for (nth, part) in parts.iter().enumerate().skip(top).take(room) {
            let cursor = meant == Some(nth);
            let mark = if cursor { '>' } else { ' ' };
            let open = match part.open {
                0 => "nothing".to_owned(),
                count => count.to_string(),
            };
            let row = format!(
                "{mark}  {} {}",
                text::left(&part.words, name),
                text::right(&open, PART_FIGURES - 1)
            );
            let signed = part.signed.as_deref().unwrap_or_default();
            let beside = text::cut(signed, width.saturating_sub(text::width(&row) + 2));
            out.push(TreeLine {
                line: Line::plain(text::left(&format!("{row}  {beside}"), width)),
                cursor,
            });
        }
        out
    }
}
